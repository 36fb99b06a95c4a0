package storage_test

import (
	"bytes"
	"fmt"
	"os"
	"testing"
	"time"

	"skyslate/storage"
)

// twoStarts are directories of two stores that began at the same moment for the same
// operator, as after a start in an empty directory: the same numbers are other contacts.
func twoStarts(t *testing.T) (first, second string) {
	t.Helper()
	first, second = t.TempDir(), t.TempDir()
	for dir, call := range map[string]string{first: "OX9QZU", second: "OX9QZV"} {
		s := open(t, dir)
		commit(t, s, "join", storage.Changes{Operator: operator(op), Passes: []storage.Pass{pass(op, t0, 10*time.Minute)}})
		for n := range uint64(map[string]int{first: 9, second: 4}[dir]) {
			c := contact(op, n+1, 1, call)
			c.Note = dir
			commit(t, s, fmt.Sprint("m", n), storage.Changes{Contacts: []storage.Contact{c}})
		}
		noError(t, s.Close())
	}
	return first, second
}

const guest = storage.GuestsKey + "/person/7"

// A copy of a store that went on without its journal, and the journal that went on
// without the copy.
func forked(t *testing.T) (first, second string) {
	t.Helper()
	first, second = t.TempDir(), t.TempDir()
	s := open(t, first)
	commit(t, s, "join", storage.Changes{Operator: operator(op), Passes: []storage.Pass{pass(op, t0, 10*time.Minute)}})
	more := func(s *storage.Store, from, to uint64, call string) {
		for n := from; n <= to; n++ {
			c := contact(op, n, 1, call)
			c.Made = t0
			commit(t, s, fmt.Sprint(call, n), storage.Changes{Contacts: []storage.Contact{c}})
		}
	}
	more(s, 1, 2, "OX9QZU")
	noError(t, s.Accept(map[string][]byte{guest: []byte("in")}))
	noError(t, s.Close())
	text, err := os.ReadFile(inDir(first, "skyslate.db"))
	noError(t, err)
	noError(t, os.WriteFile(inDir(second, "skyslate.db"), text, 0o600))
	s = open(t, first)
	more(s, 3, 9, "OX9QZU")
	noError(t, s.Accept(map[string][]byte{guest: nil}))
	noError(t, s.Close())
	s = open(t, second)
	more(s, 3, 6, "OX9QZV")
	noError(t, s.Close())
	return first, second
}

// A journal of another start beside the database: nothing of either is lost.
func TestJournalOfAnotherStart(t *testing.T) {
	for name, make := range map[string]func(*testing.T) (string, string){"from nothing": twoStarts, "from a copy": forked} {
		t.Run(name, func(t *testing.T) { joinJournal(t, make) })
	}
}

func joinJournal(t *testing.T, make func(*testing.T) (string, string)) {
	first, second := make(t)
	text, err := os.ReadFile(inDir(first, "contacts.journal"))
	noError(t, err)
	noError(t, os.WriteFile(inDir(second, "contacts.journal"), text, 0o600))
	for n := range 2 {
		s := open(t, second)
		calls := map[string]int{}
		view(t, s, func(v *storage.View) error {
			cs, err := v.Contacts(op, t0.Add(-time.Hour), t0.Add(1000*time.Hour))
			for _, c := range cs {
				calls[c.Call.String()]++
			}
			return err
		})
		same(t, "contacts", calls, map[string]int{"OX9QZU": 9, "OX9QZV": 4})
		if told := len(s.Notices()) > 0; told != (n == 0) {
			t.Errorf("opening %d: told %t", n+1, told)
		}
		in, err := s.Kept(guest)
		noError(t, err)
		if in != nil {
			t.Error("who was put out is in again")
		}
		noError(t, s.Close())
		_, err = storage.Verify(second)
		noError(t, err)
	}
}

// A block of the journal that stands there twice changes nothing.
func TestJournalWithADoubledBlock(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	fill(t, s, 3)
	_, err := s.Forget(op, t0.Add(time.Hour), nil)
	noError(t, err)
	again := operator(op)
	again.Joined = t0.Add(2 * time.Hour)
	commit(t, s, "again", storage.Changes{Operator: again})
	for n := range uint64(3) {
		c := contact(op, n+1, 1, "OX9QZV")
		c.Made = t0.Add(3 * time.Hour)
		commit(t, s, fmt.Sprint("later", n), storage.Changes{Contacts: []storage.Contact{c}})
	}
	want := contacts(t, s)
	noError(t, s.Close())
	path := inDir(dir, "contacts.journal")
	text, err := os.ReadFile(path)
	noError(t, err)
	for name, doubled := range map[string][]byte{
		"the whole":      bytes.Repeat(text, 2),
		"the first half": append(bytes.Clone(text), text[:bytes.IndexByte(text[len(text)/2:], '\n')+len(text)/2+1]...),
	} {
		t.Run(name, func(t *testing.T) {
			noError(t, os.WriteFile(path, doubled, 0o600))
			noError(t, os.Remove(inDir(dir, "skyslate.db")))
			s := open(t, dir)
			same(t, "contacts", contacts(t, s), want)
			noError(t, s.Close())
		})
	}
}
