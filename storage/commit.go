package storage

import (
	"errors"
	"fmt"
	"time"

	"skyslate/storage/database"
	"skyslate/storage/keys"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// longestPass bounds the search for passes that overlap a range of time.
const longestPass = 24 * time.Hour

// sighting is when an event was worked or set aside, in which transaction and,
// if it was a moment on the agenda, for whom.
type sighting struct {
	At       time.Time  `json:"at"`
	Tx       int        `json:"tx"`
	Operator OperatorID `json:"operator,omitempty"`
}

// Commit writes all that an event changes in one durable transaction: the
// event leaves the inbox and the agenda (event is the ID of the one or the key
// of the other) and is remembered as seen. An event that was seen already
// changes nothing, unless it is on the agenda anew. An error means that nothing
// was changed; ErrNoSpace that there was no room.
//
// The new versions then go to the contact journal. If that fails the commit
// stands all the same: a notice says so, and the next commit or opening makes
// up for it.
func (s *Store) Commit(event string, at time.Time, c Changes) error {
	var lines []entry
	var id int
	err := s.update(func(t *tx) {
		t.commit(event, at, c)
		id, lines = t.ID(), t.lines
	})
	if errors.Is(err, database.ErrUncertain) {
		if err = s.askSeen(event, id, err); err == nil {
			err = s.update(func(t *tx) { t.lines = lines })
		}
	}
	if err != nil {
		return fmt.Errorf("commit %q: %w", event, err)
	}
	s.dropDone(event, c)
	return nil
}

// askSeen says whether transaction id has made it to the disk after all.
func (s *Store) askSeen(event string, id int, cause error) error {
	var seen sighting
	var known bool
	err := s.read(func(t *tx) { seen, known = table.Get[sighting](t.In(schema.Seen), keys.Text(event)) })
	switch {
	case err != nil:
		return errors.Join(cause, err)
	case !known || seen.Tx != id:
		return cause
	}
	return nil
}

func (t *tx) commit(event string, at time.Time, c Changes) {
	t.checkName("the event", event)
	if over := t.takeEvent(event, at); over || t.Err() != nil {
		return
	}
	if o := c.Operator; o != nil {
		t.checkName("the operator's ID", string(o.ID))
		old, known := table.Get[Operator](t.In(schema.Operators), opKey(o.ID))
		if !known {
			t.operators++
		}
		if !known || !table.Same(settingsOf(old), settingsOf(*o)) {
			t.lines = append(t.lines, operatorLine(*o))
		}
		t.putOperator(old, *o)
		for _, id := range c.Gone {
			passRecords.Remove(t.Tx, passKey(o.ID, id))
		}
		t.markHanded(o.ID, c.Handed, false, at)
		t.markHanded(o.ID, c.Withdrawn, true, at)
	} else if len(c.Handed)+len(c.Withdrawn)+len(c.Gone) > 0 {
		t.Fail(errors.New("contacts are handed over, or passes let go, for no operator"))
	}
	for _, p := range c.Passes {
		t.putPass(p)
	}
	for _, contact := range c.Contacts {
		t.addContact(contact)
		t.lines = append(t.lines, t.contactLines(contact)...)
	}
	for _, m := range c.Messages {
		t.checkName("a message's operator", string(m.Operator))
		t.putMessage(m)
	}
	for _, s := range c.Steps {
		t.checkName("a step's operator", string(s.Operator))
		t.In(schema.Steps).Set(opKey(s.Operator, keys.Uint(s.Seq)), s)
	}
	for _, s := range c.Sittings {
		t.checkName("a sitting's operator", string(s.Operator))
		t.In(schema.Sittings).Set(opKey(s.Operator, keys.Uint(s.ID)), s)
	}
	for _, k := range c.Cancel {
		t.cancel(k)
	}
	for _, i := range c.Agenda {
		t.checkName("an agenda key", i.Key)
		t.putItem(i)
	}
	for _, p := range c.Posts {
		t.checkName("a post's name", p.Name)
		t.checkName("a post's operator", string(p.Operator))
		t.owe(p)
	}
	t.keep(c.Keep)
}

// takeEvent removes the event from where it waits; over: it was seen already
// and does not wait on the agenda again.
func (t *tx) takeEvent(event string, at time.Time) (over bool) {
	item, planned := table.Get[Item](t.In(schema.Agenda), keys.Text(event))
	if !planned && t.In(schema.Seen).Has(keys.Text(event)) {
		return true
	}
	t.takeRaw(event)
	t.cancel(event)
	t.In(schema.Seen).Set(keys.Text(event), sighting{at, t.ID(), item.Operator})
	return false
}
