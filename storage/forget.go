package storage

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	bolt "go.etcd.io/bbolt"
)

// Forget removes an operator: from the database with all that hangs on them,
// owed posts and agenda included, and from the contact journal. What came in
// and waits, or was set aside, goes if theirs says so (nil: none of it); only a
// transport can tell. The database is then compacted, because freed pages keep
// their text.
//
// What remains are the paths of files beside the store that still hold the
// operator or can't be read: backups, and damaged files that were kept. An
// opening that restores one of the backups forgets the operator again.
//
// Forgetting an operator is journalled first, so that a crash at any point is
// made good at the next opening.
func (s *Store) Forget(op OperatorID, at time.Time, theirs func(Raw) bool) (remains []string, err error) {
	if err := checkName("the operator's ID", string(op)); err != nil {
		return nil, fmt.Errorf("forget: %w", err)
	}
	for _, step := range []func() error{
		func() error {
			return s.update(func(t *tx) { t.lines = []entry{{Forgotten: &forgotten{who(op), at}}} })
		},
		func() error {
			return s.update(func(t *tx) {
				t.forgetRaws(at, theirs)
				t.forget(op)
			})
		},
		func() error {
			rev, err := s.journal.drop(op)
			if err != nil {
				return err
			}
			return s.update(func(t *tx) {
				if rev > 0 { // the line with that number may be gone
					t.lines = []entry{{Kept: &keptValue{Rev: rev}}}
				}
			})
		},
		s.compact,
		s.sweepDocuments,
	} {
		if err := step(); err != nil {
			return nil, fmt.Errorf("forget: %w", err)
		}
	}
	return s.holding(op), nil
}

// forgetRaws removes what came in from an operator. The IDs stay as seen, so
// that a second delivery is passed over.
func (t *tx) forgetRaws(at time.Time, theirs func(Raw) bool) {
	if theirs == nil {
		return
	}
	for _, r := range all[Raw](t.in(inInbox), nil) {
		if theirs(r) {
			t.takeRaw(r.ID)
			t.see(r.ID, at)
		}
	}
	deleteWhere(t.in(inDead), func(_ []byte, d deadRaw) bool { return theirs(d.Raw) })
}

// forget removes all that is an operator's, except what came in.
func (t *tx) forget(op OperatorID) {
	if t.holds(recordName{op: op}) {
		t.news.operators--
	}
	for _, name := range slices.Concat(contactIndexes, []string{
		inOperators, inPasses, inPassesByEnd, inContacts, inHanded, inMessages, inMessagesByPass, inSteps, inSittings,
	}) {
		t.in(name).deleteWith(opKey(op))
	}
	t.in(inKept).deleteWith([]byte(OwnKey(op, "")))
	t.forgetDocuments(op)
	for _, p := range all[outPost](t.in(inPosts), nil) {
		if p.Operator == op {
			t.deletePost(p)
		}
	}
	for _, i := range all[Item](t.in(inAgenda), nil) {
		if i.Operator == op {
			t.cancel(i.Key)
		}
	}
	deleteWhere(t.in(inSeen), func(k []byte, seen sighting) bool {
		return seen.Operator == op || namesOperator(k, op)
	})
}

// namesOperator reports whether the operator is a part of an event's name:
// "remind/7/20270523T104200Z-99901@…", "setup/7".
func namesOperator(event []byte, op OperatorID) bool {
	return slices.Contains(strings.Split(strings.TrimSuffix(string(event), "\x00"), "/"), string(op))
}

// drop rewrites the journal without an operator's lines. Rev is the number of the
// last change of a kept value.
func (j *journal) drop(op OperatorID) (rev uint64, err error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	path := j.f.Name()
	l, err := surveyJournal(path)
	if err != nil {
		return 0, err
	}
	err = rewriteJournal(path, func(_ int, e entry) bool {
		if e.Kept != nil { // what was replaced may name them, and the removal of their own
			return l.holds(*e.Kept) && !namesOperator([]byte(e.Kept.Key), op)
		}
		return e.name().op != op
	})
	if err != nil {
		return 0, err
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0o600)
	if err != nil {
		return 0, err
	}
	safe, err := measure(f)
	if err != nil {
		return 0, errors.Join(err, f.Close())
	}
	_ = j.f.Close() // the file it was is gone
	j.f, j.safe = f, safe
	maps.DeleteFunc(j.passes, func(p recordName, _ bool) bool { return p.op == op })
	return l.rev, nil
}

// compact puts a copy of the database without its free pages in its place. The
// copy is open, and so locked, before it gets the name.
func (s *Store) compact() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.usable(); err != nil {
		return err
	}
	path := s.path + ".compact"
	if err := os.RemoveAll(path); err != nil {
		return err
	}
	f, err := openFile(path, false)
	if err != nil {
		return err
	}
	err = errors.Join(bolt.Compact(f.db, s.file.db, 1<<20), os.Chmod(path, 0o600))
	if err == nil {
		err = renameInto(path, s.path)
	}
	if err != nil {
		return errors.Join(err, f.close(), os.Remove(path))
	}
	old := s.file
	s.file = f
	return old.close()
}

// holding are the files beside the store that may still hold an operator.
func (s *Store) holding(op OperatorID) []string {
	paths := backups(filepath.Join(s.dir, backupsName))
	paths = append(paths, filesWith(s.dir, ".broken-")...)
	var held []string
	for _, p := range paths {
		if known, err := fileKnows(p, op); known || err != nil {
			held = append(held, p)
		}
	}
	return held
}

// fileKnows reports whether a database file holds an operator.
func fileKnows(path string, op OperatorID) (known bool, err error) {
	s, err := OpenForRead(path)
	if err != nil {
		return false, err
	}
	defer s.Close()
	err = s.read(func(t *tx) { known = t.holds(recordName{op: op}) })
	return known, err
}
