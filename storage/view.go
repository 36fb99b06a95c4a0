package storage

import (
	"bytes"
	"cmp"
	"slices"
	"time"

	"skyslate/parse"
)

// View is the store at one moment, for reading. Lists are in the order named;
// a range of time is half-open: from ≤ t < to.
type View struct {
	tx
	contacts map[contactID]Contact
	passes   map[string]Pass // by key
	// err is the first error of a method that returns none; Store.View returns it.
	err error
}

type contactID struct {
	op OperatorID
	id uint64
}

// mostKept is how many values a view keeps decoded: one event asks for the contacts
// and the passes around it again and again.
const mostKept = 4096

// latest is the latest version of a contact. Nobody changes what it refers to.
func (v *View) latest(op OperatorID, id uint64) (Contact, bool, error) {
	key := contactID{op, id}
	if c, ok := v.contacts[key]; ok {
		return c, true, nil
	}
	c, ok, err := v.tx.latest(op, id)
	if ok && len(v.contacts) < mostKept {
		if v.contacts == nil {
			v.contacts = map[contactID]Contact{}
		}
		v.contacts[key] = c
	}
	return c, ok, err
}

// pass is the pass of a key. Nobody changes what it refers to.
func (v *View) pass(key []byte) (Pass, bool, error) {
	if p, ok := v.passes[string(key)]; ok {
		return p, true, nil
	}
	p, ok, err := get[Pass](v.in(inPasses), key)
	if ok && len(v.passes) < mostKept {
		if v.passes == nil {
			v.passes = map[string]Pass{}
		}
		v.passes[string(key)] = p
	}
	return p, ok, err
}

// Operator is the operator with that ID.
func (v *View) Operator(id OperatorID) (Operator, bool, error) {
	return get[Operator](v.in(inOperators), opKey(id))
}

// Operators are all operators, by ID.
func (v *View) Operators() ([]Operator, error) {
	return all[Operator](v.in(inOperators), nil)
}

// Message is what the operator sent under the messaging app's number id.
func (v *View) Message(op OperatorID, id int64) (Message, bool, error) {
	return get[Message](v.in(inMessages), opKey(op, intKey(id)))
}

// Messages are the messages filed under a pass, by id. The ones under no pass
// have the PassID "".
func (v *View) Messages(op OperatorID, pass PassID) ([]Message, error) {
	return related[Message](v, inMessagesByPass, opKey(op, textKey(string(pass))), func(k []byte) (Message, bool, error) {
		return get[Message](v.in(inMessages), opKey(op, k[len(k)-8:]))
	})
}

// VisitLatestMessages visits the same messages as Messages, the latest first,
// until visit says stop.
func (v *View) VisitLatestMessages(op OperatorID, pass PassID, visit func(Message) (more bool)) error {
	prefix, b := opKey(op, textKey(string(pass))), v.in(inMessagesByPass)
	c := b.Cursor()
	k, _ := last(b, prefix)
	for c.Seek(k); k != nil && bytes.HasPrefix(k, prefix); k, _ = c.Prev() {
		m, ok, err := get[Message](v.in(inMessages), opKey(op, k[len(k)-8:]))
		if err != nil {
			return err
		}
		if ok && !visit(m) {
			return nil
		}
	}
	return nil
}

// Post is the post with that name, out or not.
func (v *View) Post(name string) (Post, bool, error) {
	p, ok, err := v.post(name)
	return p.Post, ok, err
}

// PostByApp is the post that is out under the messaging app's number appID,
// with the text and the buttons it has now.
func (v *View) PostByApp(op OperatorID, appID int64) (Post, bool, error) {
	name, ok, err := get[string](v.in(inPostsByApp), opKey(op, intKey(appID)))
	if err != nil || !ok {
		return Post{}, false, err
	}
	return v.Post(name)
}

// Pass is the pass with that ID.
func (v *View) Pass(op OperatorID, id PassID) (Pass, bool, error) {
	return v.pass(opKey(op, textKey(string(id))))
}

// Passes are the passes any part of which lies in the range, by AOS, then ID.
func (v *View) Passes(op OperatorID, from, to time.Time) ([]Pass, error) {
	var ps []Pass
	prefix, c := opKey(op), v.in(inPassesByEnd).Cursor()
	end := opKey(op, timeKey(to.Add(longestPass)))
	for k, _ := c.Seek(opKey(op, timeKey(from))); bytes.HasPrefix(k, prefix) && bytes.Compare(k, end) <= 0; k, _ = c.Next() {
		p, _, err := v.pass(opKey(op, k[len(prefix)+timeKeyLen:]))
		if err != nil {
			return nil, err
		}
		if p.LOS.After(from) && p.AOS.Before(to) {
			ps = append(ps, p)
		}
	}
	slices.SortFunc(ps, func(a, b Pass) int {
		return cmp.Or(a.AOS.Compare(b.AOS), cmp.Compare(a.ID, b.ID))
	})
	return ps, nil
}

// Contact is the latest version of a contact.
func (v *View) Contact(op OperatorID, id uint64) (Contact, bool, error) {
	return v.latest(op, id)
}

// ContactAt is one version of a contact.
func (v *View) ContactAt(op OperatorID, id uint64, version int) (Contact, bool, error) {
	return get[Contact](v.in(inContacts), contactKey(op, id, version))
}

// History are all versions of a contact, oldest first.
func (v *View) History(op OperatorID, id uint64) ([]Contact, error) {
	return all[Contact](v.in(inContacts), opKey(op, uintKey(id)))
}

// ContactsOfPass are the contacts of a pass in any state, by ID. The ones under
// no pass have the PassID "".
func (v *View) ContactsOfPass(op OperatorID, pass PassID) ([]Contact, error) {
	return v.indexed(op, inContactsByPass, opKey(op, textKey(string(pass))))
}

// ContactsOfCall are the contacts with a station in any state, by ID.
func (v *View) ContactsOfCall(op OperatorID, call parse.Callsign) ([]Contact, error) {
	return v.indexed(op, inContactsByCall, opKey(op, textKey(call.String())))
}

// Contacts are the contacts in a range of time in any state, by time, then ID.
func (v *View) Contacts(op OperatorID, from, to time.Time) ([]Contact, error) {
	var cs []Contact
	prefix, c := opKey(op), v.in(inContactsByTime).Cursor()
	end := opKey(op, timeKey(to))
	for k, _ := c.Seek(opKey(op, timeKey(from))); bytes.HasPrefix(k, prefix) && bytes.Compare(k, end) < 0; k, _ = c.Next() {
		found, _, err := v.latest(op, lastUint(k))
		if err != nil {
			return nil, err
		}
		cs = append(cs, found)
	}
	return cs, nil
}

// VisitLatest visits the same contacts as Contacts, the latest first, until visit
// says stop.
func (v *View) VisitLatest(op OperatorID, from, to time.Time, visit func(Contact) (more bool)) error {
	prefix, c := opKey(op), v.in(inContactsByTime).Cursor()
	k, _ := c.Seek(opKey(op, timeKey(to)))
	if k == nil {
		k, _ = c.Last()
	} else {
		k, _ = c.Prev()
	}
	for begin := opKey(op, timeKey(from)); bytes.HasPrefix(k, prefix) && bytes.Compare(k, begin) >= 0; k, _ = c.Prev() {
		found, ok, err := v.latest(op, lastUint(k))
		if err != nil {
			return err
		}
		if ok && !visit(found) {
			return nil
		}
	}
	return nil
}

// VisitSquare visits the contacts in any state that gave a grid in a square (of
// four characters), with one bird or, where its name is empty, with any, until
// visit says stop. Only the bird's names count.
func (v *View) VisitSquare(op OperatorID, square parse.Grid, bird BirdRef, visit func(Contact) (more bool)) error {
	prefix := opKey(op, textKey(square.Square().String()))
	if name := birdKey(bird); name != "" {
		prefix = append(prefix, textKey(name)...)
	}
	return v.visit(op, inContactsBySquare, prefix, visit)
}

// VisitTail visits the contacts in any state with stations whose base call ends
// in tail (upper case), until visit says stop.
func (v *View) VisitTail(op OperatorID, tail string, visit func(Contact) (more bool)) error {
	return v.visit(op, inContactsByTail, opKey(op, []byte(backwards(tail))), visit)
}

func (v *View) visit(op OperatorID, index string, prefix []byte, visit func(Contact) (more bool)) error {
	b := v.in(index)
	if b.Bucket == nil {
		return nil // a backup of an older schema, open for reading
	}
	c := b.Cursor()
	for k, _ := c.Seek(prefix); k != nil && bytes.HasPrefix(k, prefix); k, _ = c.Next() {
		found, ok, err := v.latest(op, lastUint(k))
		if err != nil {
			return err
		}
		if ok && !visit(found) {
			return nil
		}
	}
	return nil
}

func (v *View) indexed(op OperatorID, index string, prefix []byte) ([]Contact, error) {
	return related[Contact](v, index, prefix, func(k []byte) (Contact, bool, error) {
		return v.latest(op, lastUint(k))
	})
}

// related are the values that the keys of an index lead to.
func related[T any](v *View, index string, prefix []byte, find func(key []byte) (T, bool, error)) ([]T, error) {
	var found []T
	c := v.in(index).Cursor()
	for k, _ := c.Seek(prefix); k != nil && bytes.HasPrefix(k, prefix); k, _ = c.Next() {
		one, ok, err := find(k)
		if err != nil {
			return nil, err
		}
		if ok {
			found = append(found, one)
		}
	}
	return found, nil
}

// NextContact is the ID the operator's next contact gets.
func (v *View) NextContact(op OperatorID) uint64 {
	k, _ := last(v.in(inContacts), opKey(op))
	if k == nil {
		return 1
	}
	return lastUint(k[:len(k)-4]) + 1 // past the version
}

// NextStep is the number the operator's next step gets.
func (v *View) NextStep(op OperatorID) uint64 {
	k, _ := last(v.in(inSteps), opKey(op))
	return lastUint(k) + 1
}

// VisitLatestSteps visits an operator's steps, the newest first, until visit says
// stop.
func (v *View) VisitLatestSteps(op OperatorID, visit func(Step) (more bool)) error {
	prefix, steps := opKey(op), v.in(inSteps)
	c := steps.Cursor()
	k, data := last(steps, prefix)
	for c.Seek(k); k != nil && bytes.HasPrefix(k, prefix); k, data = c.Prev() {
		s, err := decode[Step](inSteps, k, data)
		if err != nil || !visit(s) {
			return err
		}
	}
	return nil
}

// HandedOver is the newest version of a contact that went out in a file, unless
// it was withdrawn since.
func (v *View) HandedOver(op OperatorID, id uint64) (version int, ok bool) {
	h, ok, err := get[handOver](v.in(inHanded), opKey(op, uintKey(id)))
	if err != nil && v.err == nil {
		v.err = err
	}
	return h.Version, ok && !h.Withdrawn
}

// VisitByTime visits the contacts in any state, by time, then ID, until visit
// says stop.
func (v *View) VisitByTime(op OperatorID, visit func(Contact) (more bool)) error {
	return v.visit(op, inContactsByTime, opKey(op), visit)
}
