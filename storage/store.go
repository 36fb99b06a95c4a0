package storage

import (
	"errors"
	"fmt"
	"sync"
	"sync/atomic"

	"skyslate/storage/database"
	"skyslate/storage/documents"
	"skyslate/storage/fault"
	"skyslate/storage/journal"
	"skyslate/storage/queue"
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
	dir      string // empty: a lone backup file
	path     string
	readOnly bool

	// closing makes a copy that is being written end early.
	closing    atomic.Bool
	background sync.WaitGroup // removes the traces of who was forgotten
	scrubbing  sync.Mutex
	copying    sync.Mutex // held over a copy of the file

	// mu guards file: it is held for writing only while the file is reopened or
	// replaced.
	mu     sync.RWMutex
	file   *database.File
	closed bool

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

// Close waits for what is under way, but for a backup, which fails, and closes the
// files. A second call does nothing.
func (s *Store) Close() error {
	s.closing.Store(true)
	s.background.Wait()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return nil
	}
	s.closed = true
	var err error
	if s.journal != nil {
		err = s.journal.Close()
	}
	if s.file != nil {
		err = errors.Join(err, s.file.Close())
	}
	return err
}

// View calls fn with a consistent view of the store. The view and what it
// returns are good after fn, too, but nothing more can be read from it then.
func (s *Store) View(fn func(*View) error) error {
	return s.read(func(t *tx) { t.Fail(fn(&View{t: t, documents: s.documents})) })
}

func (s *Store) read(fn func(*tx)) error { return s.transact((*database.File).View, fn) }

// transact runs fn in a transaction that begin begins.
func (s *Store) transact(begin func(*database.File, func(*table.Tx)) error, fn func(*tx)) error {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if err := s.usable(); err != nil {
		return err
	}
	return begin(s.file, inOurs(fn))
}

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
	var refused error
	var done tx
	var lines journal.Batch
	err := s.transact((*database.File).Update, func(t *tx) {
		t.pending = &s.pending
		fn(t)
		lines = t.noteJournal(s.journal)
		refused, done = t.Err(), *t
	})
	switch {
	case err == nil:
		s.pending.Take(done.news)
		s.operators.Add(int64(done.operators))
		if s.journal != nil {
			s.journal.Add(lines)
		}
		return nil
	case refused != nil && !errors.Is(err, ErrDamaged):
		return refusal{err}
	case refused != nil, errors.Is(err, ErrClosed), errors.Is(err, ErrNoSpace), s.readOnly:
		return err
	}
	again := s.reopen(errors.Is(err, ErrDamaged))
	if again == nil {
		again = s.learn()
	}
	if again != nil {
		return errors.Join(err, again)
	}
	return &uncertain{err}
}

func (s *Store) usable() error {
	switch {
	case s.closed:
		return ErrClosed
	case s.file == nil:
		return fault.Damaged("the store could not be opened again after a failed write: start skyslate anew")
	}
	return nil
}

// reopen gives the file up, without the library's help if that has panicked
// and may hold its locks for ever, and opens it again.
func (s *Store) reopen(panicked bool) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.closed:
		return ErrClosed
	case s.file != nil && panicked:
		s.file.Abandon()
	case s.file != nil:
		_ = s.file.Close() // it failed already; what counts is on disk
	}
	var err error
	if s.file, err = openFile(s.path, false); err != nil {
		return s.explain(err)
	}
	return nil
}
