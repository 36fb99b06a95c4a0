package storage

import (
	"errors"
	"fmt"
	"slices"
	"time"

	bolt "go.etcd.io/bbolt"
)

// longestPass bounds the search for passes that overlap a range of time.
const longestPass = 24 * time.Hour

// sighting is when an event was worked or set aside, and in which transaction.
type sighting struct {
	At time.Time `json:"at"`
	Tx int       `json:"tx"`
}

// handOver is the newest version of a contact that is out in a file.
type handOver struct {
	Version int       `json:"version"`
	At      time.Time `json:"at"`
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
	if err := c.check(event); err != nil {
		return fmt.Errorf("commit %q: %w", event, err)
	}
	var lines []entry
	var id int
	err := s.update(func(t tx) (err error) {
		id = t.ID()
		lines, err = t.commit(event, at, c)
		return err
	})
	if unsure := new(uncertain); errors.As(err, &unsure) {
		err = s.askSeen(event, id, err)
	}
	if err != nil {
		return fmt.Errorf("commit %q: %w", event, err)
	}
	s.journalise(lines)
	return nil
}

// askSeen says whether transaction id has made it to the disk after all.
func (s *Store) askSeen(event string, id int, cause error) error {
	var seen sighting
	err := s.read(func(t tx) (err error) {
		seen, _, err = get[sighting](t.in(inSeen), textKey(event))
		return err
	})
	switch {
	case err != nil:
		return errors.Join(cause, err)
	case seen.Tx != id:
		return cause
	}
	return nil
}

// check refuses what no index could hold.
func (c Changes) check(event string) error {
	errs := []error{checkName("the event", event)}
	if c.Operator != nil {
		errs = append(errs, checkName("the operator's ID", string(c.Operator.ID)))
	}
	for _, p := range c.Passes {
		errs = append(errs, p.check())
	}
	for _, m := range c.Messages {
		errs = append(errs, checkName("a message's operator", string(m.Operator)))
	}
	for _, s := range c.Steps {
		errs = append(errs, checkName("a step's operator", string(s.Operator)))
	}
	for _, i := range c.Agenda {
		errs = append(errs, checkName("an agenda key", i.Key))
	}
	for _, p := range c.Posts {
		errs = append(errs, checkName("a post's name", p.Name), checkName("a post's operator", string(p.Operator)))
	}
	return errors.Join(errs...)
}

func (p Pass) check() error {
	if p.LOS.Before(p.AOS) || p.LOS.Sub(p.AOS) > longestPass {
		return fmt.Errorf("pass %q lasts from %s to %s: want at most a day", p.ID, p.AOS.Format(time.RFC3339), p.LOS.Format(time.RFC3339))
	}
	return errors.Join(checkName("a pass's ID", string(p.ID)), checkName("a pass's operator", string(p.Operator)))
}

// commit returns what the journal is to hold of it.
func (t tx) commit(event string, at time.Time, c Changes) ([]entry, error) {
	over, err := t.takeEvent(event, at)
	if err != nil || over {
		return nil, err
	}
	lines, err := t.journalLines(c)
	if err != nil {
		return nil, err
	}
	if c.Operator != nil {
		if err := put(t.in(inOperators), opKey(c.Operator.ID), c.Operator); err != nil {
			return nil, err
		}
	}
	return lines, errors.Join(
		each(c.Passes, t.putPass),
		each(c.Contacts, t.addContact),
		each(c.Messages, t.putMessage),
		each(c.Steps, t.putStep),
		each(c.Cancel, t.cancel),
		each(c.Agenda, t.putItem),
		each(c.Posts, t.owe),
	)
}

func each[T any](vs []T, do func(T) error) error {
	for _, v := range vs {
		if err := do(v); err != nil {
			return err
		}
	}
	return nil
}

// takeEvent removes the event from where it waits; over: it was seen already
// and does not wait on the agenda again.
func (t tx) takeEvent(event string, at time.Time) (over bool, err error) {
	seen := t.in(inSeen).Get(textKey(event)) != nil
	planned := t.in(inAgenda).Get(textKey(event)) != nil
	if seen && !planned {
		return true, nil
	}
	if err := errors.Join(t.takeRaw(event), t.cancel(event)); err != nil {
		return false, err
	}
	return false, put(t.in(inSeen), textKey(event), sighting{at, t.ID()})
}

func (t tx) putPass(p Pass) error {
	k := opKey(p.Operator, textKey(string(p.ID)))
	old, known, err := get[Pass](t.in(inPasses), k)
	if err != nil {
		return err
	}
	if known {
		if err := t.in(inPassesByEnd).Delete(passEndKey(old)); err != nil {
			return err
		}
	}
	if err := mark(t.in(inPassesByEnd), passEndKey(p)); err != nil {
		return err
	}
	return put(t.in(inPasses), k, p)
}

func passEndKey(p Pass) []byte {
	return opKey(p.Operator, timeKey(p.LOS), textKey(string(p.ID)))
}

func (t tx) putMessage(m Message) error {
	k := opKey(m.Operator, intKey(m.ID))
	old, known, err := get[Message](t.in(inMessages), k)
	if err != nil {
		return err
	}
	if known {
		if err := t.in(inMessagesByPass).Delete(messagePassKey(old)); err != nil {
			return err
		}
	}
	if err := mark(t.in(inMessagesByPass), messagePassKey(m)); err != nil {
		return err
	}
	return put(t.in(inMessages), k, m)
}

func messagePassKey(m Message) []byte {
	return opKey(m.Operator, textKey(string(m.Pass)), intKey(m.ID))
}

func (t tx) putStep(s Step) error {
	return put(t.in(inSteps), opKey(s.Operator, uintKey(s.Seq)), s)
}

func contactKey(op OperatorID, id uint64, version int) []byte {
	return opKey(op, uintKey(id), versionKey(version))
}

func (t tx) latest(op OperatorID, id uint64) (Contact, bool, error) {
	k, data := last(t.in(inContacts), opKey(op, uintKey(id)))
	if k == nil {
		return Contact{}, false, nil
	}
	c, err := decode[Contact](k, data)
	return c, err == nil, err
}

// addContact appends a version: the one after the latest, of an operator and a
// pass that are known.
func (t tx) addContact(c Contact) error {
	if err := checkName("a contact's operator", string(c.Operator)); err != nil {
		return err
	}
	old, _, err := t.latest(c.Operator, c.ID)
	switch {
	case err != nil:
		return err
	case c.ID == 0:
		return fmt.Errorf("a contact of %q has no ID", c.Operator)
	case c.Version != old.Version+1:
		return fmt.Errorf("contact %d of %q stands at version %d: version %d can't follow", c.ID, c.Operator, old.Version, c.Version)
	case t.in(inOperators).Get(opKey(c.Operator)) == nil:
		return fmt.Errorf("contact %d is of the unknown operator %q", c.ID, c.Operator)
	case c.Pass != "" && t.in(inPasses).Get(opKey(c.Operator, textKey(string(c.Pass)))) == nil:
		return fmt.Errorf("contact %d of %q is of the unknown pass %q", c.ID, c.Operator, c.Pass)
	}
	return t.storeContact(c)
}

// storeContact writes a version and points the indexes at it: they hold the
// latest version alone.
func (t tx) storeContact(c Contact) error {
	old, known, err := t.latest(c.Operator, c.ID)
	if err != nil {
		return err
	}
	if known {
		for index, k := range contactIndexKeys(old) {
			if err := t.in(index).Delete(k); err != nil {
				return err
			}
		}
	}
	for index, k := range contactIndexKeys(c) {
		if err := mark(t.in(index), k); err != nil {
			return err
		}
	}
	return put(t.in(inContacts), contactKey(c.Operator, c.ID, c.Version), c)
}

// contactIndexKeys are the keys of a latest version, by index.
func contactIndexKeys(c Contact) map[string][]byte {
	id := uintKey(c.ID)
	keys := map[string][]byte{
		inContactsByPass: opKey(c.Operator, textKey(string(c.Pass)), id),
		inContactsByTime: opKey(c.Operator, timeKey(c.Time), id),
	}
	if c.Call.IsValid() {
		keys[inContactsByCall] = opKey(c.Operator, textKey(c.Call.String()), id)
	}
	return keys
}

// markHanded remembers that versions of contacts are out in a file.
func (t tx) markHanded(op OperatorID, refs []ContactRef, at time.Time) error {
	for _, ref := range refs {
		k := opKey(op, uintKey(ref.ID))
		old, _, err := get[handOver](t.in(inHanded), k)
		if err != nil {
			return err
		}
		if old.Version >= ref.Version {
			continue
		}
		if err := put(t.in(inHanded), k, handOver{ref.Version, at}); err != nil {
			return err
		}
	}
	return nil
}

// Next is the earliest moment on the agenda.
func (s *Store) Next() (at time.Time, ok bool, err error) {
	err = s.read(func(t tx) error {
		k, _ := t.in(inAgendaByTime).Cursor().First()
		if k == nil {
			return nil
		}
		item, known, err := get[Item](t.in(inAgenda), k[timeKeyLen:])
		at, ok = item.At, known
		return err
	})
	return at, ok, err
}

// Due are the items on the agenda up to now, in order. Committing an item's key
// takes it off.
func (s *Store) Due(now time.Time) (due []Item, err error) {
	err = s.read(func(t tx) error {
		c := t.in(inAgendaByTime).Cursor()
		for k, _ := c.First(); k != nil; k, _ = c.Next() {
			item, ok, err := get[Item](t.in(inAgenda), k[timeKeyLen:])
			if err != nil || !ok || item.At.After(now) {
				return err
			}
			due = append(due, item)
		}
		return nil
	})
	return due, err
}

func (t tx) putItem(i Item) error {
	if err := t.cancel(i.Key); err != nil {
		return err
	}
	if err := mark(t.in(inAgendaByTime), itemTimeKey(i)); err != nil {
		return err
	}
	return put(t.in(inAgenda), textKey(i.Key), i)
}

// cancel takes an item off the agenda if it is there.
func (t tx) cancel(itemKey string) error {
	k := textKey(itemKey)
	old, known, err := get[Item](t.in(inAgenda), k)
	if err != nil || !known {
		return err
	}
	return errors.Join(
		t.in(inAgendaByTime).Delete(itemTimeKey(old)),
		t.in(inAgenda).Delete(k),
	)
}

func itemTimeKey(i Item) []byte { return key(timeKey(i.At), textKey(i.Key)) }

// deleteAll removes the keys that begin with prefix.
func deleteAll(b *bolt.Bucket, prefix []byte) error {
	return each(slices.Collect(slices.Values(keysWith(b, prefix))), b.Delete)
}
