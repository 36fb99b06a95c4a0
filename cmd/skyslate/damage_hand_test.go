package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// byHand are damages that hands do: each changes the files of a store.
var byHand = map[string]func(dir string) error{
	"the oldest backup in its place": func(dir string) error { return putBackup(dir, 0) },
	"the newest backup in its place": func(dir string) error { return putBackup(dir, -1) },
	"a backup in its place, no other backup": func(dir string) error {
		return errors.Join(putBackup(dir, 0), os.RemoveAll(filepath.Join(dir, "backups")))
	},
	"a backup in its place, no journal": func(dir string) error {
		return errors.Join(putBackup(dir, 1), os.Remove(filepath.Join(dir, journalFile)))
	},
	"a backup in its place, no journal, no other backup": func(dir string) error {
		return errors.Join(putBackup(dir, 1), os.Remove(filepath.Join(dir, journalFile)), os.RemoveAll(filepath.Join(dir, "backups")))
	},
	"a backup in its place, half of the journal": func(dir string) error {
		return errors.Join(putBackup(dir, 0), changeJournal(dir, func(lines [][]byte) [][]byte { return lines[:len(lines)/2] }))
	},
	"a backup in its place, the journal twice": func(dir string) error {
		return errors.Join(putBackup(dir, 0), changeJournal(dir, func(lines [][]byte) [][]byte { return slices.Concat(lines, lines) }))
	},
	"a block of the journal twice": func(dir string) error {
		return changeJournal(dir, func(lines [][]byte) [][]byte { return slices.Concat(lines, lines[len(lines)/3:len(lines)/2]) })
	},
	"the journal alone": func(dir string) error {
		return errors.Join(os.Remove(filepath.Join(dir, databaseFile)), os.RemoveAll(filepath.Join(dir, "backups")))
	},
	"the journal lost, the database cut": func(dir string) error {
		return errors.Join(os.Remove(filepath.Join(dir, journalFile)), os.Truncate(filepath.Join(dir, databaseFile), 40*pageSize))
	},
	"stray files and directories": func(dir string) error {
		var errs []error
		for _, name := range []string{
			"skyslate.db.restored/x", "skyslate.db.new/x", "skyslate.db.broken-x/y", "contacts.journal.new/x",
			"backups/skyslate-20290101T000000Z.db/x", "documents/7001%2Flog.new/x", "elements/x/y",
		} {
			errs = append(errs, os.MkdirAll(filepath.Join(dir, name), 0o700))
		}
		for _, name := range []string{"skyslate.db.copy", "backups/skyslate-20300101T000000Z.db", "backups/skyslate.db", "contacts.journal~"} {
			errs = append(errs, os.WriteFile(filepath.Join(dir, name), []byte("73"), 0o400))
		}
		return errors.Join(errs...)
	},
	"rights taken and given": func(dir string) error {
		return errors.Join(
			os.Chmod(filepath.Join(dir, databaseFile), 0o666), os.Chmod(filepath.Join(dir, journalFile), 0o666), os.Chmod(dir, 0o777),
		)
	},
}

// putBackup puts the nth backup in the place of the database.
func putBackup(dir string, n int) error {
	paths, err := filepath.Glob(filepath.Join(dir, "backups", "*.db"))
	if err != nil {
		return err
	}
	if n < 0 {
		n += len(paths)
	}
	text, err := os.ReadFile(paths[n])
	return errors.Join(err, os.WriteFile(filepath.Join(dir, databaseFile), text, 0o600))
}

func changeJournal(dir string, change func(lines [][]byte) [][]byte) error {
	path := filepath.Join(dir, journalFile)
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	return os.WriteFile(path, bytes.Join(change(bytes.SplitAfter(text, []byte("\n"))), nil), 0o600)
}

// TestDamagedByHand does to a store what hands do. It must open, take the next
// messages, give no contact's number twice, let nobody in who was put out as long as
// the journal is whole, and verify.
func TestDamagedByHand(t *testing.T) {
	t.Parallel()
	sound := filepath.Join(t.TempDir(), "sound")
	if err := seedDamaged(sound); err != nil {
		t.Fatal(err)
	}
	originals := readOriginals(t, sound)
	for name, damage := range byHand {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "damaged")
			if err := errors.Join(os.CopyFS(dir, os.DirFS(sound)), damage(dir)); err != nil {
				t.Fatal(err)
			}
			a, fate := openInProcess(t, dir)
			if fate != "" || a.Refused != "" {
				t.Fatalf("it %s%s", fate, a.Refused)
			}
			if a.After != "" || len(a.Again)+len(a.Unread)+len(a.Left) > 0 {
				t.Errorf("verify says %q, the second opening %q, lost are %q %q", a.After, a.Again, a.Unread, a.Left)
			}
			judging := damaging{originals: originals, files: map[string]damagedFile{}}
			judging.judgeNumbers(a, nil, t.Errorf)
			if !strings.Contains(name, "half") && !strings.Contains(name, "no journal") && slices.Contains(a.Members, damagedOut) {
				t.Errorf("in are %q", a.Members)
			}
			if !a.Owner {
				t.Error("nobody owns it")
			}
			t.Logf("in are %q, notices %q", a.Members, a.Notices)
		})
	}
}
