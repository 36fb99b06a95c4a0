package tx

import (
	"encoding/json"
	"slices"
	"strings"

	"skyslate/storage"
)

// Second is the second phone that the event came from, else the one that writes into
// the log at its moment; false if there is none.
func (t *Tx) Second() (storage.Phone, bool) {
	i := slices.IndexFunc(t.Op.Phones, func(p storage.Phone) bool {
		if t.Event.Second != "" {
			return p.Of == t.Event.Second
		}
		return p.Writes(t.Now())
	})
	switch {
	case i >= 0:
		return t.Op.Phones[i], true
	case t.Event.Second != "": // it doesn't come in
		return storage.Phone{Of: t.Event.Second, Number: t.Event.By}, true
	}
	return storage.Phone{}, false
}

// copiesTo is how the names of posts begin that go to a second phone.
func copiesTo(phone storage.OperatorID) string { return string(phone) + "/with/" }

// CopyName is the name that a post of the log has on a second phone.
func CopyName(phone storage.OperatorID, name string) string { return copiesTo(phone) + name }

// Original is a post of the log, read from its copy on a second phone.
func Original(log storage.OperatorID, c storage.Post) storage.Post {
	c.Name = strings.TrimPrefix(c.Name, copiesTo(c.Operator))
	c.Target = strings.TrimPrefix(c.Target, copiesTo(c.Operator))
	c.Operator, c.Of = log, ""
	return c
}

// postOnPhone is the post of the log that has a number on the second phone that the
// event came from.
func (t *Tx) postOnPhone(id int64) (storage.Post, bool) {
	c, ok := Got(t, func() (storage.Post, bool, error) { return t.View.PostByApp(t.Event.Second, id) })
	if !ok || c.Of != t.Op.ID {
		return storage.Post{}, false
	}
	return t.StoredPost(Original(t.Op.ID, c).Name)
}

// KeepSeat writes down what is known of somebody as a second phone.
func (t *Tx) KeepSeat(op storage.OperatorID, s storage.Seat) {
	body, err := json.Marshal(s)
	if err != nil {
		t.Err = err
		return
	}
	t.Keep(storage.SeatKey(op), body)
}
