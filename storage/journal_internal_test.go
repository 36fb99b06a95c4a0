package storage

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"skyslate/storage/journal"
	"skyslate/storage/schema"
)

// An opening compares journal and database only where the database doesn't know the
// journal as it is: after a kill amid a commit the journal gets what the database
// says it lacks, and any other difference is looked into (which differ is the
// journal's to say).
func TestOpeningComparesWhatItMust(t *testing.T) {
	for name, c := range map[string]struct {
		change func(text string) string
		knows  bool
	}{
		"as it was left":         {func(text string) string { return text }, true},
		"killed before it wrote": {func(text string) string { return text[:strings.LastIndex(text[:len(text)-1], "\n")+1] }, true},
		"a changed one":          {func(text string) string { return strings.Replace(text, "HX7KZQ", "HX7KZR", 1) }, false},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			oldStore(t, dir)
			openAnd(t, dir, func(s *Store) error {
				return s.Commit("last", time.Time{}, Changes{Contacts: []Contact{{Operator: "7", ID: 1, Version: 2}}})
			})
			path := filepath.Join(dir, journalName)
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(c.change(string(text))), 0o600); err != nil {
				t.Fatal(err)
			}
			f, err := schema.Open(filepath.Join(dir, databaseName), true)
			if err != nil {
				t.Fatal(err)
			}
			known, ok, err := opening{&Store{file: f}}.knownJournal()
			if err != nil || !ok {
				t.Fatal(ok, err)
			}
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
			j := journal.Resume(path, known)
			if (j != nil) != c.knows {
				t.Errorf("known: %v", j != nil)
			}
			if j != nil {
				_ = j.Close()
			}
			openAnd(t, dir, func(*Store) error { return nil })
			if _, err := Verify(dir); err != nil {
				t.Error(err)
			}
		})
	}
}
