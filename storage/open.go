package storage

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"skyslate/storage/backups"
	"skyslate/storage/database"
	"skyslate/storage/disk"
	"skyslate/storage/documents"
	"skyslate/storage/fault"
	"skyslate/storage/queue"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// Open opens the store in dir, which is made if it is missing, for one process
// alone. A damaged or missing database is restored from the newest good backup
// and the contact journal; Notices tells. What can't be opened is left as it is,
// and the error is one of this package's with a sentence for a person.
func Open(dir string) (*Store, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make the store's directory: %w", err)
	}
	s := &Store{
		dir: dir, path: filepath.Join(dir, databaseName), documents: documents.In(filepath.Join(dir, documentsName)),
	}
	s.pending.Learn(queue.News{})
	halved, err := opening{s}.ensure()
	if err == nil {
		err = opening{s}.open(halved)
	}
	if err != nil {
		return nil, database.NoSpace(errors.Join(s.explain(err), s.Close()))
	}
	if err := s.sweepDocuments(); err != nil { // no reason to stay away
		s.notice("documents that are done with could not be removed, the next start tries again: %v", err)
	}
	s.scrub() // what a crash has cut short, or an older copy has brought back
	return s, nil
}

// An opening is a store before anybody uses it: a sound database is found or made, the
// layout of an older skyslate taken over, and database and journal made to hold the same.
type opening struct{ *Store }

// ensure makes sure that a sound database of ours lies at the path, and none that
// is older than its backups. Halved: the older of its head pages isn't sound.
func (s opening) ensure() (halved bool, err error) {
	halved, err = schema.Examine(s.path)
	if err == nil {
		var known backups.Known
		if known, err = backups.KnownBy(s.path); err == nil && known.Older(s.backups()) {
			err = errOlder
		}
	}
	for _, mended := range []error{errOlder, os.ErrNotExist, ErrDamaged, database.ErrNoDatabase} {
		if errors.Is(err, mended) {
			if err := s.restore(err); err != nil {
				return false, err
			}
			return schema.Examine(s.path)
		}
	}
	return halved, err
}

// errOlder is a sound database that is a backup, or older than its newest one.
var errOlder = errors.New("it is an older copy")

func (s opening) open(halved bool) (err error) {
	if s.file, err = schema.Open(s.path, false); err != nil {
		return err
	}
	if err := errors.Join(os.Chmod(s.path, 0o600), sweep(s.dir), sweep(s.backups())); err != nil {
		return err
	}
	if halved {
		s.notice("%s: %s", s.path, halvedText)
		if err := s.file.UpdateTwice(func(*table.Tx) {}); err != nil {
			return err
		}
	}
	var found int
	err = s.read(func(t *tx) { found = schema.Of(t.Tx) })
	if err == nil && found != schema.Number {
		err = fault.In(fmt.Sprintf("migrate from schema %d", found), s.update(func(t *tx) { t.migrate(found) }))
	}
	if err == nil {
		err = fault.In("pack what an older skyslate wrote", s.pack())
	}
	if err == nil {
		err = s.reconcile()
	}
	if err == nil {
		err = s.learn()
	}
	return err
}

// halvedText is what it means that a head page is bad that nobody needs.
const halvedText = "the older of its two head pages was damaged"

// explain turns an error of an opening into a sentence about the database.
func (s *Store) explain(err error) error {
	path, dir := s.path, filepath.Dir(s.path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return fmt.Errorf("there is no store at %s: %w", path, os.ErrNotExist)
	case errors.Is(err, ErrLocked):
		newest, _ := backups.Newest(filepath.Join(dir, backupsName))
		return fault.Of(ErrLocked, "another skyslate is running on %s; newest backup: %s", dir, cmp.Or(newest, "none"))
	case errors.Is(err, ErrForeign):
		return fmt.Errorf("%s is not a store of skyslate: %w: move it away, or use another directory", path, err)
	case errors.Is(err, ErrNewer), errors.Is(err, ErrDamaged):
		return fmt.Errorf("%s: %w", path, err)
	}
	return fmt.Errorf("open the store: %w", err)
}

// sweep removes the half-written files that crashes have left behind in dir.
func sweep(dir string) (err error) {
	for _, p := range disk.Files(dir, isOurs) {
		if slices.Contains([]string{disk.Unfinished, ".restored", ".compact", ".partial"}, filepath.Ext(p)) {
			err = errors.Join(err, os.Remove(p))
		}
	}
	return err
}

// isOurs reports whether a file of a store has such a name.
func isOurs(name string) bool {
	return strings.HasPrefix(name, "skyslate") || strings.HasPrefix(name, journalName)
}

// OpenForRead opens a store's directory, or a backup file, for View and Backup
// alone. It repairs nothing; like Open it can't share a directory with a
// running skyslate.
func OpenForRead(path string) (*Store, error) {
	s := &Store{path: path, documents: documents.In("")}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		s.dir, s.path = path, filepath.Join(path, databaseName)
	}
	halved, err := schema.Examine(s.path)
	if err == nil {
		s.file, err = schema.Open(s.path, true)
	}
	if err != nil {
		return nil, s.explain(err)
	}
	if halved {
		s.notice("%s: %s", s.path, halvedText)
	}
	return s, nil
}
