package journal_test

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"skyslate/storage/journal"
)

// note is what a line of the tests holds.
type note struct {
	Title string `json:"title,omitempty"`
	Text  string `json:"text,omitempty"`
}

const title = `{"title":"invented notes"}`

func entry(text string) journal.Entry {
	return journal.Entry{Object: fmt.Appendf(nil, `{"text":%q}`, text)}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// begun is a new journal with a line of each text, and its state.
func begun(t *testing.T, texts ...string) (path string, j *journal.Journal, state journal.State) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "notes")
	j, err := journal.Open(path, []byte(title))
	must(t, err)
	for _, text := range texts {
		state = follow(t, j, entry(text))
	}
	return path, j, state
}

func follow(t *testing.T, j *journal.Journal, entries ...journal.Entry) journal.State {
	t.Helper()
	lines, state := j.With(entries)
	j.Add(lines)
	must(t, j.Write())
	return state
}

func texts(t *testing.T, path string) (all []string, bad int) {
	t.Helper()
	bad, err := journal.ReadFile(path, func(_ int, _ []byte, n note) error {
		all = append(all, n.Title+n.Text)
		return nil
	})
	must(t, err)
	return all, bad
}

func mustHold(t *testing.T, path string, bad int, want ...string) {
	t.Helper()
	if got, n := texts(t, path); n != bad || !slices.Equal(got, want) {
		t.Errorf("the journal holds %q and %d bad lines, want %q and %d", got, n, want, bad)
	}
}

// A journal is resumed as it was left, or where a kill came before its last lines were
// written; anything else is to be looked into.
func TestResume(t *testing.T) {
	for name, c := range map[string]struct {
		change func(text string) string
		knows  bool
	}{
		"as it was left":         {func(text string) string { return text }, true},
		"killed before it wrote": {func(text string) string { return text[:strings.LastIndex(text[:len(text)-1], "\n")+1] }, true},
		"killed while it wrote":  {func(text string) string { return text[:len(text)-9] }, false},
		"an older one":           {func(text string) string { return text[:strings.Index(text, "\n")+1] }, false},
		"a newer one":            {func(text string) string { return text + string(journal.Line(entry("four").Object)) }, false},
		"a changed one":          {func(text string) string { return strings.Replace(text, "one", "One", 1) }, false},
		"none":                   {func(string) string { return "" }, false},
	} {
		t.Run(name, func(t *testing.T) {
			path, j, state := begun(t, "one", "two", "three")
			must(t, j.Close())
			text, err := os.ReadFile(path)
			must(t, err)
			must(t, os.WriteFile(path, []byte(c.change(string(text))), 0o600))
			j = journal.Resume(path, state)
			if (j != nil) != c.knows {
				t.Fatalf("resumed: %v", j != nil)
			}
			if j == nil {
				return
			}
			follow(t, j, entry("four"))
			must(t, j.Close())
			mustHold(t, path, 0, "invented notes", "one", "two", "three", "four")
		})
	}
}

// What could not be written follows with the next write, and a torn last line of
// somebody else stands alone.
func TestFollows(t *testing.T) {
	path, j, _ := begun(t, "one")
	must(t, j.Close())
	lines, _ := j.With([]journal.Entry{entry("two")})
	j.Add(lines)
	if err := j.Write(); err == nil || j.Behind() != 1 {
		t.Errorf("written to a closed file: %v, %d lines behind", err, j.Behind())
	}
	text, err := os.ReadFile(path)
	must(t, err)
	must(t, os.WriteFile(path, append(text, "torn"...), 0o600))
	j, err = journal.Open(path, []byte(title))
	must(t, err)
	follow(t, j, entry("three"))
	must(t, j.Close())
	mustHold(t, path, 1, "invented notes", "one", "three")
}

// Of entries of one name one line is written.
func TestOnce(t *testing.T) {
	path, j, _ := begun(t)
	a, b := entry("a"), entry("b")
	a.Once, b.Once = "a", "b"
	_, _ = j.With([]journal.Entry{b}) // is not added
	follow(t, j, a, a, entry("x"))
	follow(t, j, a, b, entry("x"))
	must(t, j.Close())
	mustHold(t, path, 0, "invented notes", "a", "x", "b", "x")
}

// Lines that are added while the journal is replaced are in it afterwards.
func TestRewrite(t *testing.T) {
	path, j, _ := begun(t, "one", "two", "three")
	named := entry("named")
	named.Once = "named"
	follow(t, j, named)
	must(t, j.Rewrite(func(old *io.SectionReader, to io.Writer) error {
		follow(t, j, entry("meanwhile"))
		return journal.Copy(to, old, func(_ int, n note) bool { return n.Text != "two" && n.Text != "named" })
	}))
	state := follow(t, j, named) // a line of that name is no longer there
	must(t, j.Close())
	mustHold(t, path, 0, "invented notes", "one", "three", "meanwhile", "named")
	if j = journal.Resume(path, state); j == nil {
		t.Fatal("it is not resumed")
	}
	err := j.Rewrite(func(*io.SectionReader, io.Writer) error { return io.ErrShortWrite })
	if err == nil {
		t.Error("a failure is not told")
	}
	follow(t, j, entry("on"))
	must(t, j.Close())
	must(t, journal.Rewrite(path, func(n int, _ note) bool { return n != 1 }))
	mustHold(t, path, 0, "one", "three", "meanwhile", "named", "on")
}

// Any other bit makes a bad line of a line.
func TestLineChanged(t *testing.T) {
	line := journal.Line(entry("HX7KZQ HP15").Object)
	for at := range line[:len(line)-1] {
		for bit := range 8 {
			changed := bytes.Clone(line)
			changed[at] ^= 1 << bit
			_, err := journal.Read(bytes.NewReader(changed), func(_ int, line []byte, n note) error {
				t.Errorf("bit %d of byte %d: %q reads as %+v", bit, at, line, n)
				return nil
			})
			must(t, err)
		}
	}
}

// The reader of a journal counts each line once, good or bad, and finds the
// good ones between others.
func FuzzRead(f *testing.F) {
	good := journal.Line([]byte(`{"text":"<&> \u2028 \"quoted\"\n"}`))
	f.Add([]byte("hello\n"), []byte("torn"))
	f.Add([]byte{}, []byte("\n\n"))
	f.Fuzz(func(t *testing.T, before, after []byte) {
		text := slices.Concat(before, []byte("\n"), good, after)
		var lines []int
		bad, err := journal.Read(bytes.NewReader(text), func(n int, _ []byte, _ note) error {
			lines = append(lines, n)
			return nil
		})
		must(t, err)
		want := bytes.Count(text, []byte("\n"))
		if !bytes.HasSuffix(text, []byte("\n")) {
			want++ // the torn one
		}
		if len(lines)+bad != want {
			t.Errorf("%d good and %d bad lines of %d", len(lines), bad, want)
		}
		if !slices.Contains(lines, bytes.Count(before, []byte("\n"))+2) {
			t.Errorf("the good line is missing among %v", lines)
		}
	})
}
