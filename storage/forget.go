package storage

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/storage/backups"
	"skyslate/storage/disk"
	"skyslate/storage/fault"
	"skyslate/storage/keys"
	"skyslate/storage/names"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// Forget removes an operator: from the database with all that hangs on them,
// owed posts and agenda included, and from the contact journal. What came in
// and waits, or was set aside, goes if theirs says so (nil: none of it); only a
// transport can tell. Freed pages keep their text and the journal its lines: these
// traces are removed in the background (scrub.go).
//
// What remains are the paths of files beside the store that still hold the
// operator or can't be read: backups, and damaged files that were kept. An
// opening that restores one of the backups forgets the operator again.
//
// Forgetting an operator is journalled first, so that a crash at any point is
// made good at the next opening.
func (s *Store) Forget(op OperatorID, at time.Time, theirs func(*View, Raw) bool) (remains []string, err error) {
	if err := keys.Check("the operator's ID", string(op)); err != nil {
		return nil, fmt.Errorf("forget: %w", err)
	}
	for _, step := range []func() error{
		func() error {
			err := s.update(func(t *tx) {
				t.lines = []entry{{Forgotten: &forgotten{who(op), at}}}
				tracesKey.Set(t.Tx, append(tracesKey.Of(t.Tx), who(op)))
			})
			s.void.Store(true) // not before the line stands, or the removal of others' lines misses it
			return err
		},
		func() error { return s.forgetRaws(at, theirs) },
		func() error { return s.forgetOwn(op) },
		s.sweepDocuments,
	} {
		if err := step(); err != nil {
			return nil, fmt.Errorf("forget: %w", err)
		}
	}
	s.scrub()
	return s.holding(op), nil
}

// forgetRaws removes what came in from an operator. The IDs stay as seen, so
// that a second delivery is passed over.
func (s *Store) forgetRaws(at time.Time, theirs func(*View, Raw) bool) error {
	if theirs == nil {
		return nil
	}
	return errors.Join(
		table.Sweep(s.read, s.update, schema.Inbox, func(t *tx, _ []byte, r Raw) bool { return theirs(&View{t: t}, r) }, func(t *tx, _ []byte, r Raw) {
			t.takeRaw(r.ID)
			t.see(r.ID, at)
		}),
		table.Sweep(s.read, s.update, schema.Dead, func(t *tx, _ []byte, d deadRaw) bool { return theirs(&View{t: t}, d.Raw) }, nil),
	)
}

// ownNames are the buckets whose keys begin with the operator.
var ownNames = slices.Concat(schema.OfContacts, []string{
	schema.Passes, schema.PassesByEnd, schema.Contacts, schema.Handed, schema.Messages, schema.MessagesByPass, schema.Steps, schema.Sittings,
	schema.Names, schema.Numbers,
})

// ownAtOnce is how many neighbours are removed in a transaction.
const ownAtOnce = 2000

// forgetOwn removes all that is an operator's, except what came in, in short
// transactions: themselves last, so that a crash before can be made good.
func (s *Store) forgetOwn(op OperatorID) (err error) {
	err = s.update(func(t *tx) {
		if o, known := operatorRecords.Get(t.Tx, opKey(op)); known && o.Agreeing.Call.IsValid() { // what leads to contacts elsewhere
			off := o
			off.Agreeing = Agreeing{}
			t.putOperator(o, off)
		}
	})
	for _, name := range ownNames {
		for more := true; more && err == nil; {
			err = s.update(func(t *tx) { more = t.In(name).DeleteWith(opKey(op), ownAtOnce) == ownAtOnce })
		}
	}
	if err == nil {
		err = errors.Join(
			table.Sweep(s.read, s.update, schema.Posts, func(_ *tx, _ []byte, p outPost) bool { return p.Operator == op || p.Of == op }, dropPost),
			table.Sweep(s.read, s.update, schema.Agenda, func(_ *tx, _ []byte, i Item) bool { return i.Operator == op },
				func(t *tx, k []byte, _ Item) { itemRecords.Remove(t.Tx, k) }),
			table.Sweep(s.read, s.update, schema.Seen, func(_ *tx, k []byte, seen sighting) bool {
				return seen.Operator == op || namesOperator(k, op)
			}, nil),
		)
	}
	if err != nil {
		return err
	}
	return s.update(func(t *tx) {
		if t.holds(recordName{op: op}) {
			t.operators--
		}
		t.In(schema.Operators).Delete(opKey(op))
		t.In(schema.Kept).DeleteWith([]byte(OwnKey(op, "")), 0) // what is kept of the bot's own for them
		table.DeleteWhere(t.In(schema.Kept), []byte(underDocument), func(_, user []byte) bool { return string(user) == string(op) })
	})
}

// namesOperator reports whether the operator is a part of an event's name:
// "remind/7/20270523T104200Z-99901@…", "setup/7". An operator's own name may have slashes.
func namesOperator(event []byte, op OperatorID) bool {
	return strings.Contains("/"+strings.TrimSuffix(string(event), "\x00")+"/", "/"+string(op)+"/")
}

// namesOneOf reports whether an operator of those, as the journal has them, is a part of a
// key.
func namesOneOf(key string, gone []string) bool {
	parts := strings.Split(key, "/")
	for i := range parts {
		for j := i + 1; j <= len(parts); j++ {
			if slices.Contains(gone, who(OperatorID(strings.Join(parts[i:j], "/")))) {
				return true
			}
		}
	}
	return false
}

// holding are the files beside the store that may still hold an operator: damaged ones
// that were kept, and backups that have a record of them or don't tell.
func (s *Store) holding(op OperatorID) []string {
	held := slices.DeleteFunc(backups.In(s.backups()), func(path string) bool {
		known, err := fileKnows(path, op)
		return !known && err == nil
	})
	return append(held, disk.Files(s.dir, func(name string) bool {
		return isOurs(name) && strings.Contains(name, disk.Aside)
	})...)
}

// fileKnows reports whether a database file holds an operator. It looks for that alone:
// to examine a file takes seconds for each gigabyte, and others wait.
func fileKnows(path string, op OperatorID) (known bool, err error) {
	f, err := schema.Open(path, true)
	if err != nil {
		return false, err
	}
	defer f.Close()
	err = f.View(inOurs(func(t *tx) { known = t.holds(recordName{op: op}) }))
	return known, err
}

// How long things are remembered after they are over.
const (
	seenFor  = 8 * 24 * time.Hour // messaging apps repeat deliveries for a day, and draw ids anew after a week
	postsFor = 60 * 24 * time.Hour
)

// Prune forgets the IDs of events seen more than 8 days ago and posts that were
// out or dropped more than 60 days ago, and the names of messages of which nothing is
// kept any more.
func (s *Store) Prune(now time.Time) error {
	return fault.In("prune", errors.Join(
		table.Sweep(s.read, s.update, schema.Seen, func(_ *tx, _ []byte, seen sighting) bool {
			return seen.At.Before(now.Add(-seenFor))
		}, nil),
		table.Sweep(s.read, s.update, schema.Posts, func(_ *tx, _ []byte, p outPost) bool {
			return !p.owed() && p.Ended.Before(now.Add(-postsFor))
		}, dropPost),
		table.Sweep(s.read, s.update, schema.Names, func(t *tx, k []byte, _ string) bool { // a number begins as its moment
			return time.UnixMilli(names.KeyNumber(k)).Before(now.Add(-postsFor)) &&
				!t.In(schema.Messages).Has(k) && !t.In(schema.PostsByApp).Has(k)
		}, func(t *tx, k []byte, _ string) { nameRecords.Remove(t.Tx, k) }),
	))
}

func dropPost(t *tx, _ []byte, p outPost) { t.deletePost(p) }
