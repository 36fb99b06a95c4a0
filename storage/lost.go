package storage

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"skyslate/parse"
	"skyslate/storage/keys"
	"skyslate/storage/salvage"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// A contact of which only the number is known, and what indexes tell of it, is
// kept as its version 0: the number is not given again, and any version that
// comes back later stands above it. The cause says that it is lost.
const causeLost = "lost"

// MomentLost is the kind of the item on the agenda at which an operator is told
// what was lost; LostKey, the operator's own, is where it is kept. MendedKey is where
// is kept, until the owner is told, what all may have lost.
const (
	MomentLost = "lost"
	LostKey    = "lost"
	MendedKey  = "mended"
)

// Losses are what an operator has lost by damage.
type Losses struct {
	Contacts []uint64 `json:"contacts,omitempty"`
	// Since is from when on other things may be missing, such as messages and what
	// they were answered: zero where all of them are there.
	Since time.Time `json:"since,omitzero"`
	// All says that they may be missing from the beginning.
	All bool `json:"all,omitempty"`
}

// mending stands beside the header while a database that was made anew has not
// been searched for what is missing.
type mending struct {
	Losses
	// Hurt are the keys of what was lost if the pages were whole; nil: they were not.
	Hurt [][]byte `json:"hurt"`
	made bool     // of something: a store that begins has lost nothing
}

const mendingKey schema.Value[mending] = "mending"

// skipped are numbers of contacts that are not given after damage: nobody can tell
// which were. It is far more than an operator logs or imports between two backups.
const skipped = 1_000_000

// A mender joins to a database what other files hold and it lacks, and mends one that was
// made anew, in a transaction.
type mender struct{ *tx }

// noteLost keeps the contacts that indexes of a damaged database name and that
// nobody else knows.
func (t mender) noteLost(g *salvage.Find) {
	for _, name := range []string{schema.Handed, schema.ContactsByTime, schema.ContactsByPass, schema.ContactsByCall} {
		for key := range g.Keys(name) {
			op, rest, ok := bytes.Cut([]byte(key), []byte{0})
			c, known := t.latest(OperatorID(op), keys.UintOf(rest))
			if !ok || len(rest) < 8 || known && c.Version > 0 {
				continue
			}
			c.Operator, c.ID = OperatorID(op), keys.UintOf(rest)
			switch text := string(bytes.TrimSuffix(rest[:len(rest)-8], []byte{0})); name {
			case schema.ContactsByTime:
				c.Time = keys.TimeOf(rest)
			case schema.ContactsByPass:
				c.Pass = PassID(text)
			case schema.ContactsByCall:
				c.Call, _ = parse.ParseCallsign(text) // without one it is lost all the same
			}
			t.putLost(c)
		}
	}
}

func (t mender) putLost(c Contact) {
	c.Version, c.State, c.Cause = 0, Dropped, Cause{Kind: causeLost}
	t.storeContact(c)
}

// mend makes good what is missing in a database that was made anew, when all that
// can be had is in it and nothing leads nowhere (unhook): it marks the numbers of lost
// contacts as given, and puts it on the agenda that the operators are told.
func (t mender) mend(m mending) (contacts int) {
	lost := map[OperatorID][]uint64{}
	for _, c := range t.lostContacts() {
		lost[c.op] = append(lost[c.op], c.id)
		contacts++
	}
	for _, o := range table.All[Operator](t.In(schema.Operators), nil) {
		l := Losses{Contacts: lost[o.ID]}
		if m.Hurt == nil {
			v := View{t: t.tx}
			o.Given = v.NextContact(o.ID) - 1 + skipped
			t.In(schema.Operators).Set(opKey(o.ID), o)
		}
		if m.Hurt == nil || slices.ContainsFunc(m.Hurt, t.isLost(o.ID)) {
			l.Since, l.All = m.Since, m.All
		}
		if len(l.Contacts) == 0 && l.Since.IsZero() && !l.All {
			continue
		}
		t.keepLosses(OwnKey(o.ID, LostKey), l)
		t.putItem(Item{
			Key: MomentLost + "/" + string(o.ID) + "/", At: o.Heard, Operator: o.ID, Kind: MomentLost, By: fmt.Sprint("#", t.ID()),
		})
	}
	if m.Hurt == nil {
		t.keepLosses(MendedKey, m.Losses)
	}
	mendingKey.Delete(t.Tx)
	return contacts
}

func (t mender) keepLosses(key string, l Losses) {
	text, err := json.Marshal(l)
	t.Fail(err)
	t.keep(map[string][]byte{key: text})
}

// lostContacts are those that lack versions, by number. Contacts are numbered
// without gaps but for those of earlier damage, and steps tell which versions there
// were.
func (t mender) lostContacts() (lost []contactID) {
	newest := map[contactID]int{}
	for _, c := range table.Scan[Contact](t.In(schema.Contacts), nil) {
		newest[contactID{c.Operator, c.ID}] = 1
	}
	for _, s := range table.Scan[Step](t.In(schema.Steps), nil) {
		for _, m := range s.Moves {
			c := contactID{s.Operator, m.Contact}
			newest[c] = max(newest[c], m.To)
		}
	}
	var before contactID
	for _, c := range slices.SortedFunc(maps.Keys(newest), byNumber) {
		if before.op != c.op {
			before = contactID{op: c.op}
		}
		if c.id-before.id < skipped {
			for before.id++; before.id < c.id; before.id++ {
				newest[before] = 1
			}
		}
		before = c
	}
	for _, c := range slices.SortedFunc(maps.Keys(newest), byNumber) {
		known, ok := t.latest(c.op, c.id)
		if !ok {
			t.putLost(Contact{Operator: c.op, ID: c.id})
		}
		if known.Version < newest[c] {
			lost = append(lost, c)
		}
	}
	return lost
}

func byNumber(a, b contactID) int { return cmp.Or(cmp.Compare(a.op, b.op), cmp.Compare(a.id, b.id)) }

// isLost tells of a key whether something of an operator's lay there or with it that
// isn't back. Which bucket it was isn't known; contacts come back from the journal. A
// name that begins with no operator led entries of several (agenda, posts, events);
// keys that are numbers and moments led indexes, which are made anew.
func (t mender) isLost(op OperatorID) func(key []byte) bool {
	return func(key []byte) bool {
		if bytes.HasPrefix(key, opKey(op)) {
			return !t.In(schema.Contacts).Has(key)
		}
		first, _, _ := bytes.Cut(key, []byte{0})
		isName := len(first) > 0 && ' ' <= first[0] && first[0] <= '~'
		return isName && !t.In(schema.Operators).Has(opKey(OperatorID(first)))
	}
}

// adoptOperators makes known whoever something in the database is of.
func (t mender) adoptOperators() {
	ops := map[OperatorID]bool{}
	for _, name := range []string{schema.Contacts, schema.Passes, schema.Messages, schema.Steps, schema.Sittings} {
		for k := range t.In(name).Up(nil, nil) {
			op, _, _ := bytes.Cut(k, []byte{0})
			ops[OperatorID(op)] = true
		}
	}
	for op := range ops {
		if !t.holds(recordName{op: op}) {
			t.In(schema.Operators).Set(opKey(op), Operator{ID: op, Remind: DefaultRemind()})
		}
	}
}

// unhook mends what leads nowhere: what is of unknown operators, messages that are
// evidence in no sitting, files that held versions nobody knows. A contact of such a
// file goes out again.
func (t mender) unhook() {
	t.adoptOperators()
	for _, c := range table.All[Contact](t.In(schema.Contacts), nil) {
		if c.Pass != "" && !t.holds(recordName{op: c.Operator, pass: c.Pass}) {
			t.putPass(Pass{
				ID: c.Pass, Operator: c.Operator, Bird: c.Bird, AOS: c.Time, TCA: c.Time, LOS: c.Time, Void: true,
				Decided: c.Time, Closed: c.Time,
			})
		}
	}
	for _, m := range table.All[Message](t.In(schema.Messages), nil) {
		if m.Sitting != 0 && !t.In(schema.Sittings).Has(opKey(m.Operator, keys.Uint(m.Sitting))) {
			m.Sitting = 0
			t.putMessage(m)
		}
	}
	table.DeleteWhere(t.In(schema.Handed), nil, func(k []byte, h handOver) bool {
		return !t.In(schema.Contacts).Has(append(bytes.Clone(k), keys.Version(h.Version)...))
	})
}
