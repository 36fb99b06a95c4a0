package storage

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"sync"
	"sync/atomic"

	"skyslate/storage/block"
	"skyslate/storage/database"
	"skyslate/storage/documents"
	"skyslate/storage/journal"
	"skyslate/storage/keys"
	"skyslate/storage/queue"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// The files of a store's directory.
const (
	databaseName = "skyslate.db"
	journalName  = "contacts.journal"
	backupsName  = "backups"
)

// Store is an open store. Its methods may be called from several goroutines;
// none may be called from inside a View.
type Store struct {
	dir  string // empty: a lone backup file
	path string

	closing    atomic.Bool    // ends a copy early that is being written
	background sync.WaitGroup // removes the traces of who was forgotten
	scrubbing  sync.Mutex
	copying    sync.Mutex // held over a copy of the file

	file *database.File

	// journal is nil in a store that is only read.
	journal *journal.Journal
	lags    atomic.Bool // because the last write of it failed
	void    atomic.Bool // it has lines of who was forgotten

	noticesMu sync.Mutex
	notices   []string

	// writing is held over each transaction that writes and over what it means for
	// pending.
	writing sync.Mutex
	pending queue.Queue[outPost]

	operators atomic.Int64 // how many there are

	documents *documents.Dir
}

// backups is the store's own directory of backups.
func (s *Store) backups() string { return filepath.Join(s.dir, backupsName) }

// Notices are sentences for the log about what the store had to do by itself
// (a repair, a restoration) since they were last asked for.
func (s *Store) Notices() []string {
	s.noticesMu.Lock()
	defer s.noticesMu.Unlock()
	ns := s.notices
	s.notices = nil
	return ns
}

func (s *Store) notice(format string, args ...any) {
	s.noticesMu.Lock()
	defer s.noticesMu.Unlock()
	s.notices = append(s.notices, fmt.Sprintf(format, args...))
}

// ending is ErrClosed while the store is being closed: who ends the program doesn't wait
// for a large copy.
func (s *Store) ending() error {
	if s.closing.Load() {
		return ErrClosed
	}
	return nil
}

// Close waits for what is under way, but for a backup, which fails, and closes the
// files. A second call does nothing.
func (s *Store) Close() error {
	if s.closing.Swap(true) {
		return nil
	}
	s.background.Wait()
	var err error
	if s.file != nil {
		err = s.file.Close()
	}
	if s.journal != nil {
		err = errors.Join(err, s.journal.Close())
	}
	return err
}

// tx is a transaction in our terms.
type tx struct {
	*table.Tx
	lines []entry // what the journal is to hold of it

	pending   *queue.Queue[outPost] // before it
	news      queue.News            // what it changes of that
	operators int                   // how many more there are
}

// inOurs is fn as package table calls it.
func inOurs(fn func(*tx)) func(*table.Tx) {
	return func(t *table.Tx) { fn(&tx{Tx: t}) }
}

func (t *tx) checkName(name, s string) { t.Fail(keys.Check(name, s)) }

func opKey(op OperatorID, parts ...[]byte) []byte {
	return slices.Concat(keys.Text(string(op)), slices.Concat(parts...))
}

// View calls fn with a consistent view of the store. The view and what it
// returns are good after fn, too, but nothing more can be read from it then.
func (s *Store) View(fn func(*View) error) error {
	return s.read(func(t *tx) { t.Fail(fn(&View{t: t, documents: s.documents})) })
}

func (s *Store) read(fn func(*tx)) error { return s.file.View(inOurs(fn)) }

// update runs fn in one durable transaction. An error of fn itself and a lack
// of space change nothing for certain; after any other error the file is
// opened anew and the error is uncertain.
//
// Its lines go to the journal, after those of all earlier transactions.
func (s *Store) update(fn func(*tx)) error {
	err := s.updateFile(fn)
	if err == nil {
		s.journalise()
	}
	return err
}

func (s *Store) updateFile(fn func(*tx)) error {
	s.writing.Lock()
	defer s.writing.Unlock()
	var done *tx
	var lines journal.Batch
	err := s.file.Update(inOurs(func(t *tx) {
		done, t.pending = t, &s.pending
		fn(t)
		lines = t.noteJournal(s.journal)
	}))
	switch {
	case err == nil:
		s.pending.Take(done.news)
		s.operators.Add(int64(done.operators))
		if s.journal != nil {
			s.journal.Add(lines)
		}
	case errors.Is(err, database.ErrUncertain):
		err = errors.Join(err, s.learn())
	}
	return err
}

// What Open, OpenForRead and Verify refuse: the error's own text is a sentence
// for the person at the machine.
var (
	ErrLocked  = database.ErrLocked
	ErrDamaged = block.ErrDamaged
	ErrForeign = database.ErrForeign
	ErrNewer   = schema.ErrNewer
)

// What calls of an open store return.
var (
	// ErrNoSpace is a write that found no room; nothing was changed, and the store
	// goes on as soon as there is room again.
	ErrNoSpace = database.ErrNoSpace
	// ErrClosed is any call after Close.
	ErrClosed = database.ErrClosed
	// ErrRefused is a change that the rules of the store don't allow: a fault of the
	// program, which another try would meet again. Nothing was changed.
	ErrRefused = database.ErrRefused
)
