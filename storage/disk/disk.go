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

// Aside stands in the name of a file that was bad.
const Aside = ".broken-"

// Unfinished ends the name of a file that is still being written.
const Unfinished = ".new"

// KeepAside copies a file that is bad, and is to be replaced, to a free name beside it,
// which tells when it was changed last.
func KeepAside(path string) (kept string, err error) {
	info, err := os.Stat(path)
	if err != nil {
		return "", err
	}
	kept = aside(path, info.ModTime())
	return kept, Copy(path, kept)
}

func aside(path string, at time.Time) string {
	name := path + Aside + at.UTC().Format(Stamp)
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

// Files are the paths of the files in dir, in order, of which is says that they are it
// by their names; none where dir can't be read.
func Files(dir string, is func(name string) bool) (paths []string) {
	entries, _ := os.ReadDir(dir)
	for _, e := range entries {
		if e.Type().IsRegular() && is(e.Name()) {
			paths = append(paths, filepath.Join(dir, e.Name()))
		}
	}
	return paths
}
