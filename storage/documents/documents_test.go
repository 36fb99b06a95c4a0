package documents_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"skyslate/storage/documents"
)

const event, name = "tg/1", "tg%2F1"

func within(t *testing.T, dir string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// A document that is not as it was is not given out.
func TestDamaged(t *testing.T) {
	for way, damage := range map[string]struct {
		do    func(path string) error
		whole bool
	}{
		"untouched":   {func(string) error { return nil }, true},
		"cut":         {func(path string) error { return os.Truncate(path, 7) }, false},
		"cut shorter": {func(path string) error { return os.Truncate(path, 2) }, false},
		"longer":      {func(path string) error { return os.WriteFile(path, []byte("<call:6>ox9qzt<eor>12345"), 0o600) }, false},
		"a bit":       {func(path string) error { return flipBit(path, 8) }, false},
		"missing":     {os.Remove, false},
		"a directory": {func(path string) error {
			return errors.Join(os.Remove(path), os.MkdirAll(filepath.Join(path, "x"), 0o700))
		}, false},
	} {
		t.Run(way, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "documents")
			d := documents.In(dir)
			if _, err := d.Keep(event, strings.NewReader("<call:6>ox9qzt<eor>"), 100); err != nil {
				t.Fatal(err)
			}
			if err := damage.do(filepath.Join(dir, name)); err != nil {
				t.Fatal(err)
			}
			f, err := d.Open(event)
			if (err == nil) != damage.whole {
				t.Fatalf("opened: %v", err)
			}
			if err != nil {
				return
			}
			defer f.Close()
			if body, err := io.ReadAll(f); err != nil || string(body) != "<call:6>ox9qzt<eor>" {
				t.Errorf("it is %q, %v", body, err)
			}
		})
	}
}

func flipBit(path string, at int) error {
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	text[at] ^= 1
	return os.WriteFile(path, text, 0o600)
}

// A document that is too large, or breaks off, leaves nothing behind.
func TestFails(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "documents")
	d := documents.In(dir)
	if _, err := d.Keep(event, strings.NewReader("123456"), 5); !errors.Is(err, documents.ErrTooLarge) {
		t.Errorf("one byte too many: %v", err)
	}
	broken := errors.New("the line broke")
	body := io.MultiReader(strings.NewReader("12"), iotest.ErrReader(broken))
	if _, err := d.Keep(event, body, 5); !errors.Is(err, broken) {
		t.Errorf("a broken line: %v", err)
	}
	if got := within(t, dir); got != nil {
		t.Errorf("left behind: %q", got)
	}
}

// Swept is all that is not wanted, halves and what is no event's name too, but not a
// document whose event is still to come in.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	d := documents.In(dir)
	for _, e := range []string{"to come", "wanted", "done"} {
		if _, err := d.Keep(e, strings.NewReader("<eoh>"), 5); err != nil {
			t.Fatal(err)
		}
	}
	d.CameIn("wanted")
	d.CameIn("done")
	for _, n := range []string{name, name + ".new", "%zz", "to%20come.new"} {
		if err := os.WriteFile(filepath.Join(dir, n), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := d.Sweep(func(event string) (bool, error) { return event == "wanted", nil }); err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(within(t, dir), " "); got != "to%20come to%20come.new wanted" {
		t.Errorf("left: %s", got)
	}
	unknown := errors.New("nobody can tell")
	if err := d.Sweep(func(string) (bool, error) { return false, unknown }); !errors.Is(err, unknown) {
		t.Errorf("without an answer: %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, "wanted")); err != nil {
		t.Error("a document is gone of which nobody could tell whether it was wanted")
	}
}

func TestDropUnless(t *testing.T) {
	dir := t.TempDir()
	d := documents.In(dir)
	for _, e := range []string{"wanted", "done", "unknown"} {
		if _, err := d.Keep(e, strings.NewReader("<eoh>"), 5); err != nil {
			t.Fatal(err)
		}
	}
	unknown := errors.New("unknown")
	for e, want := range map[string]error{"wanted": nil, "done": nil, "unknown": unknown, "missing": nil} {
		err := d.DropUnless(func(event string) (bool, error) {
			switch event {
			case "missing":
				t.Error("asked for one that is not there")
			case "unknown":
				return false, unknown
			}
			return event == "wanted", nil
		}, e)
		if err != want {
			t.Errorf("%s: %v", e, err)
		}
	}
	if got := within(t, dir); !slices.Equal(got, []string{"unknown", "wanted"}) {
		t.Errorf("left: %q", got)
	}
}
