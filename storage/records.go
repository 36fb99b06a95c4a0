package storage

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// indexed is a kind of record to which an index leads by another key.
type indexed[T any] struct {
	records, index string // the buckets
	key, indexKey  func(T) []byte
}

var (
	passRecords = indexed[Pass]{
		inPasses, inPassesByEnd,
		func(p Pass) []byte { return passKey(p.Operator, p.ID) },
		func(p Pass) []byte { return opKey(p.Operator, timeKey(p.LOS), textKey(string(p.ID))) },
	}
	messageRecords = indexed[Message]{
		inMessages, inMessagesByPass,
		func(m Message) []byte { return opKey(m.Operator, intKey(m.ID)) },
		func(m Message) []byte { return opKey(m.Operator, textKey(string(m.Pass)), intKey(m.ID)) },
	}
	itemRecords = indexed[Item]{
		inAgenda, inAgendaByTime,
		func(i Item) []byte { return textKey(i.Key) },
		func(i Item) []byte { return key(timeKey(i.At), textKey(i.Key)) },
	}
)

// put stores a record in the place of the one under its key.
func (x indexed[T]) put(t tx, v T) error {
	return errors.Join(
		x.remove(t, x.key(v)),
		mark(t.in(x.index), x.indexKey(v)),
		put(t.in(x.records), x.key(v), v),
	)
}

// remove takes the record under a key away if it is there.
func (x indexed[T]) remove(t tx, k []byte) error {
	old, known, err := get[T](t.in(x.records), k)
	if err != nil || !known {
		return err
	}
	return errors.Join(t.in(x.index).Delete(x.indexKey(old)), t.in(x.records).Delete(k))
}

// reindex fills an empty index.
func (x indexed[T]) reindex(t tx) error {
	return scan(t.in(x.records), nil, func(_ []byte, v T) (bool, error) {
		return true, mark(t.in(x.index), x.indexKey(v))
	})
}

func passKey(op OperatorID, id PassID) []byte { return opKey(op, textKey(string(id))) }

func (t tx) putPass(p Pass) error { return passRecords.put(t, p) }

func (t tx) putMessage(m Message) error { return messageRecords.put(t, m) }

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
	c, err := decode[Contact](inContacts, k, data)
	return c, err == nil, err
}

// isLatest reports whether a stored version has none after it.
func (t tx) isLatest(c Contact) bool {
	k, _ := last(t.in(inContacts), opKey(c.Operator, uintKey(c.ID)))
	return bytes.Equal(k, contactKey(c.Operator, c.ID, c.Version))
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
	case !t.hasOperator(c.Operator):
		return fmt.Errorf("contact %d is of the unknown operator %q", c.ID, c.Operator)
	case c.Pass != "" && !t.hasPass(c.Operator, c.Pass):
		return fmt.Errorf("contact %d of %q is of the unknown pass %q", c.ID, c.Operator, c.Pass)
	}
	return t.storeContact(c)
}

// storeContact writes a version and, if it is the latest, points the indexes at
// it: they hold no other.
func (t tx) storeContact(c Contact) error {
	if err := put(t.in(inContacts), contactKey(c.Operator, c.ID, c.Version), c); err != nil {
		return err
	}
	history, err := all[Contact](t.in(inContacts), opKey(c.Operator, uintKey(c.ID)))
	if err != nil {
		return err
	}
	for _, version := range history {
		for index, keys := range contactIndexKeys(version) {
			if err := each(keys, t.in(index).Delete); err != nil {
				return err
			}
		}
	}
	return t.indexContact(history[len(history)-1])
}

func (t tx) indexContact(latest Contact) error {
	for index, keys := range contactIndexKeys(latest) {
		b := t.in(index)
		if err := each(keys, func(k []byte) error { return mark(b, k) }); err != nil {
			return err
		}
	}
	return nil
}

// contactIndexKeys are the keys of a latest version, by index.
func contactIndexKeys(c Contact) map[string][][]byte {
	id := uintKey(c.ID)
	keys := map[string][][]byte{
		inContactsByPass: {opKey(c.Operator, textKey(string(c.Pass)), id)},
		inContactsByTime: {opKey(c.Operator, timeKey(c.Time), id)},
	}
	if c.Call.IsValid() {
		keys[inContactsByCall] = [][]byte{opKey(c.Operator, textKey(c.Call.String()), id)}
		keys[inContactsByTail] = [][]byte{opKey(c.Operator, textKey(backwards(c.Call.Base())), id)}
	}
	for _, g := range c.Grids {
		k := opKey(c.Operator, textKey(g.Square().String()), textKey(birdKey(c.Bird)), id)
		keys[inContactsBySquare] = append(keys[inContactsBySquare], k)
	}
	return keys
}

// backwards turns an ASCII text round, so that what it ends in can be looked
// for as a beginning.
func backwards(s string) string {
	b := []byte(s)
	slices.Reverse(b)
	return string(b)
}

// birdKey is what a bird is called in a key: the name in logs, because imported
// contacts have no catalog number.
func birdKey(b BirdRef) string {
	const most = 64 // bytes; names from files may be of any length
	name := strings.ToUpper(strings.ReplaceAll(cmp.Or(b.LogName, b.Name), "\x00", ""))
	return name[:min(len(name), most)]
}

// markHanded remembers that versions of contacts are out in a file, or that they
// are to be deleted where they are. Of the same version the last word holds.
func (t tx) markHanded(op OperatorID, refs []ContactRef, withdrawn bool, at time.Time) error {
	for _, ref := range refs {
		k := opKey(op, uintKey(ref.ID))
		old, _, err := get[handOver](t.in(inHanded), k)
		if err == nil && old.Version <= ref.Version {
			err = put(t.in(inHanded), k, handOver{ref.Version, at, withdrawn})
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// markHandedIn marks what counts as handed over, or no longer, by a commit
// itself.
func (t tx) markHandedIn(c Changes, at time.Time) error {
	if len(c.Handed)+len(c.Withdrawn) == 0 {
		return nil
	}
	if c.Operator == nil {
		return errors.New("contacts are handed over for no operator")
	}
	return errors.Join(
		t.markHanded(c.Operator.ID, c.Handed, false, at),
		t.markHanded(c.Operator.ID, c.Withdrawn, true, at),
	)
}
