package disk_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"skyslate/storage/disk"
)

// A file that could not be written leaves the old one, and nothing beside it.
func TestReplace(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	write := func(text string, fails error) error {
		return disk.Replace(path, func(f *os.File) error {
			_, err := io.WriteString(f, text)
			return errors.Join(err, fails)
		})
	}
	failed := errors.New("no more")
	if err := errors.Join(write("old", nil), disk.Copy(path, path+".copy")); err != nil {
		t.Fatal(err)
	}
	if err := write("new", failed); !errors.Is(err, failed) {
		t.Errorf("a failed write: %v", err)
	}
	for _, p := range []string{path, path + ".copy"} {
		if text, err := os.ReadFile(p); err != nil || string(text) != "old" {
			t.Errorf("%s holds %q, %v", p, text, err)
		}
	}
	if _, err := os.Stat(path + disk.Unfinished); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the half of it: %v", err)
	}
}

func TestFiles(t *testing.T) {
	dir := t.TempDir()
	err := os.Mkdir(filepath.Join(dir, "a directory"), 0o700)
	for _, name := range []string{"b", "a2", "a1"} {
		err = errors.Join(err, os.WriteFile(filepath.Join(dir, name), nil, 0o600))
	}
	if err != nil {
		t.Fatal(err)
	}
	isA := func(name string) bool { return name[0] == 'a' }
	if got := disk.Files(dir, isA); !slices.Equal(got, []string{filepath.Join(dir, "a1"), filepath.Join(dir, "a2")}) {
		t.Errorf("found %q", got)
	}
	if got := disk.Files(filepath.Join(dir, "missing"), isA); got != nil {
		t.Errorf("found %q in a missing directory", got)
	}
}

// Files that are kept aside of the same moment have names of their own.
func TestKeepAside(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	at := time.Date(2026, 11, 24, 17, 42, 5, 0, time.UTC)
	if err := errors.Join(os.WriteFile(path, []byte("bad"), 0o600), os.Chtimes(path, at, at)); err != nil {
		t.Fatal(err)
	}
	for _, end := range []string{"", "-2", "-3"} {
		kept, err := disk.KeepAside(path)
		if want := path + ".broken-20261124T174205Z" + end; err != nil || kept != want {
			t.Errorf("%s, want %s: %v", kept, want, err)
		}
		if text, err := os.ReadFile(kept); string(text) != "bad" {
			t.Errorf("%s holds %q, %v", kept, text, err)
		}
	}
	if _, err := disk.KeepAside(path + "missing"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a missing file: %v", err)
	}
}
