package backups

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

var noon = time.Date(2027, 5, 23, 12, 0, 0, 0, time.UTC)

// directory holds three copies, and what is none.
func directory(t *testing.T) (dir string, copies []string) {
	t.Helper()
	dir = t.TempDir()
	for n := range 3 {
		copies = append(copies, Path(dir, noon.Add(time.Duration(n)*time.Hour)))
	}
	slices.Reverse(copies)
	for _, p := range append([]string{filepath.Join(dir, "mine.db")}, copies...) {
		if err := os.WriteFile(p, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(Path(dir, noon.AddDate(1, 0, 0)), 0o700); err != nil {
		t.Fatal(err)
	}
	return dir, copies
}

func TestNewestFirst(t *testing.T) {
	dir, copies := directory(t)
	if got := In(dir); !slices.Equal(got, copies) {
		t.Errorf("in it are %q", got)
	}
	if path, at := Newest(dir); path != copies[0] || !at.Equal(noon.Add(2*time.Hour)) {
		t.Errorf("the newest: %q of %v", path, at)
	}
	if path, at := Newest(filepath.Join(dir, "missing")); path != "" || !at.IsZero() {
		t.Errorf("the newest of none: %q of %v", path, at)
	}
}

func TestKeep(t *testing.T) {
	dir, copies := directory(t)
	if err := Keep(dir, 2); err != nil {
		t.Fatal(err)
	}
	if got := In(dir); !slices.Equal(got, copies[:2]) {
		t.Errorf("left are %q", got)
	}
	if _, err := os.Stat(filepath.Join(dir, "mine.db")); err != nil {
		t.Error(err)
	}
}

func TestTimes(t *testing.T) {
	at := []time.Time{noon, noon.Add(time.Second)}
	made, others := Times([]string{Path("x", at[0]), "x/skyslate.db.broken-20270523T120000Z", Path("y", at[1])})
	slices.Reverse(made)
	if !slices.EqualFunc(made, at, time.Time.Equal) || others != 1 {
		t.Errorf("made %v, %d others", made, others)
	}
}

// A database is old that is a copy itself, or knows of an earlier backup than there is.
func TestOlder(t *testing.T) {
	dir, _ := directory(t) // the newest is of two hours past noon
	for known, want := range map[Known]bool{
		{}:                              false,
		{Made: noon}:                    true,
		{Made: noon.Add(2 * time.Hour)}: false,
		{Made: noon.Add(3 * time.Hour)}: false,
		{Made: noon.Add(2 * time.Hour), Copy: true}: true,
	} {
		if known.Older(dir) != want {
			t.Errorf("%+v: %v", known, !want)
		}
	}
}
