package storage

import (
	"errors"
	"os"
	"time"

	"skyslate/storage/backups"
	"skyslate/storage/disk"
	"skyslate/storage/fault"
	"skyslate/storage/schema"
)

// BackupTo writes a backup named for the moment at into dir, or into the
// store's own directory of backups if dir is empty, proves that it is whole,
// and then removes all but the newest keep backups there. Names tell which one is
// the newest: where a clock that ran ahead has left a later one, the name follows
// upon that.
func (s *Store) BackupTo(dir string, at time.Time, keep int) (path string, err error) {
	if dir == "" {
		dir = s.backups()
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", fault.In("backup", err)
	}
	at = at.UTC().Truncate(time.Second)
	if _, newest := backups.Newest(dir); !at.After(newest) {
		at = newest.Add(time.Second)
	}
	path = backups.Path(dir, at)
	if err := s.update(func(t *tx) { backups.InDatabase.Set(t.Tx, backups.Known{Made: at}) }); err != nil {
		return "", fault.In("backup", err)
	}
	partial := path + ".partial"
	if err := s.CopyTo(partial, at); err != nil {
		return "", errors.Join(err, os.Remove(partial))
	}
	if err := disk.Rename(partial, path); err != nil {
		return "", fault.In("backup", err)
	}
	if keep > 0 {
		err = backups.Keep(dir, keep)
	}
	return path, err
}

// CopyTo writes a consistent copy of the database to a file while work goes on, and
// proves that it is whole. The copy is a database itself: OpenForRead and Verify take
// it, and put in the place of a store's skyslate.db it is brought up to date from
// the journal beside it. It knows that it is a copy of that moment, or of the
// moment of the backup that it was made of: no number of a contact that was given
// since then is given again.
func (s *Store) CopyTo(path string, at time.Time) error {
	return fault.In("backup", s.copyTo(path, at))
}

func (s *Store) copyTo(path string, at time.Time) error {
	s.copying.Lock()
	defer s.copying.Unlock()
	if err := s.file.CopyTo(path, s.ending); err != nil {
		return err
	}
	copied, err := schema.Open(path, false)
	if err != nil {
		return err
	}
	err = errors.Join(copied.UpdateTwice(inOurs(func(t *tx) {
		known := backups.InDatabase.Of(t.Tx)
		if !known.Copy {
			known = backups.Known{Made: at, Copy: true}
		}
		backups.InDatabase.Set(t.Tx, known)
	})), copied.Close())
	if err == nil {
		_, err = schema.Examine(path)
	}
	return err
}

// BackupsKept is how many of its own backups a store that runs all day should
// keep, one a day.
const BackupsKept = 14
