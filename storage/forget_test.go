package storage_test

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
	"skyslate/storage/block"
	"skyslate/storage/pages"
	"skyslate/storage/storagetest"
)

// twoOperators fills a store with an operator to forget and one to keep.
func twoOperators(t *testing.T, s *storage.Store) {
	t.Helper()
	fill(t, s, 10)
	p := pass(other, t0, 10*time.Minute)
	c := contact(other, 1, 1, "OX9QZU")
	c.Pass = p.ID
	post := send("ack/other", "kept")
	post.Operator = other
	commit(t, s, "other", storage.Changes{
		Operator: operator(other), Passes: []storage.Pass{p}, Contacts: []storage.Contact{c},
		Messages: []storage.Message{{Operator: other, ID: 1, Text: "hello"}}, Posts: []storage.Post{post},
		Agenda: []storage.Item{{Key: "remind/7001", At: t0, Operator: other}, {Key: "remind/70012", At: t0, Operator: op}},
	})
	commit(t, s, "remind/70012", storage.Changes{Agenda: []storage.Item{{Key: "again/70012", At: t0, Operator: op}}})
	noError(t, s.Accept(nil, storage.Raw{ID: "r1", Body: []byte("from 70012")}, storage.Raw{ID: "r2", Body: []byte("from another")}))
	noError(t, s.Accept(nil, storage.Raw{ID: "r3", Body: []byte("broken, from 70012")}))
	noError(t, s.SetAside("r3", "no sense", t0))
}

func theirs(_ *storage.View, r storage.Raw) bool {
	return strings.HasSuffix(string(r.Body), "from 70012")
}

func TestForget(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	twoOperators(t, s)
	backup, err := s.BackupTo("", t0, 3)
	noError(t, err)
	remains, err := s.Forget(op, t0.Add(time.Hour), theirs)
	noError(t, err)
	same(t, "remains", remains, []string{backup})
	commit(t, s, "after", storage.Changes{Posts: []storage.Post{{Name: "bye", Operator: other, Op: storage.Send}}})
	noError(t, s.Close())

	for _, name := range []string{"skyslate.db", "contacts.journal"} {
		text, err := os.ReadFile(inDir(dir, name))
		noError(t, err)
		for _, word := range []string{"70012", "wind wind", "ox9qzu"} {
			if bytes.Contains(text, []byte(word)) {
				t.Errorf("%s still holds %q", name, word)
			}
		}
		if !bytes.Contains(text, []byte("7001")) {
			t.Errorf("%s lost the other operator", name)
		}
	}
	for name, values := range unpacked(t, inDir(dir, "skyslate.db")) {
		for _, word := range []string{"70012", "wind wind", "ox9qzu"} {
			if strings.Contains(values, word) {
				t.Errorf("a page with %s still holds %q", name, word)
			}
		}
	}
	same(t, "no files left over", len(glob(t, dir, "*")), 3)

	s = storagetest.OpenDir(t, dir)
	same(t, "notices", len(s.Notices()), 0)
	r, _, err := s.Oldest()
	noError(t, err)
	same(t, "inbox", r.ID, "r2")
	same(t, "owed", queue(t, s), "send ack/other=kept; send bye=")
	view(t, s, func(v *storage.View) error {
		ops, err := v.Operators()
		noError(t, err)
		same(t, "operators", ops, []storage.Operator{*operator(other)})
		cs, err := v.ContactsOfCall(other, contact(op, 1, 1, "OX9QZU").Call)
		same(t, "the other's contacts", ids(cs), "1.1 ")
		return err
	})
}

// unpacked are the entries of all pages, those that are free too, by bucket.
func unpacked(t *testing.T, path string) map[string]string {
	t.Helper()
	f, err := os.Open(path)
	noError(t, err)
	defer f.Close()
	info, err := f.Stat()
	noError(t, err)
	found := map[string]string{}
	pages.Values(f, info.Size(), os.Getpagesize(), func(key, value []byte, _ bool) {
		for _, name := range []string{"contacts", "contacts_by_call", "messages", "passes", "agenda", "posts", "seen", "meta"} {
			entries, _ := block.Read(name, key, value) // none if it is another's
			for _, e := range entries {
				found[name] += string(e.Key) + string(e.Value)
			}
		}
	})
	if !strings.Contains(found["contacts"], "OX9QZU") {
		t.Error("no contact was found in the pages")
	}
	return found
}

// An operator who was forgotten doesn't come back with an older backup, and one
// who joins again afterwards stays.
func TestForgottenStayForgotten(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	twoOperators(t, s)
	backup, err := s.BackupTo("", t0, 3)
	noError(t, err)
	_, err = s.Forget(op, t0.Add(time.Hour), nil)
	noError(t, err)
	noError(t, s.Close())
	text, err := os.ReadFile(backup)
	noError(t, err)
	noError(t, os.WriteFile(inDir(dir, "skyslate.db"), text, 0o600))

	s = open(t, dir)
	same(t, "contacts", contacts(t, s), "")
	again := operator(op)
	again.Joined = t0.Add(2 * time.Hour)
	commit(t, s, "joins again", storage.Changes{Operator: again, Contacts: []storage.Contact{contact(op, 1, 1, "OX9QZW")}})
	noError(t, s.Close())
	noError(t, os.Remove(inDir(dir, "skyslate.db")))
	noError(t, os.RemoveAll(inDir(dir, "backups")))
	journal := inDir(dir, "contacts.journal")
	text, err = os.ReadFile(journal)
	noError(t, err)
	noError(t, os.WriteFile(journal, append([]byte("unreadable\n\n\n\n"), text...), 0o600)) // mending moves the lines
	s = storagetest.OpenDir(t, dir)
	same(t, "contacts", contacts(t, s), "1.1 ")
}

// A crash between the mark in the journal and the rest of the forgetting.
func TestForgettingIsFinishedAtTheNextOpening(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	twoOperators(t, s)
	noError(t, s.Close())
	copied := map[string][]byte{}
	for _, name := range []string{"skyslate.db", "contacts.journal"} {
		text, err := os.ReadFile(inDir(dir, name))
		noError(t, err)
		copied[name] = text
	}
	s = open(t, dir)
	_, err := s.Forget(op, t0.Add(time.Hour), nil)
	noError(t, err)
	noError(t, s.Close())
	after, err := os.ReadFile(inDir(dir, "contacts.journal"))
	noError(t, err)
	mark := after[bytes.LastIndexByte(after[:len(after)-1], '\n')+1:]
	if !bytes.Contains(mark, []byte("forgotten")) {
		t.Fatalf("not a mark: %s", mark)
	}
	noError(t, os.WriteFile(inDir(dir, "skyslate.db"), copied["skyslate.db"], 0o600))
	noError(t, os.WriteFile(inDir(dir, "contacts.journal"), append(copied["contacts.journal"], mark...), 0o600))

	s = storagetest.OpenDir(t, dir)
	same(t, "contacts", contacts(t, s), "")
	text, err := os.ReadFile(inDir(dir, "contacts.journal"))
	noError(t, err)
	if bytes.Contains(text, []byte("70012")) {
		t.Error("the journal still holds the operator")
	}
}
