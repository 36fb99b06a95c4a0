package storage

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"

	"skyslate/storage/disk"
)

// untilClosing writes until its store is being closed: who ends the program doesn't
// wait for a large copy.
type untilClosing struct {
	io.Writer
	s *Store
}

func (w untilClosing) Write(b []byte) (int, error) {
	if w.s.closing.Load() {
		return 0, ErrClosed
	}
	return w.Writer.Write(b)
}

// BackupTo writes a backup named for the moment at into dir, or into the
// store's own directory of backups if dir is empty, proves that it is whole,
// and then removes all but the newest keep backups there. Names tell which one is
// the newest: where a clock that ran ahead has left a later one, the name follows
// upon that.
func (s *Store) BackupTo(dir string, at time.Time, keep int) (path string, err error) {
	if dir == "" {
		dir = filepath.Join(s.dir, backupsName)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", wrap("backup", err)
	}
	at = at.UTC().Truncate(time.Second)
	if before := backups(dir); len(before) > 0 {
		if newest, _ := backupTime(before[0]); !at.After(newest) {
			at = newest.Add(time.Second)
		}
	}
	path = filepath.Join(dir, at.Format(backupLayout))
	if err := s.update(backup{Made: at}.mark); err != nil {
		return "", wrap("backup", err)
	}
	partial := path + ".partial"
	if err := s.CopyTo(partial, at); err != nil {
		return "", errors.Join(err, os.Remove(partial))
	}
	if err := disk.Rename(partial, path); err != nil {
		return "", wrap("backup", err)
	}
	if keep < 1 {
		return path, nil
	}
	for n, p := range backups(dir) {
		if n >= keep {
			err = errors.Join(err, os.Remove(p))
		}
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
	return wrap("backup", s.copyTo(path, at))
}

func (s *Store) copyTo(path string, at time.Time) error {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	s.copying.Lock()
	defer s.copying.Unlock()
	var known backup
	err = s.read(func(t *tx) {
		known, _ = get[backup](t.in(inMeta), []byte(backupKey))
		_, err := t.WriteTo(untilClosing{f, s})
		t.fail(err)
	})
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	copied, err := openFile(path, false)
	if err != nil {
		return err
	}
	if known.Copy {
		at = known.Made
	}
	mark := inOurs(backup{at, true}.mark)
	err = errors.Join(copied.db.Update(mark), copied.db.Update(mark), copied.close()) // both head pages know
	if err == nil {
		_, err = examine(path)
	}
	return err
}

// backup is what a database knows of its newest backup, so that one that was put
// in its place is recognised. It stands beside the header.
type backup struct {
	Made time.Time `json:"made"`
	Copy bool      `json:"copy,omitempty"` // the database is that backup
}

const backupKey = "backup"

func (b backup) mark(t *tx) { t.in(inMeta).put([]byte(backupKey), b) }

// older reports whether the database that knows it is a backup, or older than the
// newest in dir. That of an older skyslate knows of none.
func (b backup) older(dir string) bool {
	return b.Copy || !b.Made.IsZero() && newestBackup(dir).After(b.Made)
}

// backupIn is what a sound database knows of its newest backup.
func backupIn(path string) (b backup, err error) {
	f, err := openFile(path, true)
	if err != nil {
		return b, notOpened(err)
	}
	defer f.close()
	err = f.db.View(inOurs(func(t *tx) { b, _ = get[backup](t.in(inMeta), []byte(backupKey)) }))
	return b, err
}

const backupLayout = "skyslate-" + disk.Stamp + ".db"

// backupTime tells from the name of a backup when it was made.
func backupTime(path string) (at time.Time, ok bool) {
	at, err := time.Parse(backupLayout, filepath.Base(path))
	return at, err == nil
}

// BackupsKept is how many of its own backups a store that runs all day should
// keep, one a day.
const BackupsKept = 14

// BackupTimes tells backups among paths by their names, and when they were made,
// the newest first; others counts the rest.
func BackupTimes(paths []string) (made []time.Time, others int) {
	for _, p := range paths {
		if at, ok := backupTime(p); ok {
			made = append(made, at)
		} else {
			others++
		}
	}
	slices.SortFunc(made, func(a, b time.Time) int { return b.Compare(a) })
	return made, others
}

// backups are the paths of the backups in dir, newest first.
func backups(dir string) []string {
	paths := slices.DeleteFunc(filesWith(dir, ".db"), func(p string) bool {
		_, ok := backupTime(p)
		return !ok
	})
	slices.Reverse(paths)
	return paths
}

// newestBackup is when the newest backup of the store in dir was made, good or not;
// zero if there is none.
func newestBackup(dir string) (at time.Time) {
	if paths := backups(filepath.Join(dir, backupsName)); len(paths) > 0 {
		at, _ = backupTime(paths[0])
	}
	return at
}
