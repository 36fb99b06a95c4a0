package storage

import (
	"fmt"
	"maps"
	"slices"

	"skyslate/storage/disk"
	"skyslate/storage/journal"
	"skyslate/storage/keys"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// A journal may be of another start: the program began anew in an empty directory, or
// from an older copy without its journal, and later the one's journal came to lie
// beside the other's database. The same numbers are other contacts in the two then.
// None is given up. Who is let in is the database's word, but for those whom the
// journal knows to be out.

// hasAnother reports whether the database has another contact under the name of one.
func (t mender) hasAnother(c Contact) bool {
	known, ok := table.Get[Contact](t.In(schema.Contacts), contactKey(c.Operator, c.ID, c.Version))
	lost := known.Version == 0 || c.Version == 0 // only a number is known
	return ok && !lost && (!known.Made.Equal(c.Made) || known.Call != c.Call || known.Text != c.Text)
}

// another are the contacts of a journal that are others than the database's, each as
// it was last, and the highest number that each operator was given.
func (t mender) another(path string) (others map[contactID]Contact, given map[OperatorID]uint64) {
	others, given = map[contactID]Contact{}, map[OperatorID]uint64{}
	latest := map[contactID]Contact{}
	_, err := journal.ReadFile(path, func(_ int, _ []byte, e entry) error {
		if e.Contact == nil {
			return t.Err()
		}
		c, id := *e.Contact, contactID{e.Contact.Operator, e.Contact.ID}
		given[c.Operator] = max(given[c.Operator], c.ID)
		if c.Version >= latest[id].Version {
			latest[id] = c
		}
		if _, is := others[id]; is || t.hasAnother(c) {
			others[id] = latest[id]
		}
		return t.Err()
	})
	t.Fail(err)
	return others, given
}

// joinAnother takes the contacts that only a journal of another start has under new
// numbers, and takes its lines about them, and about who is let in, out of it. The
// ledger is that of the journal afterwards.
func (s opening) joinAnother(path string, l *ledger) error {
	var others map[contactID]Contact
	var given map[OperatorID]uint64
	err := s.read(func(t *tx) { others, given = mender{t}.another(path) })
	if err != nil || len(others) == 0 {
		return err
	}
	kept, err := disk.KeepAside(path)
	if err != nil {
		return err
	}
	err = s.update(func(t *tx) {
		mender{t}.joinOthers(others, given)
		for k, v := range l.kept.Latest {
			if v.Value == nil {
				t.In(schema.Kept).Delete(keys.Text(k))
			}
		}
	})
	if err != nil {
		return err
	}
	s.notice("the contact journal is of another start: %d contacts in it had the numbers of others and have new ones; "+
		"the file as it was is kept as %s", len(others), kept)
	rest, err := rewriteJournal(path, func(_ int, e entry) bool {
		if e.Contact == nil {
			return e.Kept == nil
		}
		_, other := others[contactID{e.Contact.Operator, e.Contact.ID}]
		return !other
	})
	if err == nil {
		*l = *rest
	}
	return err
}

// joinOthers gives contacts numbers above those given. It does so once: a crash may
// come before the journal is without them.
func (t mender) joinOthers(others map[contactID]Contact, given map[OperatorID]uint64) {
	for _, id := range slices.SortedFunc(maps.Keys(others), byNumber) {
		c, v := others[id], View{t: t.tx}
		if over := t.takeEvent(fmt.Sprintf("another/%s/%d/%d", id.op, id.id, c.Made.UnixNano()), c.Made); over {
			continue
		}
		given[id.op] = max(given[id.op], v.NextContact(id.op)-1) + 1
		c.ID, c.Version = given[id.op], 1
		t.restoreContact(c)
	}
	mendingKey.Set(t.Tx, mending{Losses: Losses{All: true}})
}
