package storage_test

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// Who was put out isn't in again, and whoever was let in stays in, whether the
// database is lost, or a backup is put in its place.
func TestGuestsSurvive(t *testing.T) {
	const out, in = storage.GuestsKey + "/person/7", storage.GuestsKey + "/person/8"
	for name, damage := range map[string]func(path, backup string) error{
		"deleted": func(path, _ string) error { return os.Remove(path) },
		"a backup in its place": func(path, backup string) error {
			text, err := os.ReadFile(backup)
			if err != nil {
				return err
			}
			return os.WriteFile(path, text, 0o600)
		},
		"the journal deleted": func(path, _ string) error {
			return os.Remove(strings.Replace(path, "skyslate.db", "contacts.journal", 1))
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			s := open(t, dir)
			noError(t, s.Accept(map[string][]byte{out: []byte("in"), "offset": []byte("1")}))
			backup, err := s.BackupTo("", t0, 3)
			noError(t, err)
			noError(t, s.Accept(map[string][]byte{out: nil}))
			noError(t, s.Accept(map[string][]byte{in: []byte("in")}))
			noError(t, s.Close())
			noError(t, damage(inDir(dir, "skyslate.db"), backup))
			for range 2 {
				s = open(t, dir)
				for key, want := range map[string]string{out: "", in: "in"} {
					kept, err := s.Kept(key)
					noError(t, err)
					same(t, key, string(kept), want)
				}
				noError(t, s.Close())
			}
		})
	}
}

// Of somebody who is forgotten no line about guests remains, and the journal goes on.
func TestForgottenGuestLeavesNoLine(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	commit(t, s, "join", storage.Changes{Operator: operator(op)})
	key := storage.GuestsKey + "/person/" + string(op)
	noError(t, s.Accept(map[string][]byte{key: []byte("in"), storage.GuestsKey: []byte("owner " + op)}))
	noError(t, s.Accept(map[string][]byte{key: nil, storage.GuestsKey: []byte("nobody")}))
	_, err := s.Forget(op, t0, nil)
	noError(t, err)
	noError(t, s.Close())
	text, err := os.ReadFile(inDir(dir, "contacts.journal"))
	noError(t, err)
	if bytes.Contains(text, []byte(op)) {
		t.Errorf("the journal names them:\n%s", text)
	}
	s = storagetest.OpenDir(t, dir)
	if notices := s.Notices(); len(notices) > 0 {
		t.Errorf("notices: %q", notices)
	}
}

// A journal that was saved by other hands is read as it is, and its rights are
// tightened.
func TestJournalSavedByOthers(t *testing.T) {
	for name, change := range map[string]func([]byte) []byte{
		"CR and LF":       func(b []byte) []byte { return bytes.ReplaceAll(b, []byte("\n"), []byte("\r\n")) },
		"no end of line":  func(b []byte) []byte { return bytes.TrimSuffix(b, []byte("\n")) },
		"as it was, 0666": func(b []byte) []byte { return b },
	} {
		t.Run(name, func(t *testing.T) {
			dir := filled(t)
			path := inDir(dir, "contacts.journal")
			text, err := os.ReadFile(path)
			noError(t, err)
			noError(t, os.WriteFile(path, change(text), 0o600))
			noError(t, os.Chmod(path, 0o666))
			s := open(t, dir)
			commit(t, s, "one more", storage.Changes{Contacts: []storage.Contact{contact(op, 41, 1, "OX9QZV")}})
			if notices := s.Notices(); len(notices) > 0 {
				t.Errorf("notices: %q", notices)
			}
			noError(t, s.Close())
			info, err := os.Stat(path)
			noError(t, err)
			same(t, "mode", info.Mode().Perm(), os.FileMode(0o600))
			noError(t, os.Remove(inDir(dir, "skyslate.db")))
			s = storagetest.OpenDir(t, dir)
			same(t, "contacts", strings.Count(contacts(t, s), ".1 "), 41)
		})
	}
}

// A moment that was worked doesn't come back with the agenda of an older copy, whose
// worked events are known from the damaged database.
func TestWorkedMomentStaysOver(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	fill(t, s, 30)
	worked := storage.Item{Key: "plan/" + string(op) + "/", At: t0.Add(time.Hour), Operator: op, Kind: "plan", By: "#1"}
	commit(t, s, "plan", storage.Changes{Agenda: []storage.Item{worked}})
	_, err := s.BackupTo("", t0, 3)
	noError(t, err)
	commit(t, s, worked.Event(), storage.Changes{Cancel: []string{worked.Key}})
	noError(t, s.Close())
	zeroPageInUse(t, inDir(dir, "skyslate.db"), "wind ")
	s = storagetest.OpenDir(t, dir)
	due, err := s.Due(t0.Add(2*time.Hour), 1000)
	noError(t, err)
	for _, i := range due {
		if i.Key == worked.Key {
			t.Errorf("%s is due again", i.Event())
		}
	}
}
