package storage

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"skyslate/storage/backups"
	"skyslate/storage/database"
	"skyslate/storage/disk"
	"skyslate/storage/documents"
	"skyslate/storage/fault"
	"skyslate/storage/queue"
	"skyslate/storage/salvage"
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
	if err == nil {
		if err := s.sweepDocuments(); err != nil { // no reason to stay away
			s.notice("documents that are done with could not be removed, the next start tries again: %v", err)
		}
	}
	if err == nil {
		s.scrub() // what a crash has cut short, or an older copy has brought back
	}
	if err != nil {
		return nil, database.NoSpace(errors.Join(s.explain(err), s.Close()))
	}
	return s, nil
}

// An opening is a store before anybody uses it: a sound database is found or made, the
// layout of an older skyslate taken over, and database and journal made to hold the same.
type opening struct{ *Store }

// ensure makes sure that a sound database of ours lies at the path, and none that
// is older than its backups. Halved: the older of its head pages isn't sound.
func (s opening) ensure() (halved bool, err error) {
	halved, err = examine(s.path)
	if err == nil {
		err = s.older()
	}
	if errors.Is(err, errOlder) || errors.Is(err, os.ErrNotExist) || errors.Is(err, ErrDamaged) || errors.Is(err, database.ErrNoDatabase) {
		if err := s.restore(err); err != nil {
			return false, err
		}
		return examine(s.path)
	}
	return halved, err
}

// errOlder is a sound database that is a backup, or older than its newest one.
var errOlder = errors.New("it is an older copy")

func (s opening) older() error {
	known, err := backupIn(s.path)
	if err == nil && known.older(s.dir) {
		return errOlder
	}
	return err
}

func (s opening) open(halved bool) (err error) {
	if s.file, err = openFile(s.path, false); err != nil {
		return err
	}
	if err := errors.Join(os.Chmod(s.path, 0o600), sweep(s.dir), sweep(filepath.Join(s.dir, backupsName))); err != nil {
		return err
	}
	if halved {
		s.notice("%s: %s", s.path, halvedText)
		if err := s.file.UpdateTwice(func(*table.Tx) {}); err != nil {
			return err
		}
	}
	var found int
	err = s.read(func(t *tx) { found = t.header().Schema })
	if err == nil && found != schema {
		err = fault.In(fmt.Sprintf("migrate from schema %d", found), s.update(func(t *tx) { t.migrate(found) }))
	}
	if err == nil {
		err = fault.In("pack what an older skyslate wrote", s.pack())
	}
	if err != nil {
		return err
	}
	if err := s.reconcile(); err != nil {
		return err
	}
	return s.learn()
}

// halvedText is what it means that a head page is bad that nobody needs.
const halvedText = "the older of its two head pages was damaged"

// examine says what is wrong with a database; halved: nothing but the older of its two
// head pages.
func examine(path string) (halved bool, err error) {
	return database.Examine(path, layout, inOurs(func(t *tx) { t.header() }))
}

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

// restore makes a database anew: from the newest good backup or empty, with all
// that can still be read of damaged backups after that one and of the damaged
// database; the journal is read into it later. The damaged file is kept under
// another name, and stays in place if there is nothing to restore from.
func (s opening) restore(cause error) error {
	missing, older := errors.Is(cause, os.ErrNotExist), errors.Is(cause, errOlder)
	journalled, err := surveyJournal(filepath.Join(s.dir, journalName))
	if err != nil {
		return fmt.Errorf("read the contact journal: %w", err)
	}
	own := ""
	if older {
		own = s.path
	}
	base, sources := salvageBackups(s.dir, own)
	var m mending
	if !missing && !older {
		saved, err := salvageFile(s.path, os.Getpagesize())
		if err != nil {
			return err
		}
		var known backup
		if saved.Read(inMeta, backupKey, &known); known.older(s.dir) {
			saved.Demote()
		} else if !saved.Torn {
			m.Hurt = append([][]byte{}, saved.Hurt...)
		}
		sources = append(sources, saved)
	}
	values := 0
	for _, g := range sources {
		for _, name := range recordNames {
			values += g.Count(name)
		}
	}
	switch {
	case base != "" || !journalled.empty() || values > 0:
		m.made = true
	case errors.Is(cause, ErrDamaged):
		return fault.Damaged("%v; there is neither a backup nor a journal to restore it from: "+
			"move it away, and skyslate begins anew", cause)
	case !missing:
		return cause
	}
	known, _ := backupIn(base) // none is known of no base
	m.Since, m.All = known.Made, known.Made.IsZero()
	fresh := s.path + ".restored"
	if err := makeDatabase(fresh, base, sources, m, backup{Made: newestBackup(s.dir)}); err != nil {
		return fmt.Errorf("make a new database: %w", err)
	}
	if err := s.keepAside(cause); err != nil {
		return fmt.Errorf("keep the damaged database: %w", err)
	}
	if missing && m.made {
		s.notice("%s was missing", s.path)
	}
	if base != "" {
		s.notice("restored from %s", base)
	}
	if values > 0 {
		s.notice("restored from the damaged database: %d values", values)
	}
	return disk.Rename(fresh, s.path)
}

// keepAside copies the damaged database: it is replaced in one step later.
func (s opening) keepAside(cause error) error {
	info, err := os.Stat(s.path)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	kept := disk.Aside(s.path, info.ModTime())
	if err := disk.Copy(s.path, kept); err != nil {
		return err
	}
	s.notice("%s was replaced (%v) and is kept as %s", s.path, cause, kept)
	return nil
}

// makeDatabase writes a sound database: a copy of a good one, or an empty one, with
// what was saved over it, the newest last.
func makeDatabase(path, base string, sources []*salvage.Find, m mending, newest backup) error {
	err := os.RemoveAll(path)
	if base != "" {
		err = disk.Copy(base, path)
	}
	if err != nil {
		return err
	}
	f, err := openFile(path, false)
	if err != nil {
		return err
	}
	return errors.Join(f.Update(inOurs(func(t *tx) {
		if base == "" {
			t.create()
		}
		if h := t.header(); t.Err() == nil {
			t.migrate(h.Schema) // the base may be of an older schema
		}
		for _, g := range sources {
			mender{t}.takeOver(g)
		}
		if m.made {
			t.In(inMeta).Set([]byte(mendingKey), m)
		}
		newest.mark(t)
	})), f.Close())
}

// OpenForRead opens a store's directory, or a backup file, for View and Backup
// alone. It repairs nothing; like Open it can't share a directory with a
// running skyslate.
func OpenForRead(path string) (*Store, error) {
	s := &Store{path: path, readOnly: true, documents: documents.In("")}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		s.dir, s.path = path, filepath.Join(path, databaseName)
	}
	halved, err := examine(s.path)
	if err == nil {
		s.file, err = openFile(s.path, true)
	}
	if err != nil {
		return nil, s.explain(err)
	}
	if halved {
		s.notice("%s: %s", s.path, halvedText)
	}
	return s, nil
}
