package disk_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
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

// Files that are set aside at the same moment have names of their own.
func TestAside(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	at := time.Date(2026, 11, 24, 17, 42, 5, 0, time.UTC)
	for _, end := range []string{"", "-2", "-3"} {
		name := disk.Aside(path, at)
		if want := path + ".broken-20261124T174205Z" + end; name != want {
			t.Errorf("%s, want %s", name, want)
		}
		if err := os.WriteFile(name, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}
