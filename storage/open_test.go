package storage_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	bolt "go.etcd.io/bbolt"

	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// filled makes a store with some of everything, closes it and returns its
// directory.
func filled(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	s := open(t, dir)
	fill(t, s, 40)
	noError(t, s.Close())
	return dir
}

func open(t testing.TB, dir string) *storage.Store {
	t.Helper()
	s, err := storage.Open(dir)
	noError(t, err)
	return s
}

func fill(t testing.TB, s *storage.Store, contacts int) {
	t.Helper()
	p := pass(op, t0, 10*time.Minute)
	commit(t, s, "join", storage.Changes{Operator: operator(op), Passes: []storage.Pass{p}})
	for n := range contacts {
		c := contact(op, uint64(n+1), 1, "OX9QZU")
		c.Pass, c.Note = p.ID, strings.Repeat("wind ", 20)
		event := fmt.Sprint("m", n)
		noError(t, s.Accept(nil, storage.Raw{ID: event, At: t0}))
		commit(t, s, event, storage.Changes{
			Contacts: []storage.Contact{c},
			Messages: []storage.Message{{Operator: op, ID: int64(n), At: t0, Pass: p.ID, Text: "ox9qzu"}},
			Posts:    []storage.Post{send("ack/"+event, fmt.Sprint(n))},
			Agenda:   []storage.Item{{Key: fmt.Sprint("k", n), At: t0, Operator: op}},
		})
	}
}

func contacts(t testing.TB, s *storage.Store) string {
	t.Helper()
	var text string
	view(t, s, func(v *storage.View) error {
		cs, err := v.Contacts(op, t0.Add(-time.Hour), t0.Add(1000*time.Hour))
		text = ids(cs)
		return err
	})
	return text
}

func inDir(dir string, names ...string) string {
	return filepath.Join(append([]string{dir}, names...)...)
}

func glob(t testing.TB, dir, pattern string) []string {
	t.Helper()
	found, err := filepath.Glob(inDir(dir, pattern))
	noError(t, err)
	return found
}

// What is in the place of a database, with nothing to restore it from.
func TestRefusals(t *testing.T) {
	foreign := func(t *testing.T, path string) {
		db, err := bolt.Open(path, 0o600, nil)
		noError(t, err)
		noError(t, db.Update(func(tx *bolt.Tx) error {
			b, err := tx.CreateBucket([]byte("things"))
			noError(t, err)
			return b.Put([]byte("a"), []byte("b"))
		}))
		noError(t, db.Close())
	}
	write := func(text string) func(*testing.T, string) {
		return func(t *testing.T, path string) { noError(t, os.WriteFile(path, []byte(text), 0o644)) }
	}
	for name, c := range map[string]struct {
		make func(t *testing.T, path string)
		kind error
		says string
	}{
		"empty":            {write(""), storage.ErrDamaged, "empty (0 bytes)"},
		"a few bytes":      {write("log"), storage.ErrForeign, "no database of skyslate"},
		"a text":           {write(strings.Repeat("73 de OX9QZT\n", 5000)), storage.ErrForeign, "no database of skyslate"},
		"another's bbolt":  {foreign, storage.ErrForeign, "another program"},
		"a directory":      {func(t *testing.T, path string) { noError(t, os.Mkdir(path, 0o700)) }, storage.ErrForeign, "directory"},
		"zeros":            {write(strings.Repeat("\x00", 1<<15)), storage.ErrForeign, "no database of skyslate"},
		"of a newer store": {newer, storage.ErrNewer, "schema 99"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path := inDir(dir, "skyslate.db")
			c.make(t, path)
			before, _ := os.ReadFile(path)
			_, openErr := storage.Open(dir)
			_, readErr := storage.OpenForRead(dir)
			_, verifyErr := storage.Verify(dir)
			for _, err := range []error{openErr, readErr, verifyErr} {
				if !errors.Is(err, c.kind) || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), path) {
					t.Errorf("got %v", err)
				}
			}
			after, _ := os.ReadFile(path)
			if !bytes.Equal(before, after) || len(glob(t, dir, "*")) != 1 {
				t.Error("the directory was changed:", glob(t, dir, "*"))
			}
		})
	}
}

// What a newer skyslate wrote isn't restored by an older one.
func TestDamagedAndNewer(t *testing.T) {
	dir := t.TempDir()
	newerDamaged(t, inDir(dir, "skyslate.db"))
	if _, err := storage.Open(dir); !errors.Is(err, storage.ErrNewer) {
		t.Errorf("open: %v", err)
	}
	if _, err := storage.Verify(dir); !errors.Is(err, storage.ErrDamaged) {
		t.Errorf("verify: %v", err)
	}
	same(t, "files", len(glob(t, dir, "*")), 1)
}

func TestNoStore(t *testing.T) {
	dir := t.TempDir()
	for _, path := range []string{dir, inDir(dir, "nowhere")} {
		if _, err := storage.Verify(path); !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), "there is no store") {
			t.Errorf("got %v", err)
		}
	}
	if len(glob(t, dir, "*")) != 0 {
		t.Error("reading made a file")
	}
}

func TestLockedNamesTheNewestBackup(t *testing.T) {
	synctest.Test(t, func(t *testing.T) { // waiting for the lock takes no time in here
		dir := t.TempDir()
		s := storagetest.OpenDir(t, dir)
		check := func(want string) {
			for _, try := range []func() error{
				func() error { _, err := storage.Open(dir); return err },
				func() error { _, err := storage.OpenForRead(dir); return err },
				func() error { _, err := storage.Verify(dir); return err },
			} {
				err := try()
				if !errors.Is(err, storage.ErrLocked) || !strings.Contains(err.Error(), "another skyslate is running on "+dir) || !strings.Contains(err.Error(), want) {
					t.Errorf("got %v", err)
				}
			}
		}
		check("newest backup: none")
		path, err := s.BackupTo("", t0, 3)
		noError(t, err)
		check("newest backup: " + path)
	})
}

func TestDeletedDatabaseComesBackFromTheJournal(t *testing.T) {
	dir := filled(t)
	s := open(t, dir)
	c := contact(op, 3, 2, "OX9QZV")
	c.State = storage.Dropped
	commit(t, s, "edit", storage.Changes{Contacts: []storage.Contact{c}})
	want := contacts(t, s)
	noError(t, s.Close())
	noError(t, os.Remove(inDir(dir, "skyslate.db")))

	s = storagetest.OpenDir(t, dir)
	same(t, "contacts", contacts(t, s), want)
	view(t, s, func(v *storage.View) error {
		h, err := v.History(op, 3)
		noError(t, err)
		same(t, "history", ids(h), "3.1 3.2 ")
		same(t, "version 2", h[1], c)
		if next := v.NextContact(op); next <= 41 {
			t.Errorf("next is %d: nobody can tell whether it was given", next)
		}
		p, ok, err := v.Pass(op, pass(op, t0, 0).ID)
		noError(t, err)
		same(t, "pass", p, pass(op, t0, 10*time.Minute))
		same(t, "pass is there", ok, true)
		o, _, err := v.Operator(op)
		o.Given = 0
		same(t, "operator", o, *operator(op))
		return err
	})
	if notices := strings.Join(s.Notices(), "\n"); !strings.Contains(notices, "41 versions of contacts, 1 operators") {
		t.Errorf("notices: %s", notices)
	}
	if again := s.Notices(); len(again) != 0 {
		t.Errorf("told twice: %q", again)
	}
}

func TestJournalIsToppedUpAndMended(t *testing.T) {
	for name, c := range map[string]struct {
		damage func(text []byte) []byte
		says   string
		sound  bool // as verify sees it: a kill may have the same effect
	}{
		"deleted":       {func([]byte) []byte { return nil }, "lacked 42 lines", false},
		"torn":          {func(b []byte) []byte { return b[:len(b)-9] }, "1 lines of the contact journal could not be read", false},
		"last lines":    {func(b []byte) []byte { return b[:bytes.LastIndexByte(b[:len(b)-1], '\n')+1] }, "lacked 1 lines", true},
		"a flipped bit": {func(b []byte) []byte { b[len(b)/2] ^= 4; return b }, "1 lines of the contact journal could not be read", false},
		"a text":        {func([]byte) []byte { return []byte("hello\nworld") }, "2 lines of the contact journal could not be read", false},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filled(t)
			path := inDir(dir, "contacts.journal")
			text, err := os.ReadFile(path)
			noError(t, err)
			noError(t, os.WriteFile(path, c.damage(text), 0o600))
			if _, err := storage.Verify(dir); errors.Is(err, storage.ErrDamaged) == c.sound {
				t.Errorf("verify: %v", err)
			}
			s := open(t, dir)
			if notices := strings.Join(s.Notices(), "\n"); !strings.Contains(notices, c.says) {
				t.Errorf("notices: %s", notices)
			}
			noError(t, s.Close())
			noError(t, os.Remove(inDir(dir, "skyslate.db")))
			s = storagetest.OpenDir(t, dir)
			if n := strings.Count(contacts(t, s), ".1 "); n != 40 {
				t.Errorf("%d contacts came back", n)
			}
		})
	}
}

func TestJournalReadsWithoutTools(t *testing.T) {
	text, err := os.ReadFile(inDir(filled(t), "contacts.journal"))
	noError(t, err)
	lines := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	same(t, "lines: title, operator, pass, contacts", len(lines), 43)
	for i, want := range []string{`"journal":"skyslate contacts`, `"operator":{"id":"70012"`, `"pass":{"id":"2026`, `"call":"OX9QZU"`} {
		if !strings.Contains(lines[i], want) {
			t.Errorf("line %d lacks %s: %s", i+1, want, lines[i])
		}
	}
}

// The conversation's own memory changes with every message: it isn't journalled.
func TestJournalIgnoresTheConversation(t *testing.T) {
	dir := t.TempDir()
	s := storagetest.OpenDir(t, dir)
	size := func() int64 {
		info, err := os.Stat(inDir(dir, "contacts.journal"))
		noError(t, err)
		return info.Size()
	}
	o := operator(op)
	commit(t, s, "a", storage.Changes{Operator: o})
	before := size()
	o.Heard, o.Planned = t0, t0
	commit(t, s, "b", storage.Changes{Operator: o})
	same(t, "size", size(), before)
	o.Remind.PeakDeg = 40
	commit(t, s, "c", storage.Changes{Operator: o})
	if size() <= before {
		t.Error("a setting was not journalled")
	}
}

func TestOldBackupIsBroughtUpToDate(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	fill(t, s, 5)
	backup, err := s.BackupTo("", t0, 3)
	noError(t, err)
	moved := operator(op)
	moved.Heard, moved.Place.HeightM = t0.Add(time.Hour), 850
	commit(t, s, "more", storage.Changes{Operator: moved, Contacts: []storage.Contact{contact(op, 6, 1, "OX9QZV"), contact(op, 2, 2, "OX9QZV")}})
	want := contacts(t, s)
	noError(t, s.Close())
	text, err := os.ReadFile(backup)
	noError(t, err)
	noError(t, os.WriteFile(inDir(dir, "skyslate.db"), text, 0o600))
	s = storagetest.OpenDir(t, dir)
	same(t, "contacts", contacts(t, s), want)
	view(t, s, func(v *storage.View) error {
		o, _, err := v.Operator(op)
		o.Given = 0
		same(t, "operator", o, *moved)
		return err
	})
}

func TestDamagedDatabaseIsReplaced(t *testing.T) {
	for name, backups := range map[string]int{"journal alone": 0, "backup": 1, "newest backup damaged, too": 2} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			s := open(t, dir)
			fill(t, s, 20)
			for n := range backups {
				_, err := s.BackupTo("", t0.Add(time.Duration(n)*time.Hour), 5)
				noError(t, err)
			}
			commit(t, s, "last", storage.Changes{Contacts: []storage.Contact{contact(op, 21, 1, "OX9QZV")}})
			want := contacts(t, s)
			noError(t, s.Close())
			noError(t, os.Truncate(inDir(dir, "skyslate.db"), 2*4096)) // nothing is left to salvage
			if backups == 2 {
				noError(t, os.Truncate(inDir(dir, "backups", "skyslate-20261124T184205Z.db"), 20000))
			}
			if _, err := storage.Verify(dir); !errors.Is(err, storage.ErrDamaged) {
				t.Errorf("verify: %v", err)
			}
			s = storagetest.OpenDir(t, dir)
			same(t, "contacts", contacts(t, s), want)
			notices := strings.Join(s.Notices(), "\n")
			if !strings.Contains(notices, "is kept as") || strings.Contains(notices, "20261124T174205Z.db") != (backups > 0) {
				t.Errorf("notices: %s", notices)
			}
			same(t, "messages came from the backup", messages(t, s) == 20, backups > 0)
			same(t, "the broken file is kept", len(glob(t, dir, "skyslate.db.broken-*")), 1)
		})
	}
}

// The journal has a contact whose event still waits in the older database: the
// event is over, worked again it would log a second contact.
func TestRestoredContactEndsItsEvent(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	fill(t, s, 1)
	noError(t, s.Accept(nil, storage.Raw{ID: "waits", At: t0}, storage.Raw{ID: "too", At: t0}))
	backup, err := s.BackupTo("", t0, 3)
	noError(t, err)
	c := contact(op, 2, 1, "OX9QZV")
	c.Cause = storage.Cause{Kind: "typed", Event: "waits"}
	commit(t, s, "waits", storage.Changes{Contacts: []storage.Contact{c}})
	noError(t, s.Close())
	text, err := os.ReadFile(backup)
	noError(t, err)
	noError(t, os.WriteFile(inDir(dir, "skyslate.db"), text, 0o600))

	s = storagetest.OpenDir(t, dir)
	head, _, err := s.Oldest()
	noError(t, err)
	same(t, "head of the inbox", head.ID, "too")
	noError(t, s.Accept(nil, storage.Raw{ID: "waits", At: t0}))
	commit(t, s, "too", storage.Changes{})
	if _, ok, _ := s.Oldest(); ok {
		t.Error("the event was accepted again")
	}
}

// zeroPageInUse zeroes the last page with a text that the database still uses:
// freed pages keep theirs, and which ones are freed differs from run to run.
func zeroPageInUse(t *testing.T, path, text string) {
	t.Helper()
	const pageSize = 4096
	whole, err := os.ReadFile(path)
	noError(t, err)
	for end := len(whole); ; {
		at := bytes.LastIndex(whole[:end], []byte(text))
		if at < 0 {
			t.Fatal("no page in use holds the text")
		}
		at -= at % pageSize
		damaged := bytes.Clone(whole)
		clear(damaged[at : at+pageSize])
		noError(t, os.WriteFile(path, damaged, 0o600))
		if _, err := storage.Verify(path); err != nil {
			return
		}
		end = at
	}
}

// What can be read of the damaged file goes before what the backup has: what is
// over since isn't owed again.
func TestSalvageGoesBeforeTheBackup(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	fill(t, s, 30)
	noError(t, s.Accept(nil, storage.Raw{ID: "waits", At: t0}))
	_, err := s.BackupTo("", t0, 3)
	noError(t, err)
	commit(t, s, "waits", storage.Changes{Posts: []storage.Post{send("new", "")}})
	noError(t, s.Settle("ack/m1", "9", t0))
	noError(t, s.Close())
	zeroPageInUse(t, inDir(dir, "skyslate.db"), "wind ") // a page of contacts

	s = storagetest.OpenDir(t, dir)
	if notices := strings.Join(s.Notices(), "\n"); !strings.Contains(notices, "restored from the damaged database") {
		t.Fatalf("notices: %s", notices)
	}
	if head, ok, _ := s.Oldest(); ok {
		t.Errorf("%q is in the inbox again", head.ID)
	}
	q := queue(t, s)
	if strings.Contains(q, "ack/m1=") || !strings.HasSuffix(q, "send new=") {
		t.Errorf("owed: %s", q)
	}
}

// messages is how many there are under the pass that fill makes.
func messages(t testing.TB, s *storage.Store) (n int) {
	t.Helper()
	view(t, s, func(v *storage.View) error {
		ms, err := v.Messages(op, pass(op, t0, 0).ID)
		n = len(ms)
		return err
	})
	return n
}

func TestReadOnly(t *testing.T) {
	dir := filled(t)
	s, err := storage.OpenForRead(dir)
	noError(t, err)
	same(t, "contacts", strings.Count(contacts(t, s), ".1 "), 40)
	if err := s.Commit("x", t0, storage.Changes{Operator: operator(other)}); err == nil {
		t.Error("it was written to")
	}
	noError(t, s.Close())
	if err := s.View(func(*storage.View) error { return nil }); !errors.Is(err, storage.ErrClosed) {
		t.Errorf("after Close: %v", err)
	}
}
