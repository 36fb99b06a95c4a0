package storage

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// stampLayout is how a moment stands in a file name: it sorts, and no system
// minds it.
const stampLayout = "20060102T150405Z"

// aside is a name beside path that is free.
func aside(path string, at time.Time) string {
	name := path + ".broken-" + at.UTC().Format(stampLayout)
	for n, base := 2, name; ; n++ {
		if _, err := os.Lstat(name); errors.Is(err, os.ErrNotExist) {
			return name
		}
		name = fmt.Sprintf("%s-%d", base, n)
	}
}

// replaceFile writes a file beside path and, when it is whole and on disk,
// renames it to path.
func replaceFile(path string, write func(*os.File) error) (err error) {
	f, err := os.OpenFile(path+".new", os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	err = errors.Join(write(f), f.Sync(), f.Close())
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return renameInto(f.Name(), path)
}

// sweep removes the half-written files that crashes have left behind in dir.
func sweep(dir string) error {
	var errs []error
	for _, end := range []string{".new", ".restored", ".compact", ".partial"} {
		for _, p := range filesWith(dir, end) {
			if strings.HasSuffix(p, end) {
				errs = append(errs, os.Remove(p))
			}
		}
	}
	return errors.Join(errs...)
}

// filesWith are the paths of the files of a store in dir whose names hold part.
func filesWith(dir, part string) []string {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	var paths []string
	for _, e := range entries {
		ours := strings.HasPrefix(e.Name(), "skyslate") || strings.HasPrefix(e.Name(), journalName)
		if ours && e.Type().IsRegular() && strings.Contains(e.Name(), part) {
			paths = append(paths, filepath.Join(dir, e.Name()))
		}
	}
	return paths
}

func renameInto(from, to string) error {
	if err := os.Rename(from, to); err != nil {
		return err
	}
	return syncDir(filepath.Dir(to))
}

func copyFile(from, to string) error {
	src, err := os.Open(from)
	if err != nil {
		return err
	}
	defer src.Close()
	return replaceFile(to, func(f *os.File) error {
		_, err := io.Copy(f, src)
		return err
	})
}

// syncDir makes a new or renamed file in dir durable. Systems that can't sync
// a directory say so with an error, which is no reason to stop.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	_ = d.Sync()
	return d.Close()
}
