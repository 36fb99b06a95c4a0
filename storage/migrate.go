package storage

// indexSquaresAndTails leads from schema 1 to 2: contacts are found by grid
// square and by the end of the call, too.
func (t tx) indexSquaresAndTails() error {
	for _, name := range []string{inContactsBySquare, inContactsByTail} {
		if _, err := t.CreateBucketIfNotExists([]byte(name)); err != nil {
			return err
		}
	}
	return eachWhere(t.in(inContacts), t.isLatest, t.indexContact)
}
