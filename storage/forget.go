package storage

// forget removes all that is an operator's from the database, except what is
// still in the inbox: only the transport can tell whose that is.
func (t tx) forget(op OperatorID) error {
	for _, name := range []string{
		inOperators, inPasses, inPassesByEnd, inContacts, inContactsByPass,
		inContactsByCall, inContactsByTime, inHanded, inMessages,
		inMessagesByPass, inSteps, inPostsByApp,
	} {
		if err := deleteAll(t.in(name), opKey(op)); err != nil {
			return err
		}
	}
	return t.forgetShared(op)
}

// forgetShared removes the operator's from the buckets that all share.
func (t tx) forgetShared(op OperatorID) error {
	var posts []outPost
	err := scan(t.in(inPosts), nil, func(_ []byte, p outPost) (bool, error) {
		if p.Operator == op {
			posts = append(posts, p)
		}
		return true, nil
	})
	if err != nil {
		return err
	}
	var items []string
	err = scan(t.in(inAgenda), nil, func(_ []byte, i Item) (bool, error) {
		if i.Operator == op {
			items = append(items, i.Key)
		}
		return true, nil
	})
	if err != nil {
		return err
	}
	if err := each(posts, t.deletePost); err != nil {
		return err
	}
	return each(items, t.cancel)
}
