package tx

import (
	"maps"
	"slices"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/storage"
)

// MessageOf returns a message as the plan leaves it.
func (t *Tx) MessageOf(id int64) (storage.Message, bool) {
	if t.Message != nil && t.Message.ID == id {
		return *t.Message, true
	}
	if i := slices.IndexFunc(t.others, func(m storage.Message) bool { return m.ID == id }); i >= 0 {
		return t.others[i], true
	}
	m, read := t.messages[id]
	if !read {
		m, _ = Got(t, func() (storage.Message, bool, error) { return t.View.Message(t.Op.ID, id) })
		t.messages[id] = m // one that isn't there has no ID
	}
	return m, m.ID == id && m.Operator != ""
}

// Contact returns the latest version of a contact.
func (t *Tx) Contact(id uint64) (storage.Contact, bool) {
	if c, ok := t.Contacts[id]; ok {
		return c, true
	}
	return t.StoredContact(id)
}

// StoredContact returns a contact as it is in the store.
func (t *Tx) StoredContact(id uint64) (storage.Contact, bool) {
	c, read := t.stored[id]
	if !read {
		c, _ = Got(t, func() (storage.Contact, bool, error) { return t.View.Contact(t.Op.ID, id) })
		t.stored[id] = c // one that isn't there has no ID
	}
	return c, c.ID != 0
}

// Touched returns the contacts that the plan made or changed, by ID.
func (t *Tx) Touched() []storage.Contact {
	all := make([]storage.Contact, 0, len(t.Contacts))
	for _, id := range slices.Sorted(maps.Keys(t.Contacts)) {
		all = append(all, t.Contacts[id])
	}
	return all
}

// IDs are the numbers of contacts.
func IDs(contacts []storage.Contact) []uint64 {
	var all []uint64
	for _, c := range contacts {
		all = append(all, c.ID)
	}
	return all
}

// Follows reports whether a pass is of a bird that the operator follows.
func (t *Tx) Follows(pass storage.Pass) bool {
	bird, ok := t.Sky.ByCatalog(pass.Bird.Catalog)
	return ok && t.Sky.Follows(t.Op.Remind, bird)
}

// PassView joins a pass with what it takes to tell of it; false if that is not at
// hand.
func (t *Tx) PassView(pass storage.Pass) (say.Pass, bool) { return shown.Pass(t.Sky, pass, t.Op) }

// StoredPost returns a post as it is in the store, be it on a second phone alone.
func (t *Tx) StoredPost(name string) (storage.Post, bool) {
	post, ok := Got(t, func() (storage.Post, bool, error) { return t.View.Post(name) })
	if second, on := t.Second(); !ok && on {
		post, ok = Got(t, func() (storage.Post, bool, error) { return t.View.Post(CopyName(second.Of, name)) })
		post = Original(t.Op.ID, post)
	}
	return post, ok
}

// ContactsIn returns the contacts of a span as they are in the store, by time.
func (t *Tx) ContactsIn(from, to time.Time) []storage.Contact {
	return List(t, func() ([]storage.Contact, error) { return t.View.Contacts(t.Op.ID, from, to) })
}

// TappedPost is the post whose button was tapped.
func (t *Tx) TappedPost() (storage.Post, bool) { return t.postByApp(t.Event.Post) }

// RepliedPost is the post of ours that the message answers.
func (t *Tx) RepliedPost() (storage.Post, bool) { return t.postByApp(t.Event.ReplyTo) }

func (t *Tx) postByApp(id int64) (storage.Post, bool) {
	switch {
	case id == 0:
		return storage.Post{}, false
	case t.Event.Second != "":
		return t.postOnPhone(id)
	}
	return Got(t, func() (storage.Post, bool, error) { return t.View.PostByApp(t.Op.ID, id) })
}
