package storage_test

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"skyslate/storage"
	"skyslate/storage/storagetest"
)

func TestBackupsRotate(t *testing.T) {
	dir := t.TempDir()
	s := storagetest.OpenDir(t, dir)
	fill(t, s, 3)
	noError(t, os.MkdirAll(inDir(dir, "backups"), 0o700))
	noError(t, os.WriteFile(inDir(dir, "backups", "mine.db"), nil, 0o600))
	for n := range 5 {
		path, err := s.BackupTo("", t0.Add(time.Duration(n)*time.Hour), 2)
		noError(t, err)
		report, err := storage.Verify(path)
		noError(t, err)
		same(t, "contacts", report.Operators[0].Contacts, 3)
	}
	var names []string
	for _, p := range glob(t, dir, "backups/*") {
		names = append(names, filepath.Base(p))
	}
	same(t, "left", names, []string{"mine.db", "skyslate-20261124T204205Z.db", "skyslate-20261124T214205Z.db"})
}

// Each backup taken while commits go on is whole, and holds what was committed
// before it began.
func TestBackupUnderLoad(t *testing.T) {
	dir := t.TempDir()
	s := storagetest.OpenDir(t, dir)
	fill(t, s, 1)
	stop := make(chan struct{})
	var writer sync.WaitGroup
	writer.Go(func() {
		for n := uint64(2); ; n++ {
			select {
			case <-stop:
				return
			default:
			}
			c := contact(op, n, 1, "OX9QZU")
			c.Note = strings.Repeat("x", int(n%50)*40)
			if err := s.Commit("load"+c.Time.String(), t0, storage.Changes{Contacts: []storage.Contact{c}}); err != nil {
				t.Error(err)
				return
			}
		}
	})
	for n := range 20 {
		before := strings.Count(contacts(t, s), ".1 ")
		path, err := s.BackupTo("", t0.Add(time.Duration(n)*time.Second), 3)
		noError(t, err)
		report, err := storage.Verify(path)
		noError(t, err)
		if got := report.Operators[0].Contacts; got < before {
			t.Errorf("backup %d has %d contacts of %d", n, got, before)
		}
	}
	close(stop)
	writer.Wait()
}

// A clock that ran ahead, or is behind now, makes no backup that counts as older
// than one made before it: it would be the first to go.
func TestBackupsOfAWrongClock(t *testing.T) {
	dir := t.TempDir()
	s := storagetest.OpenDir(t, dir)
	fill(t, s, 1)
	ahead, err := s.BackupTo("", t0.AddDate(0, 0, 10), 2)
	noError(t, err)
	var paths []string
	for n := range 2 {
		path, err := s.BackupTo("", t0.Add(time.Duration(n)*time.Hour), 2)
		noError(t, err)
		paths = append(paths, path)
	}
	same(t, "left", glob(t, dir, "backups/*"), paths)
	if paths[0] <= ahead {
		t.Errorf("%s counts as older than %s", paths[0], ahead)
	}
}

// A copy that was asked for, or a copy of it, is known as older than what it is put in
// the place of, even when nothing else tells: numbers that were given since are not
// given again.
func TestCopyInTheStoresPlace(t *testing.T) {
	for name, journal := range map[string]bool{"with its journal": true, "alone": false} {
		t.Run(name, func(t *testing.T) {
			dir, copies := t.TempDir(), t.TempDir()
			s := open(t, dir)
			fill(t, s, 5)
			noError(t, s.Close())
			first, second := inDir(copies, "first.db"), inDir(copies, "second.db")
			copyStore(t, dir, first)
			s = open(t, dir)
			commit(t, s, "more", storage.Changes{Contacts: []storage.Contact{contact(op, 6, 1, "OX9QZV")}})
			noError(t, s.Close())
			copyStore(t, first, second)

			text, err := os.ReadFile(second)
			noError(t, err)
			noError(t, os.WriteFile(inDir(dir, "skyslate.db"), text, 0o600))
			if !journal {
				noError(t, os.Remove(inDir(dir, "contacts.journal")))
			}
			s = storagetest.OpenDir(t, dir)
			same(t, "contact 6 is there", strings.Contains(contacts(t, s), "6.1 "), journal)
			view(t, s, func(v *storage.View) error {
				if next := v.NextContact(op); next <= 6 {
					t.Errorf("contact %d is given again", next)
				}
				return nil
			})
			if len(s.Notices()) == 0 {
				t.Error("nothing is said of it")
			}
		})
	}
}

// copyStore copies a store that is closed, as one asks for it.
func copyStore(t *testing.T, from, to string) {
	t.Helper()
	s, err := storage.OpenForRead(from)
	noError(t, err)
	noError(t, s.CopyTo(to, t0.Add(time.Hour)))
	noError(t, s.Close())
}
