package storage

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	"skyslate/storage/disk"
)

// sweep removes the half-written files that crashes have left behind in dir.
func sweep(dir string) error {
	var errs []error
	for _, end := range []string{disk.Unfinished, ".restored", ".compact", ".partial"} {
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
