// Package disk writes files so that a crash at any moment leaves the old one or the
// new one, whole. What a crash cuts short lies beside under a name of its own and is
// swept by whoever owns the directory.
package disk

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"
)

// Stamp is how a moment stands in a file's name: it sorts, and no system minds it.
const Stamp = "20060102T150405Z"

// Unfinished ends the name of a file that is still being written.
const Unfinished = ".new"

// Aside is a free name beside path, for a file that was bad at a moment.
func Aside(path string, at time.Time) string {
	name := path + ".broken-" + at.UTC().Format(Stamp)
	for n, base := 2, name; ; n++ {
		if _, err := os.Lstat(name); errors.Is(err, os.ErrNotExist) {
			return name
		}
		name = fmt.Sprintf("%s-%d", base, n)
	}
}

// Create makes the unfinished file that is to replace the one at path.
func Create(path string) (*os.File, error) {
	return os.OpenFile(path+Unfinished, os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o600)
}

// Replace writes a file beside path and, when it is whole and on disk, renames it to
// path.
func Replace(path string, write func(*os.File) error) error {
	f, err := Create(path)
	if err != nil {
		return err
	}
	err = errors.Join(write(f), f.Sync(), f.Close())
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return Rename(f.Name(), path)
}

// Copy copies a file into the place of another.
func Copy(from, to string) error {
	src, err := os.Open(from)
	if err != nil {
		return err
	}
	defer src.Close()
	return Replace(to, func(f *os.File) error {
		_, err := io.Copy(f, src)
		return err
	})
}

// Rename gives a file another name for good.
func Rename(from, to string) error {
	if err := os.Rename(from, to); err != nil {
		return err
	}
	return SyncDir(filepath.Dir(to))
}

// SyncDir makes a new or renamed file in dir durable. Systems that can't sync
// a directory say so with an error, which is no reason to stop.
func SyncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	_ = d.Sync()
	return d.Close()
}
