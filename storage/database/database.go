// Package database is the file of a database of ours, which the library (bbolt) maps
// into memory and believes: opened so that no page of it can end the process or keep a
// lock for ever, opened again after a write that failed, proved to be whole before
// anybody relies on it (Examine), and rid of what lies in pages that are free (Compact,
// Overwrite). What is in its buckets is told by the caller's layout; the package knows
// no value.
package database

import (
	"errors"
	"os"
	"runtime"
	"strconv"
	"sync"
	"time"

	bolt "go.etcd.io/bbolt"

	"skyslate/storage/block"
	"skyslate/storage/disk"
	"skyslate/storage/fault"
	"skyslate/storage/table"
)

const (
	lockWait = 2 * time.Second // for another process to let go
	growth   = 256 << 10       // by how much a file grows at once
)

// File is an open database. Its methods may be called from several goroutines; none may
// be called from inside a transaction.
type File struct {
	path     string
	readOnly bool
	layout   table.Layout

	// mu is held over each transaction, for writing only while the file is opened again
	// or replaced.
	mu     sync.RWMutex
	in     *opened // nil: it could not be opened again
	closed bool
}

// opened is a database as the library knows it, and the descriptor beneath it.
type opened struct {
	db *bolt.DB
	fd *os.File
}

// Open opens a database, for reading and writing or for reading, without looking at
// what is in it.
func Open(path string, readOnly bool, layout table.Layout) (*File, error) {
	f := &File{path: path, readOnly: readOnly, layout: layout}
	var err error
	if f.in, err = open(path, readOnly); err != nil {
		return nil, err
	}
	return f, nil
}

func open(path string, readOnly bool) (*opened, error) {
	in := new(opened)
	options := &bolt.Options{
		Timeout:      lockWait,
		ReadOnly:     readOnly,
		FreelistType: bolt.FreelistMapType,
		NoStatistics: true,
		// A database that grows out of its address space waits for the end of all
		// reading, a backup's too.
		InitialMmapSize: addressSpace(readOnly),
		OpenFile: func(name string, flag int, mode os.FileMode) (fd *os.File, err error) {
			in.fd, err = os.OpenFile(name, flag, mode)
			return in.fd, err
		},
	}
	err := Guard(true, func() (err error) {
		in.db, err = bolt.Open(path, 0o600, options)
		return err
	})
	if err != nil {
		in.abandon()
		return nil, named(err)
	}
	in.db.AllocSize = growth
	return in, nil
}

// addressSpace is how much a database that is written gets from the start. On Windows
// the file would get that size.
func addressSpace(readOnly bool) int {
	if readOnly || runtime.GOOS == "windows" || strconv.IntSize < 64 {
		return 0
	}
	return 1 << 35
}

// abandon frees the lock and closes the descriptor without the library, which may have
// panicked and hold its own locks for ever; the memory map stays until the process ends.
func (in *opened) abandon() {
	if in.fd != nil {
		_ = errors.Join(unlock(in.fd), in.fd.Close()) // closed already if the library got that far
	}
}

// use runs fn while the file stays as it is.
func (f *File) use(fn func(db *bolt.DB) error) error {
	f.mu.RLock()
	defer f.mu.RUnlock()
	if err := f.usable(); err != nil {
		return err
	}
	return fn(f.in.db)
}

func (f *File) usable() error {
	switch {
	case f.closed:
		return ErrClosed
	case f.in == nil:
		return fault.Damaged("the store could not be opened again after a failed write: start skyslate anew")
	}
	return nil
}

// View runs fn in a transaction that only reads.
func (f *File) View(fn func(*table.Tx)) error {
	return f.use(func(db *bolt.DB) error {
		return Guard(false, func() error { return db.View(f.layout.With(fn)) })
	})
}

// Update runs fn in a transaction that is durable when the call returns. An error of
// fn's own, which is ErrRefused unless it is ErrDamaged, and ErrNoSpace change nothing
// for certain. After any other the file is opened anew and the error is ErrUncertain.
func (f *File) Update(fn func(*table.Tx)) error {
	var refused error
	err := f.use(func(db *bolt.DB) error {
		return Guard(true, func() error {
			return db.Update(f.layout.With(func(t *table.Tx) {
				fn(t)
				refused = t.Err()
			}))
		})
	})
	err = named(err)
	broken := errors.Is(err, block.ErrDamaged)
	switch {
	case err == nil, refused != nil && broken, f.readOnly, errors.Is(err, ErrClosed), errors.Is(err, ErrNoSpace):
		return err
	case refused != nil:
		return known{ErrRefused, err}
	}
	if again := f.reopen(broken); again != nil {
		return errors.Join(err, again)
	}
	return known{ErrUncertain, err}
}

// UpdateTwice does the same again: each transaction writes one of the two head pages.
func (f *File) UpdateTwice(fn func(*table.Tx)) error { return errors.Join(f.Update(fn), f.Update(fn)) }

// reopen gives the file up, without the library's help if that has panicked, and opens
// it again.
func (f *File) reopen(panicked bool) (err error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	switch {
	case f.closed:
		return ErrClosed
	case f.in != nil && panicked:
		f.in.abandon()
	case f.in != nil:
		_ = f.in.db.Close() // it failed already; what counts is on disk
	}
	f.in, err = open(f.path, false)
	return err
}

// AwaitReaders returns when all transactions are over that are under way.
func (f *File) AwaitReaders() {
	f.mu.Lock()
	defer f.mu.Unlock()
}

// Compact puts a copy of the database without its free pages in its place, which was
// open, and so locked, before it got the name.
func (f *File) Compact() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.usable(); err != nil {
		return err
	}
	path := f.path + ".compact"
	if err := os.RemoveAll(path); err != nil {
		return err
	}
	fresh, err := open(path, false)
	if err != nil {
		return err
	}
	err = errors.Join(bolt.Compact(fresh.db, f.in.db, 1<<20), os.Chmod(path, 0o600))
	if err == nil {
		err = disk.Rename(path, f.path)
	}
	if err != nil {
		return errors.Join(err, fresh.db.Close(), os.Remove(path))
	}
	old := f.in
	f.in = fresh
	return old.db.Close()
}

// Close waits for the transactions under way and closes the file. A second call does
// nothing.
func (f *File) Close() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.closed || f.in == nil {
		f.closed = true
		return nil
	}
	f.closed = true
	return f.in.db.Close()
}
