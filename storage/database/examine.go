package database

import (
	"cmp"
	"errors"
	"io/fs"
	"os"
	"runtime/debug"

	"skyslate/storage/block"
	"skyslate/storage/fault"
	"skyslate/storage/pages"
	"skyslate/storage/table"
)

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
	in, err := open(path, true)
	if unread := new(fs.PathError); err != nil && !errors.Is(err, ErrLocked) && !errors.As(err, &unread) {
		return false, fault.Of(ErrNoDatabase, "it is no database of skyslate") // whatever else the library says
	}
	if err != nil {
		return false, err
	}
	defer in.db.Close()
	err = Guard(true, func() error {
		var hurt error // the first value that isn't as it was written
		halved, err = pages.Survey(in.fd, info.Size(), in.db.Info().PageSize, func(bucket string, key, value []byte) {
			if hurt == nil {
				hurt = block.Check(bucket, key, value)
			}
		})
		if err != nil {
			return fault.Damaged("%v", err)
		}
		return cmp.Or(in.db.View(layout.With(isOurs)), hurt)
	})
	return halved, err
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
