package storage

import (
	"errors"
	"fmt"
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
		func() error { return s.journal.append([]entry{{Forgotten: &forgotten{who(op), at}}}) },
		func() error {
			return s.update(func(t tx) error { return errors.Join(t.forgetRaws(at, theirs), t.forget(op)) })
		},
		func() error { return s.journal.drop(op) },
		s.compact,
	} {
		if err := step(); err != nil {
			return nil, fmt.Errorf("forget: %w", err)
		}
	}
	return s.holding(op), nil
}

// forgetRaws removes what came in from an operator. The IDs stay as seen, so
// that a second delivery is passed over.
func (t tx) forgetRaws(at time.Time, theirs func(Raw) bool) error {
	if theirs == nil {
		return nil
	}
	return errors.Join(
		eachWhere(t.in(inInbox), theirs, func(r Raw) error { return errors.Join(t.takeRaw(r.ID), t.see(r.ID, at)) }),
		deleteWhere(t.in(inDead), func(_ []byte, d deadRaw) bool { return theirs(d.Raw) }),
	)
}

// forget removes all that is an operator's, except what came in.
func (t tx) forget(op OperatorID) error {
	for _, name := range []string{
		inOperators, inPasses, inPassesByEnd, inContacts, inContactsByPass,
		inContactsByCall, inContactsByTime, inContactsBySquare, inContactsByTail,
		inHanded, inMessages, inMessagesByPass, inSteps, inSittings,
	} {
		b := t.in(name)
		if err := each(keysWith(b, opKey(op)), b.Delete); err != nil {
			return err
		}
	}
	kept := t.in(inKept)
	return errors.Join(
		each(keysWith(kept, []byte(ownPrefix(op))), kept.Delete),
		eachWhere(t.in(inPosts), func(p outPost) bool { return p.Operator == op }, t.deletePost),
		eachWhere(t.in(inAgenda), func(i Item) bool { return i.Operator == op }, func(i Item) error { return t.cancel(i.Key) }),
		deleteWhere(t.in(inSeen), func(k []byte, seen sighting) bool { return seen.Operator == op || namesOperator(k, op) }),
	)
}

// namesOperator reports whether the operator is a part of an event's name:
// "remind/7/20270523T104200Z-99901@…", "setup/7".
func namesOperator(event []byte, op OperatorID) bool {
	return slices.Contains(strings.Split(strings.TrimSuffix(string(event), "\x00"), "/"), string(op))
}

// drop rewrites the journal without an operator's lines.
func (j *journal) drop(op OperatorID) error {
	j.mu.Lock()
	defer j.mu.Unlock()
	path := j.f.Name()
	if err := rewriteJournal(path, func(_ int, e entry) bool { return e.of() != op }); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	info, err := f.Stat()
	if err != nil {
		return errors.Join(err, f.Close())
	}
	_ = j.f.Close() // the file it was is gone
	j.f, j.size = f, info.Size()
	for p := range j.passes {
		if p.op == op {
			delete(j.passes, p)
		}
	}
	return nil
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
	if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
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
	err = s.View(func(v *View) error {
		_, known, err = v.Operator(op)
		return err
	})
	return known, err
}
