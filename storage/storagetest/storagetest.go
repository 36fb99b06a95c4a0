// Package storagetest gives tests a store that is checked when they end.
package storagetest

import (
	"testing"

	"skyslate/storage"
)

// Open opens a store in a directory of its own. When the test ends the store
// is closed and verified; damage fails the test.
func Open(t testing.TB) *storage.Store {
	t.Helper()
	return OpenDir(t, t.TempDir())
}

// OpenDir is Open on a given directory. A test may close the store and open the
// directory again.
func OpenDir(t testing.TB, dir string) *storage.Store {
	t.Helper()
	s, err := storage.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Errorf("close the store: %v", err)
		}
		if _, err := storage.Verify(dir); err != nil {
			t.Errorf("the store does not verify: %v", err)
		}
	})
	return s
}
