package storage_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
)

// documentsIn are the documents in a store's directory.
func documentsIn(t *testing.T, dir string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(filepath.Join(dir, "documents"))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// A document stands as long as something refers to it, over a crash at any moment,
// and not longer.
func TestDocuments(t *testing.T) {
	const event = "tg/1"
	var (
		keep = func(s *storage.Store) error {
			_, err := s.KeepDocument(event, strings.NewReader("<eoh>"), 5)
			return err
		}
		accept   = func(s *storage.Store) error { return s.Accept(nil, storage.Raw{ID: event, At: t0, Body: []byte("7")}) }
		setAside = func(s *storage.Store) error { return s.SetAside(event, "why", t0) }
		drop     = func(s *storage.Store) error { return s.DropDocument(event) }
		other    = func(s *storage.Store) error { return s.Commit("tg/2", t0, storage.Changes{}) }
		forget   = func(s *storage.Store) error {
			_, err := s.Forget("7", t0.Add(time.Hour), func(_ *storage.View, r storage.Raw) bool { return string(r.Body) == "7" })
			return err
		}
		commit = func(event string, used []byte) func(*storage.Store) error {
			return func(s *storage.Store) error {
				return s.Commit(event, t0, storage.Changes{Keep: map[string][]byte{storage.DocumentKey("tg/1"): used}})
			}
		}
		done = func(s *storage.Store) error { return s.Commit(event, t0, storage.Changes{}) }
	)
	type steps []func(*storage.Store) error
	for name, c := range map[string]struct {
		do          steps
		now, opened bool // whether it is there, and whether it is after an opening
	}{
		"nothing accepted":                {steps{keep, other}, true, false},
		"accepted":                        {steps{keep, accept, other}, true, true},
		"worked":                          {steps{keep, accept, done}, false, false},
		"used on":                         {steps{keep, accept, commit(event, []byte("7"))}, true, true},
		"used on and done with":           {steps{keep, accept, commit(event, []byte("7")), commit("import", nil)}, false, false},
		"set aside":                       {steps{keep, accept, setAside}, true, true},
		"not wanted":                      {steps{keep, drop, drop}, false, false},
		"kept again":                      {steps{keep, keep, accept}, true, true},
		"somebody else is forgotten":      {steps{keep, forget}, true, false},
		"its operator is forgotten":       {steps{keep, accept, forget}, false, false},
		"its operator, who used it on":    {steps{keep, accept, commit(event, []byte("7")), forget}, false, false},
		"its operator, when it was aside": {steps{keep, accept, setAside, forget}, false, false},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			s := open(t, dir)
			for n, do := range c.do {
				if err := do(s); err != nil {
					t.Fatalf("step %d: %v", n, err)
				}
			}
			if got := slices.Equal(documentsIn(t, dir), []string{"tg%2F1"}); got != c.now {
				t.Errorf("it is there: %t, %q", got, documentsIn(t, dir))
			}
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			s = open(t, dir)
			defer s.Close()
			if got := len(documentsIn(t, dir)) == 1; got != c.opened {
				t.Errorf("after an opening it is there: %t", got)
			}
			err := s.View(func(v *storage.View) error {
				f, err := v.Document(event)
				if err != nil {
					return err
				}
				defer f.Close()
				if body, err := io.ReadAll(f); err != nil || string(body) != "<eoh>" {
					t.Errorf("it is %q, %v", body, err)
				}
				return nil
			})
			if c.opened != (err == nil) || err != nil && !errors.Is(err, os.ErrNotExist) {
				t.Errorf("reading it: %v", err)
			}
		})
	}
}

// Nothing in the place of the documents keeps a store from opening.
func TestDocumentsOfSomebodyElse(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "documents"), []byte("notes"), 0o600); err != nil {
		t.Fatal(err)
	}
	s := open(t, dir)
	defer s.Close()
	if len(s.Notices()) == 0 {
		t.Error("nothing is said of a file in the place of the directory")
	}
	if _, err := s.KeepDocument("tg/1", strings.NewReader("<eoh>"), 5); err == nil {
		t.Error("a document is kept in a file")
	}
}

// A document that is damaged is not given out, and the store opens and works its event.
func TestDamagedDocument(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	_, err := s.KeepDocument("tg/1", strings.NewReader("<eoh>"), 5)
	if err := errors.Join(err, s.Accept(nil, storage.Raw{ID: "tg/1", At: t0}), s.Close()); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "documents", "tg%2F1")
	if err := errors.Join(os.Remove(path), os.MkdirAll(filepath.Join(path, "x"), 0o700)); err != nil {
		t.Fatal(err)
	}
	s = open(t, dir)
	defer s.Close()
	view(t, s, func(v *storage.View) error {
		if d, err := v.Document("tg/1"); err == nil {
			t.Errorf("it is given out, %d bytes", d.Size())
		}
		return nil
	})
	commit(t, s, "tg/1", storage.Changes{})
}
