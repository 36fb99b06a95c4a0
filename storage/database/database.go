// Package database is the file of a database of ours, which the library (bbolt) maps
// into memory and believes: opened so that no page of it can end the process or keep a
// lock for ever, proved to be whole before anybody relies on it (Examine), and rid of
// what lies in pages that are free (Compact, Overwrite). What is in its buckets is told
// by the caller's layout; the package knows no value.
package database

import (
	"errors"
	"io/fs"
	"os"
	"runtime"
	"runtime/debug"
	"strconv"
	"time"

	bolt "go.etcd.io/bbolt"
	boltErrors "go.etcd.io/bbolt/errors"

	"skyslate/storage/disk"
	"skyslate/storage/fault"
	"skyslate/storage/pages"
	"skyslate/storage/table"
)

const (
	lockWait = 2 * time.Second // for another process to let go
	growth   = 256 << 10       // by how much a file grows at once
)

// File is an open database and the descriptor beneath it.
type File struct {
	db     *bolt.DB
	fd     *os.File
	layout table.Layout
}

// Open opens a database, for reading and writing or for reading, without looking at
// what is in it.
func Open(path string, readOnly bool, layout table.Layout) (*File, error) {
	f := &File{layout: layout}
	options := &bolt.Options{
		Timeout:      lockWait,
		ReadOnly:     readOnly,
		FreelistType: bolt.FreelistMapType,
		NoStatistics: true,
		// A database that grows out of its address space waits for the end of all
		// reading, a backup's too.
		InitialMmapSize: addressSpace(readOnly),
		OpenFile: func(name string, flag int, mode os.FileMode) (fd *os.File, err error) {
			f.fd, err = os.OpenFile(name, flag, mode)
			return f.fd, err
		},
	}
	err := Guard(true, func() (err error) {
		f.db, err = bolt.Open(path, 0o600, options)
		return err
	})
	if err != nil {
		f.Abandon()
		return nil, named(err)
	}
	f.db.AllocSize = growth
	return f, nil
}

// addressSpace is how much a database that is written gets from the start. On Windows
// the file would get that size.
func addressSpace(readOnly bool) int {
	if readOnly || runtime.GOOS == "windows" || strconv.IntSize < 64 {
		return 0
	}
	return 1 << 35
}

// View runs fn in a transaction that only reads.
func (f *File) View(fn func(*table.Tx)) error {
	return Guard(false, func() error { return f.db.View(f.layout.With(fn)) })
}

// Update runs fn in a transaction that is durable when the call returns. After an error
// that is neither fn's own nor ErrNoSpace nobody knows whether it is on disk.
func (f *File) Update(fn func(*table.Tx)) error {
	return named(Guard(true, func() error { return f.db.Update(f.layout.With(fn)) }))
}

// UpdateTwice does the same again: each transaction writes one of the two head pages.
func (f *File) UpdateTwice(fn func(*table.Tx)) error { return errors.Join(f.Update(fn), f.Update(fn)) }

// Close waits for the transactions under way and closes the file.
func (f *File) Close() error { return f.db.Close() }

// Abandon frees the lock and closes the descriptor without the library, which may have
// panicked and hold its own locks for ever; the memory map stays until the process ends.
func (f *File) Abandon() {
	if f.fd != nil {
		_ = errors.Join(unlock(f.fd), f.fd.Close()) // closed already if the library got that far
	}
}

// Examine opens a database for reading and says what is wrong with it: its pages,
// whatever isOurs finds, and only then its checksums. Halved: the older of its two head
// pages is bad, which nobody needs.
func Examine(path string, layout table.Layout, isOurs func(*table.Tx)) (halved bool, err error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return false, err
	case info.IsDir():
		return false, fault.Of(ErrForeign, "it is a directory")
	case info.Size() == 0:
		return false, fault.Damaged("it is empty (0 bytes)")
	}
	f, err := Open(path, true, layout)
	if unread := new(fs.PathError); err != nil && !errors.Is(err, ErrLocked) && !errors.As(err, &unread) {
		return false, fault.Of(ErrNoDatabase, "it is no database of skyslate") // whatever else the library says
	}
	if err != nil {
		return false, err
	}
	defer f.Close()
	err = Guard(true, func() error {
		if halved, err = pages.Survey(f.fd, info.Size(), f.db.Info().PageSize); err != nil {
			return fault.Damaged("%v", err)
		}
		return f.View(func(t *table.Tx) {
			if isOurs(t); t.Err() == nil {
				t.CheckSums()
			}
		})
	})
	return halved, err
}

// Compact puts a copy of the database without its free pages in its place and returns
// it, open: it was so, and locked, before it got the name. The old one is to be closed.
func (f *File) Compact() (*File, error) {
	path := f.db.Path() + ".compact"
	if err := os.RemoveAll(path); err != nil {
		return nil, err
	}
	fresh, err := Open(path, false, f.layout)
	if err != nil {
		return nil, err
	}
	err = errors.Join(bolt.Compact(fresh.db, f.db, 1<<20), os.Chmod(path, 0o600))
	if err == nil {
		err = disk.Rename(path, f.db.Path())
	}
	if err != nil {
		return nil, errors.Join(err, fresh.Close(), os.Remove(path))
	}
	return fresh, nil
}

// Guard runs fn such that a fault of the memory map, which a file cut short causes,
// comes back as an error instead of ending the process. With all set, so does every
// other panic: the library's when a page makes no sense.
func Guard(all bool, fn func() error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		r := recover()
		_, isFault := r.(interface{ Addr() uintptr }) // which no mistake in a program knows
		switch {
		case r == nil:
		case all || isFault:
			err = fault.Damaged("the database file can't be read: %v", r)
		default:
			panic(r)
		}
	}()
	return fn()
}

// named gives errors of the library and the system our names.
func named(err error) error {
	if errors.Is(err, boltErrors.ErrTimeout) {
		return fault.Of(ErrLocked, "it is in use")
	}
	return NoSpace(err)
}
