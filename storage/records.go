package storage

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/storage/index"
	"skyslate/storage/keys"
	"skyslate/storage/names"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// The kinds of record to which indexes lead.
var (
	rawRecords = index.Kind[Raw]{Bucket: schema.Inbox, Leads: func(_ *table.Tx, k []byte, r Raw) []index.Lead {
		return []index.Lead{{Index: schema.InboxByID, Key: keys.Text(r.ID), Value: keys.UintOf(k)}}
	}}
	passRecords = index.Kind[Pass]{Bucket: schema.Passes, Leads: func(_ *table.Tx, _ []byte, p Pass) []index.Lead {
		return []index.Lead{{Index: schema.PassesByEnd, Key: opKey(p.Operator, keys.Time(p.LOS), keys.Text(string(p.ID)))}}
	}}
	messageRecords = index.Kind[Message]{Bucket: schema.Messages, Leads: func(_ *table.Tx, _ []byte, m Message) []index.Lead {
		return []index.Lead{{Index: schema.MessagesByPass, Key: opKey(m.Operator, keys.Text(string(m.Pass)), keys.Int(m.ID))}}
	}}
	itemRecords = index.Kind[Item]{Bucket: schema.Agenda, Leads: func(_ *table.Tx, k []byte, i Item) []index.Lead {
		return []index.Lead{{Index: schema.AgendaByTime, Key: slices.Concat(keys.Time(i.At), k)}}
	}}
	contactRecords = index.Kind[Contact]{Bucket: schema.Contacts, Leads: func(t *table.Tx, k []byte, c Contact) []index.Lead {
		if newest, _ := t.In(schema.Contacts).Last(k[:max(0, len(k)-keys.VersionLen)]); !bytes.Equal(k, newest) {
			return nil
		}
		return append(contactLeads(c), namedLeads(t, c)...)
	}}
	operatorRecords = index.Kind[Operator]{Bucket: schema.Operators, Leads: func(_ *table.Tx, _ []byte, o Operator) []index.Lead {
		return callerLeads(o)
	}}
	nameRecords = index.Kind[string]{Bucket: schema.Names, Leads: func(_ *table.Tx, k []byte, name string) []index.Lead {
		op, _, _ := bytes.Cut(k, []byte{0})
		return []index.Lead{{Index: schema.Numbers, Key: opKey(OperatorID(op), keys.Text(name)), Value: names.KeyNumber(k)}}
	}}
	postRecords = index.Kind[outPost]{Bucket: schema.Posts, Leads: func(_ *table.Tx, _ []byte, p outPost) []index.Lead {
		switch {
		case p.owed():
			return []index.Lead{{Index: schema.Owed, Key: keys.Uint(p.Seq), Value: p.Name}}
		case p.AppID != 0 && (p.Op == Send || p.Op == File): // it stands in the chat
			return []index.Lead{{Index: schema.PostsByApp, Key: opKey(p.Operator, keys.Int(p.AppID)), Value: p.Name}}
		}
		return nil
	}}
)

// reindex makes all indexes anew from what they lead to.
func (t *tx) reindex() {
	for _, name := range schema.Indexes {
		t.Drop(name)
		t.Create(name)
	}
	for _, rebuild := range []func(*table.Tx){
		operatorRecords.Rebuild, // contacts lean on it
		rawRecords.Rebuild, passRecords.Rebuild, messageRecords.Rebuild, itemRecords.Rebuild, contactRecords.Rebuild,
		postRecords.Rebuild, nameRecords.Rebuild,
	} {
		rebuild(t.Tx)
	}
}

// names is the table of messages' names and numbers.
func (t *tx) names() names.Table {
	return names.Table{Names: t.In(schema.Names).Bucket, Numbers: t.In(schema.Numbers).Bucket}
}

// number is the number of a message, which it is given if it has none.
func (t *tx) number(op OperatorID, name string, by names.Side, at time.Time) int64 {
	if name == "" {
		return 0
	}
	t.checkName("a message's name", name)
	return t.names().Give(opKey(op), name, by, at)
}

func (t *tx) putMessage(m Message) { messageRecords.Put(t.Tx, opKey(m.Operator, keys.Int(m.ID)), m) }

func (t *tx) putItem(i Item) { itemRecords.Put(t.Tx, keys.Text(i.Key), i) }

func passKey(op OperatorID, id PassID) []byte { return opKey(op, keys.Text(string(id))) }

func (t *tx) putPass(p Pass) {
	t.checkName("a pass's ID", string(p.ID))
	t.checkName("a pass's operator", string(p.Operator))
	if p.LOS.Before(p.AOS) || p.LOS.Sub(p.AOS) > longestPass {
		t.Fail(fmt.Errorf("pass %q lasts from %s to %s: want at most a day",
			p.ID, p.AOS.Format(time.RFC3339), p.LOS.Format(time.RFC3339)))
	}
	passRecords.Put(t.Tx, passKey(p.Operator, p.ID), p)
}

func contactKey(op OperatorID, id uint64, version int) []byte {
	return opKey(op, keys.Uint(id), keys.Version(version))
}

func (t *tx) latest(op OperatorID, id uint64) (c Contact, ok bool) {
	b := t.In(schema.Contacts)
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
	var leads []index.Lead
	old, known := t.latest(c.Operator, c.ID)
	if known {
		leads = append(contactLeads(old), namedLeads(t.Tx, old)...)
	}
	t.In(schema.Contacts).Set(contactKey(c.Operator, c.ID, c.Version), c)
	if !known || old.Version <= c.Version {
		index.Move(t.Tx, leads, append(contactLeads(c), namedLeads(t.Tx, c)...))
	}
}

// contactLeads are the entries of a latest version.
func contactLeads(c Contact) (ls []index.Lead) {
	to := func(name string, parts ...[]byte) {
		ls = append(ls, index.Lead{Index: name, Key: opKey(c.Operator, append(parts, keys.Uint(c.ID))...)})
	}
	to(schema.ContactsByPass, keys.Text(string(c.Pass)))
	to(schema.ContactsByTime, keys.Time(c.Time))
	if c.Call.IsValid() {
		to(schema.ContactsByCall, keys.Text(c.Call.String()))
		to(schema.ContactsByTail, keys.Text(keys.Backwards(c.Call.Base())))
	}
	for _, g := range c.Grids {
		to(schema.ContactsBySquare, keys.Text(g.Square().String()), keys.Text(birdKey(c.Bird)))
	}
	return ls
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
		if old, _ := table.Get[handOver](t.In(schema.Handed), k); old.Version <= ref.Version {
			t.In(schema.Handed).Set(k, handOver{ref.Version, at, withdrawn})
		}
	}
}
