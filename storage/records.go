package storage

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/storage/keys"
	"skyslate/storage/table"
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
		func(p Pass) []byte { return opKey(p.Operator, keys.Time(p.LOS), keys.Text(string(p.ID))) },
	}
	messageRecords = indexed[Message]{
		inMessages, inMessagesByPass,
		func(m Message) []byte { return opKey(m.Operator, keys.Int(m.ID)) },
		func(m Message) []byte { return opKey(m.Operator, keys.Text(string(m.Pass)), keys.Int(m.ID)) },
	}
	itemRecords = indexed[Item]{
		inAgenda, inAgendaByTime,
		func(i Item) []byte { return keys.Text(i.Key) },
		func(i Item) []byte { return slices.Concat(keys.Time(i.At), keys.Text(i.Key)) },
	}
)

// put stores a record in the place of the one under its key.
func (x indexed[T]) put(t *tx, v T) {
	x.remove(t, x.key(v))
	t.In(x.index).Mark(x.indexKey(v))
	t.In(x.records).Set(x.key(v), v)
}

// remove takes the record under a key away if it is there.
func (x indexed[T]) remove(t *tx, k []byte) {
	if old, known := table.Get[T](t.In(x.records), k); known {
		t.In(x.index).Delete(x.indexKey(old))
		t.In(x.records).Delete(k)
	}
}

func (t *tx) putOperator(o Operator) {
	if !t.holds(recordName{op: o.ID}) {
		t.operators++
	}
	t.In(inOperators).Set(opKey(o.ID), o)
}

func passKey(op OperatorID, id PassID) []byte { return opKey(op, keys.Text(string(id))) }

func (t *tx) putPass(p Pass) {
	t.checkName("a pass's ID", string(p.ID))
	t.checkName("a pass's operator", string(p.Operator))
	if p.LOS.Before(p.AOS) || p.LOS.Sub(p.AOS) > longestPass {
		t.Fail(fmt.Errorf("pass %q lasts from %s to %s: want at most a day",
			p.ID, p.AOS.Format(time.RFC3339), p.LOS.Format(time.RFC3339)))
	}
	passRecords.put(t, p)
}

func contactKey(op OperatorID, id uint64, version int) []byte {
	return opKey(op, keys.Uint(id), keys.Version(version))
}

func (t *tx) latest(op OperatorID, id uint64) (c Contact, ok bool) {
	b := t.In(inContacts)
	if k, data := b.Last(opKey(op, keys.Uint(id))); k != nil {
		return table.Read[Contact](b, k, data)
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
		t.Fail(fmt.Errorf("a contact of %q has no ID", c.Operator))
	case c.Version != old.Version+1:
		t.Fail(fmt.Errorf("contact %d of %q stands at version %d: version %d can't follow",
			c.ID, c.Operator, old.Version, c.Version))
	case !t.holds(recordName{op: c.Operator}):
		t.Fail(fmt.Errorf("contact %d is of the unknown operator %q", c.ID, c.Operator))
	case c.Pass != "" && !t.holds(recordName{op: c.Operator, pass: c.Pass}):
		t.Fail(fmt.Errorf("contact %d of %q is of the unknown pass %q", c.ID, c.Operator, c.Pass))
	}
	t.storeContact(c)
}

// storeContact writes a version and, if none after it is there, moves the indexes
// to it: they hold the latest alone.
func (t *tx) storeContact(c Contact) {
	old, known := t.latest(c.Operator, c.ID)
	t.In(inContacts).Set(contactKey(c.Operator, c.ID, c.Version), c)
	if known && old.Version > c.Version {
		return
	}
	if known {
		for _, l := range contactLeads(old) {
			t.In(l.index).Delete(l.key)
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
			t.In(l.index).Mark(l.key)
		} else {
			t.In(l.index).Set(l.key, l.value)
		}
	}
}

// eachRecord visits all records with what the indexes should hold of each.
func (t *tx) eachRecord(visit func(record any, ls []lead)) {
	for k, r := range table.Scan[Raw](t.In(inInbox), nil) {
		visit(r, []lead{{inInboxByID, keys.Text(r.ID), keys.UintOf(k)}})
	}
	for _, p := range table.Scan[Pass](t.In(inPasses), nil) {
		visit(p, []lead{{inPassesByEnd, passRecords.indexKey(p), nil}})
	}
	for _, m := range table.Scan[Message](t.In(inMessages), nil) {
		visit(m, []lead{{inMessagesByPass, messageRecords.indexKey(m), nil}})
	}
	for _, i := range table.Scan[Item](t.In(inAgenda), nil) {
		visit(i, []lead{{inAgendaByTime, itemRecords.indexKey(i), nil}})
	}
	for _, c := range table.Scan[Contact](t.In(inContacts), nil) {
		k, _ := t.In(inContacts).Last(opKey(c.Operator, keys.Uint(c.ID)))
		if bytes.Equal(k, contactKey(c.Operator, c.ID, c.Version)) {
			visit(c, contactLeads(c))
		} else {
			visit(c, nil)
		}
	}
	for _, p := range table.Scan[outPost](t.In(inPosts), nil) {
		switch {
		case p.owed():
			visit(p, []lead{{inOwed, keys.Uint(p.Seq), p.Name}})
		case p.AppID != 0 && (p.Op == Send || p.Op == File): // it stands in the chat
			visit(p, []lead{{inPostsByApp, opKey(p.Operator, keys.Int(p.AppID)), p.Name}})
		default:
			visit(p, nil)
		}
	}
}

// reindex makes all indexes anew from what they lead to.
func (t *tx) reindex() {
	for _, name := range indexNames {
		t.Drop(name)
		t.Create(name)
	}
	t.eachRecord(func(_ any, ls []lead) { t.lead(ls) })
}

// contactLeads are the entries of a latest version.
func contactLeads(c Contact) []lead {
	id := keys.Uint(c.ID)
	ls := []lead{
		{inContactsByPass, opKey(c.Operator, keys.Text(string(c.Pass)), id), nil},
		{inContactsByTime, opKey(c.Operator, keys.Time(c.Time), id), nil},
	}
	if c.Call.IsValid() {
		ls = append(ls,
			lead{inContactsByCall, opKey(c.Operator, keys.Text(c.Call.String()), id), nil},
			lead{inContactsByTail, opKey(c.Operator, keys.Text(backwards(c.Call.Base())), id), nil})
	}
	for _, g := range c.Grids {
		square, bird := keys.Text(g.Square().String()), keys.Text(birdKey(c.Bird))
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
		k := opKey(op, keys.Uint(ref.ID))
		if old, _ := table.Get[handOver](t.In(inHanded), k); old.Version <= ref.Version {
			t.In(inHanded).Set(k, handOver{ref.Version, at, withdrawn})
		}
	}
}
