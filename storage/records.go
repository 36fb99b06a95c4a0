package storage

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/storage/names"
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
		func(i Item) []byte { return slices.Concat(timeKey(i.At), textKey(i.Key)) },
	}
)

// put stores a record in the place of the one under its key.
func (x indexed[T]) put(t *tx, v T) {
	x.remove(t, x.key(v))
	t.in(x.index).mark(x.indexKey(v))
	t.in(x.records).put(x.key(v), v)
}

// remove takes the record under a key away if it is there.
func (x indexed[T]) remove(t *tx, k []byte) {
	if old, known := get[T](t.in(x.records), k); known {
		t.in(x.index).Delete(x.indexKey(old))
		t.in(x.records).Delete(k)
	}
}

// names is the table of messages' names and numbers.
func (t *tx) names() names.Table {
	return names.Table{Names: t.in(inNames).Bucket, Numbers: t.in(inNumbers).Bucket}
}

// number is the number of a message, which it is given if it has none.
func (t *tx) number(op OperatorID, name string, by names.Side, at time.Time) int64 {
	if name == "" {
		return 0
	}
	t.checkName("a message's name", name)
	return t.names().Give(opKey(op), name, by, at)
}

func (t *tx) putOperator(o Operator) {
	if !t.holds(recordName{op: o.ID}) {
		t.operators++
	}
	t.in(inOperators).put(opKey(o.ID), o)
}

func passKey(op OperatorID, id PassID) []byte { return opKey(op, textKey(string(id))) }

func (t *tx) putPass(p Pass) {
	t.checkName("a pass's ID", string(p.ID))
	t.checkName("a pass's operator", string(p.Operator))
	if p.LOS.Before(p.AOS) || p.LOS.Sub(p.AOS) > longestPass {
		t.fail(fmt.Errorf("pass %q lasts from %s to %s: want at most a day",
			p.ID, p.AOS.Format(time.RFC3339), p.LOS.Format(time.RFC3339)))
	}
	passRecords.put(t, p)
}

func contactKey(op OperatorID, id uint64, version int) []byte {
	return opKey(op, uintKey(id), versionKey(version))
}

func (t *tx) latest(op OperatorID, id uint64) (c Contact, ok bool) {
	b := t.in(inContacts)
	if k, data := b.last(opKey(op, uintKey(id))); k != nil {
		return read[Contact](b, k, data)
	}
	return c, false
}

// addContact appends a version: the one after the latest, of an operator and a
// pass that are known.
func (t *tx) addContact(c Contact) {
	t.checkName("a contact's operator", string(c.Operator))
	old, _ := t.latest(c.Operator, c.ID)
	switch {
	case c.ID == 0:
		t.fail(fmt.Errorf("a contact of %q has no ID", c.Operator))
	case c.Version != old.Version+1:
		t.fail(fmt.Errorf("contact %d of %q stands at version %d: version %d can't follow",
			c.ID, c.Operator, old.Version, c.Version))
	case !t.holds(recordName{op: c.Operator}):
		t.fail(fmt.Errorf("contact %d is of the unknown operator %q", c.ID, c.Operator))
	case c.Pass != "" && !t.holds(recordName{op: c.Operator, pass: c.Pass}):
		t.fail(fmt.Errorf("contact %d of %q is of the unknown pass %q", c.ID, c.Operator, c.Pass))
	}
	t.storeContact(c)
}

// storeContact writes a version and, if none after it is there, moves the indexes
// to it: they hold the latest alone.
func (t *tx) storeContact(c Contact) {
	old, known := t.latest(c.Operator, c.ID)
	t.in(inContacts).put(contactKey(c.Operator, c.ID, c.Version), c)
	if known && old.Version > c.Version {
		return
	}
	if known {
		for _, l := range contactLeads(old) {
			t.in(l.index).Delete(l.key)
		}
	}
	t.lead(contactLeads(c))
}

// lead is an entry of an index; without a value its key says all.
type lead struct {
	index string
	key   []byte
	value any
}

func (t *tx) lead(ls []lead) {
	for _, l := range ls {
		if l.value == nil {
			t.in(l.index).mark(l.key)
		} else {
			t.in(l.index).put(l.key, l.value)
		}
	}
}

// eachRecord visits all records with what the indexes should hold of each.
func (t *tx) eachRecord(visit func(record any, ls []lead)) {
	for k, r := range scan[Raw](t.in(inInbox), nil) {
		visit(r, []lead{{inInboxByID, textKey(r.ID), lastUint(k)}})
	}
	for _, p := range scan[Pass](t.in(inPasses), nil) {
		visit(p, []lead{{inPassesByEnd, passRecords.indexKey(p), nil}})
	}
	for _, m := range scan[Message](t.in(inMessages), nil) {
		visit(m, []lead{{inMessagesByPass, messageRecords.indexKey(m), nil}})
	}
	for k, name := range scan[string](t.in(inNames), nil) {
		op, _, _ := bytes.Cut(k, []byte{0})
		visit(name, []lead{{inNumbers, opKey(OperatorID(op), textKey(name)), names.KeyNumber(k)}})
	}
	for _, i := range scan[Item](t.in(inAgenda), nil) {
		visit(i, []lead{{inAgendaByTime, itemRecords.indexKey(i), nil}})
	}
	for _, c := range scan[Contact](t.in(inContacts), nil) {
		k, _ := t.in(inContacts).last(opKey(c.Operator, uintKey(c.ID)))
		if bytes.Equal(k, contactKey(c.Operator, c.ID, c.Version)) {
			visit(c, contactLeads(c))
		} else {
			visit(c, nil)
		}
	}
	for _, p := range scan[outPost](t.in(inPosts), nil) {
		switch {
		case p.owed():
			visit(p, []lead{{inOwed, uintKey(p.Seq), p.Name}})
		case p.AppID != 0 && (p.Op == Send || p.Op == File): // it stands in the chat
			visit(p, []lead{{inPostsByApp, opKey(p.Operator, intKey(p.AppID)), p.Name}})
		default:
			visit(p, nil)
		}
	}
}

// reindex makes all indexes anew from what they lead to.
func (t *tx) reindex() {
	for _, name := range indexNames {
		t.empty(name)
	}
	t.eachRecord(func(_ any, ls []lead) { t.lead(ls) })
}

var contactIndexes = []string{
	inContactsByPass, inContactsByCall, inContactsByTime, inContactsBySquare, inContactsByTail,
}

// contactLeads are the entries of a latest version.
func contactLeads(c Contact) []lead {
	id := uintKey(c.ID)
	ls := []lead{
		{inContactsByPass, opKey(c.Operator, textKey(string(c.Pass)), id), nil},
		{inContactsByTime, opKey(c.Operator, timeKey(c.Time), id), nil},
	}
	if c.Call.IsValid() {
		ls = append(ls,
			lead{inContactsByCall, opKey(c.Operator, textKey(c.Call.String()), id), nil},
			lead{inContactsByTail, opKey(c.Operator, textKey(backwards(c.Call.Base())), id), nil})
	}
	for _, g := range c.Grids {
		square, bird := textKey(g.Square().String()), textKey(birdKey(c.Bird))
		ls = append(ls, lead{inContactsBySquare, opKey(c.Operator, square, bird, id), nil})
	}
	return ls
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

// handOver is the newest version of a contact that is out in a file.
type handOver struct {
	Version int       `json:"version"`
	At      time.Time `json:"at"`
	// Withdrawn: the operator was told to delete it there since.
	Withdrawn bool `json:"withdrawn,omitempty"`
}

// markHanded remembers that versions of contacts are out in a file, or that they
// are to be deleted where they are. Of the same version the last word holds.
func (t *tx) markHanded(op OperatorID, refs []ContactRef, withdrawn bool, at time.Time) {
	for _, ref := range refs {
		k := opKey(op, uintKey(ref.ID))
		if old, _ := get[handOver](t.in(inHanded), k); old.Version <= ref.Version {
			t.in(inHanded).put(k, handOver{ref.Version, at, withdrawn})
		}
	}
}
