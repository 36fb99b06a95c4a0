package storage

import (
	"bytes"
	"cmp"
	"slices"
	"strconv"
	"time"

	"skyslate/parse"
	"skyslate/storage/documents"
	"skyslate/storage/keys"
	"skyslate/storage/names"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// View is the store at one moment, for reading. Lists are in the order named;
// a range of time is half-open: from ≤ t < to. The first error stays: every
// method that returns one returns that, and so does Store.View.
type View struct {
	t         *tx
	documents *documents.Dir
	latest    table.Decoded[contactID, Contact]
	passes    table.Decoded[string, Pass] // by key
}

type contactID struct {
	op OperatorID
	id uint64
}

// contact is the latest version of a contact. Nobody changes what it refers to.
func (v *View) contact(op OperatorID, id uint64) (Contact, bool) {
	return v.latest.Get(contactID{op, id}, func() (Contact, bool) { return v.t.latest(op, id) })
}

// pass is the pass of a key. Nobody changes what it refers to.
func (v *View) pass(key []byte) (Pass, bool) {
	return v.passes.Get(string(key), func() (Pass, bool) { return table.Get[Pass](v.t.In(schema.Passes), key) })
}

// Operator is the operator with that ID.
func (v *View) Operator(id OperatorID) (Operator, bool, error) {
	return got[Operator](v, schema.Operators, opKey(id))
}

func got[T any](v *View, bucket string, key []byte) (T, bool, error) {
	found, ok := table.Get[T](v.t.In(bucket), key)
	return found, ok, v.t.Err()
}

// Operators are all operators, by ID.
func (v *View) Operators() ([]Operator, error) {
	return table.All[Operator](v.t.In(schema.Operators), nil), v.t.Err()
}

// OperatorsAfter are the IDs of at most n operators, in order, from the one after
// another on.
func (v *View) OperatorsAfter(id OperatorID, n int) (ids []OperatorID, err error) {
	for k := range v.t.In(schema.Operators).Up(append(opKey(id), 0), nil) {
		if len(ids) == n {
			break
		}
		ids = append(ids, OperatorID(k[:len(k)-1]))
	}
	return ids, v.t.Err()
}

// Message is what the operator sent under the messaging app's number id.
func (v *View) Message(op OperatorID, id int64) (Message, bool, error) {
	return got[Message](v, schema.Messages, opKey(op, keys.Int(id)))
}

// Messages are the messages filed under a pass, by id. The ones under no pass
// have the PassID "".
func (v *View) Messages(op OperatorID, pass PassID) ([]Message, error) {
	return table.Collect(v.t.Tx, v.t.In(schema.MessagesByPass).Up(keys.With(passKey(op, pass))), v.messageAt(op))
}

// VisitLatestMessages visits the same messages as Messages, the latest first,
// until visit says stop.
func (v *View) VisitLatestMessages(op OperatorID, pass PassID, more func(Message) bool) error {
	return table.Visit(v.t.Tx, v.t.In(schema.MessagesByPass).Down(keys.With(passKey(op, pass))), v.messageAt(op), more)
}

// messageAt finds the message that a key of an index leads to.
func (v *View) messageAt(op OperatorID) func([]byte) (Message, bool) {
	return func(k []byte) (Message, bool) {
		return table.Get[Message](v.t.In(schema.Messages), opKey(op, k[len(k)-8:]))
	}
}

// contactAt finds the contact that a key of an index leads to.
func (v *View) contactAt(op OperatorID) func([]byte) (Contact, bool) {
	return func(k []byte) (Contact, bool) { return v.contact(op, keys.UintOf(k)) }
}

// Post is the post with that name, out or not, as it reads once what is owed of it is out.
func (v *View) Post(name string) (Post, bool, error) {
	p, ok := v.t.post(name)
	for _, kind := range []string{newerOf, EditOf} {
		if edit, _ := v.t.post(name + kind); edit.owed() && edit.Target == name {
			p.show(edit.Post)
		}
	}
	return p.Post, ok, v.t.Err()
}

// Number is the number of a message that the messaging app names; 0 if it has none.
func (v *View) Number(op OperatorID, name string) int64 { return v.t.names().Number(opKey(op), name) }

// Name is the messaging app's name of a message; that of 0 is empty.
func (v *View) Name(op OperatorID, number int64) string { return v.t.names().Name(opKey(op), number) }

// PostByApp is the post that is out under the messaging app's number appID,
// with the text and the buttons it has now.
func (v *View) PostByApp(op OperatorID, appID int64) (Post, bool, error) {
	name, ok, err := got[string](v, schema.PostsByApp, opKey(op, keys.Int(appID)))
	if !ok {
		return Post{}, false, err
	}
	p, ok := v.t.post(name)
	return p.Post, ok, v.t.Err()
}

// NewestPost is the post with the highest number of those that are out, where the app
// names messages: its numbers grow.
func (v *View) NewestPost(op OperatorID) (p Post, ok bool, err error) {
	k, _ := v.t.In(schema.PostsByApp).Last(opKey(op))
	if k == nil {
		return p, false, v.t.Err()
	}
	return v.PostByApp(op, names.KeyNumber(k))
}

// Pass is the pass with that ID.
func (v *View) Pass(op OperatorID, id PassID) (Pass, bool, error) {
	p, ok := v.pass(passKey(op, id))
	return p, ok, v.t.Err()
}

// Passes are the passes any part of which lies in the range, by AOS, then ID.
func (v *View) Passes(op OperatorID, from, to time.Time) ([]Pass, error) {
	skip := len(opKey(op)) + keys.TimeLen
	find := func(k []byte) (Pass, bool) { return v.pass(opKey(op, k[skip:])) }
	led := v.t.In(schema.PassesByEnd).Up(opKey(op, keys.Time(from)), opKey(op, keys.Time(to.Add(longestPass))))
	ps, err := table.Collect(v.t.Tx, led, find)
	ps = slices.DeleteFunc(ps, func(p Pass) bool { return !p.LOS.After(from) || !p.AOS.Before(to) })
	slices.SortFunc(ps, func(a, b Pass) int {
		return cmp.Or(a.AOS.Compare(b.AOS), cmp.Compare(a.ID, b.ID))
	})
	return ps, err
}

// Contact is the latest version of a contact.
func (v *View) Contact(op OperatorID, id uint64) (Contact, bool, error) {
	c, ok := v.contact(op, id)
	return c, ok, v.t.Err()
}

// ContactAt is one version of a contact.
func (v *View) ContactAt(op OperatorID, id uint64, version int) (Contact, bool, error) {
	return got[Contact](v, schema.Contacts, contactKey(op, id, version))
}

// History are all versions of a contact, oldest first.
func (v *View) History(op OperatorID, id uint64) ([]Contact, error) {
	return table.All[Contact](v.t.In(schema.Contacts), opKey(op, keys.Uint(id))), v.t.Err()
}

// ContactsOfPass are the contacts of a pass in any state, by ID. The ones under
// no pass have the PassID "".
func (v *View) ContactsOfPass(op OperatorID, pass PassID) ([]Contact, error) {
	return table.Collect(v.t.Tx, v.t.In(schema.ContactsByPass).Up(keys.With(passKey(op, pass))), v.contactAt(op))
}

// ContactsOfCall are the contacts with a station in any state, by ID.
func (v *View) ContactsOfCall(op OperatorID, call parse.Callsign) ([]Contact, error) {
	return table.Collect(v.t.Tx, v.t.In(schema.ContactsByCall).Up(keys.With(opKey(op, keys.Text(call.String())))), v.contactAt(op))
}

// Contacts are the contacts in a range of time in any state, by time, then ID.
func (v *View) Contacts(op OperatorID, from, to time.Time) ([]Contact, error) {
	return table.Collect(v.t.Tx, v.t.In(schema.ContactsByTime).Up(opKey(op, keys.Time(from)), opKey(op, keys.Time(to))), v.contactAt(op))
}

// VisitLatest visits the same contacts as Contacts, the latest first, until visit
// says stop.
func (v *View) VisitLatest(op OperatorID, from, to time.Time, more func(Contact) bool) error {
	led := v.t.In(schema.ContactsByTime).Down(opKey(op, keys.Time(from)), opKey(op, keys.Time(to)))
	return table.Visit(v.t.Tx, led, v.contactAt(op), more)
}

// VisitByTime visits the contacts in any state, by time, then ID, until visit
// says stop.
func (v *View) VisitByTime(op OperatorID, more func(Contact) bool) error {
	return table.Visit(v.t.Tx, v.t.In(schema.ContactsByTime).Up(keys.With(opKey(op))), v.contactAt(op), more)
}

// VisitSquare visits the contacts in any state that gave a grid in a square (of
// four characters), with one bird or, where its name is empty, with any, until
// visit says stop. Only the bird's names count.
func (v *View) VisitSquare(op OperatorID, square parse.Grid, bird BirdRef, more func(Contact) bool) error {
	prefix := opKey(op, keys.Text(square.Square().String()))
	if name := birdKey(bird); name != "" {
		prefix = append(prefix, keys.Text(name)...)
	}
	return table.Visit(v.t.Tx, v.t.In(schema.ContactsBySquare).Up(keys.With(prefix)), v.contactAt(op), more)
}

// VisitTail visits the contacts in any state with stations whose base call ends
// in tail (upper case), until visit says stop.
func (v *View) VisitTail(op OperatorID, tail string, more func(Contact) bool) error {
	prefix := opKey(op, []byte(keys.Backwards(tail)))
	return table.Visit(v.t.Tx, v.t.In(schema.ContactsByTail).Up(keys.With(prefix)), v.contactAt(op), more)
}

// VisitHead visits the contacts in any state with stations whose call begins with
// head (upper case), until visit says stop.
func (v *View) VisitHead(op OperatorID, head string, more func(Contact) bool) error {
	return table.Visit(v.t.Tx, v.t.In(schema.ContactsByCall).Up(keys.With(opKey(op, []byte(head)))), v.contactAt(op), more)
}

// NextContact is the ID the operator's next contact gets.
func (v *View) NextContact(op OperatorID) uint64 {
	k, _ := v.t.In(schema.Contacts).Last(opKey(op))
	o, _ := table.Get[Operator](v.t.In(schema.Operators), opKey(op))
	return max(keys.UintOf(k[:max(0, len(k)-keys.VersionLen)]), o.Given) + 1
}

// NextStep is the number the operator's next step gets.
func (v *View) NextStep(op OperatorID) uint64 {
	k, _ := v.t.In(schema.Steps).Last(opKey(op))
	return keys.UintOf(k) + 1
}

// VisitLatestSteps visits an operator's steps, the newest first, until visit says
// stop.
func (v *View) VisitLatestSteps(op OperatorID, more func(Step) bool) error {
	find := func(k []byte) (Step, bool) { return table.Get[Step](v.t.In(schema.Steps), k) }
	return table.Visit(v.t.Tx, v.t.In(schema.Steps).Down(keys.With(opKey(op))), find, more)
}

// Sitting is an operator's sitting of that number.
func (v *View) Sitting(op OperatorID, id uint64) (Sitting, bool, error) {
	return got[Sitting](v, schema.Sittings, opKey(op, keys.Uint(id)))
}

// LastSitting is the number of the operator's newest sitting, 0 where there is none.
func (v *View) LastSitting(op OperatorID) uint64 {
	k, _ := v.t.In(schema.Sittings).Last(opKey(op))
	return keys.UintOf(k)
}

// HandedOver is the newest version of a contact that went out in a file, unless
// it was withdrawn since.
func (v *View) HandedOver(op OperatorID, id uint64) (version int, ok bool) {
	h, ok := table.Get[handOver](v.t.In(schema.Handed), opKey(op, keys.Uint(id)))
	return h.Version, ok && !h.Withdrawn
}

// VisitUnhanded visits the latest versions of the contacts of which no file holds
// just that one, by ID, until visit says stop: those that never went out, those
// that were changed or are to be deleted elsewhere. What came of an import and is
// only remembered is no part of the log and is passed over. A long log costs
// little: of what went out only the keys are read.
func (v *View) VisitUnhanded(op OperatorID, visit func(Contact) (more bool)) error {
	out := map[string][]byte{}
	for k, handed := range v.t.In(schema.Handed).Up(keys.With(opKey(op))) {
		out[string(k)] = handed
	}
	for k, text := range keys.LastVersions(v.t.In(schema.Contacts).Up(keys.With(opKey(op)))) {
		handed, isOut := out[string(k[:len(k)-keys.VersionLen])]
		isOut = isOut && !bytes.Contains(handed, []byte(`"withdrawn":true`))
		if isOut && outAs(handed, keys.VersionOf(k)) || !isOut && onlyRemembered(text) {
			continue
		}
		if c, ok := table.Read[Contact](v.t.In(schema.Contacts), k, text); !ok || !visit(c) {
			break
		}
	}
	return v.t.Err()
}

// outAs reports whether a stored hand-over is one of a version that stands,
// without reading it.
func outAs(value []byte, version int) bool {
	const head = `{"version":`
	rest, ok := bytes.CutPrefix(value, []byte(head))
	number, _, comma := bytes.Cut(rest, []byte(","))
	return ok && comma && string(number) == strconv.Itoa(version)
}

// onlyRemembered reports whether a stored contact is Remembered, without reading
// it. Inside a text of JSON the quotation marks would be escaped.
func onlyRemembered(value []byte) bool {
	return bytes.Contains(value, []byte(`,"state":"`+string(Remembered)+`",`))
}
