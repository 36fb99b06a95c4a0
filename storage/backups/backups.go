// Package backups is a directory of copies of the database. Their names tell when they
// were made, and each database knows of its newest copy.
package backups

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"time"

	"skyslate/storage/disk"
)

const layout = "skyslate-" + disk.Stamp + ".db"

// Path is where the copy of a moment lies in dir.
func Path(dir string, at time.Time) string { return filepath.Join(dir, at.UTC().Format(layout)) }

// timeOf tells from the name of a copy when it was made.
func timeOf(path string) (at time.Time, ok bool) {
	at, err := time.Parse(layout, filepath.Base(path))
	return at, err == nil
}

// In are the paths of the copies in dir, the newest first.
func In(dir string) []string {
	paths := disk.Files(dir, func(name string) bool {
		_, ok := timeOf(name)
		return ok
	})
	slices.Reverse(paths)
	return paths
}

// Newest is the newest copy in dir, good or not; the zero time if there is none.
func Newest(dir string) (path string, at time.Time) {
	if paths := In(dir); len(paths) > 0 {
		path = paths[0]
		at, _ = timeOf(path)
	}
	return path, at
}

// Keep removes all but the newest in dir.
func Keep(dir string, most int) (err error) {
	for n, p := range In(dir) {
		if n >= most {
			err = errors.Join(err, os.Remove(p))
		}
	}
	return err
}

// Times tells copies among paths by their names, and when they were made, the newest
// first; others counts the rest.
func Times(paths []string) (made []time.Time, others int) {
	for _, p := range paths {
		if at, ok := timeOf(p); ok {
			made = append(made, at)
		} else {
			others++
		}
	}
	slices.SortFunc(made, func(a, b time.Time) int { return b.Compare(a) })
	return made, others
}
