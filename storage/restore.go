package storage

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"skyslate/storage/backups"
	"skyslate/storage/disk"
	"skyslate/storage/fault"
	"skyslate/storage/keys"
	"skyslate/storage/salvage"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// restore makes a database anew: from the newest good backup or empty, with all
// that can still be read of damaged backups after that one and of the damaged
// database; the journal is read into it later. The damaged file is kept under
// another name, and stays in place if there is nothing to restore from.
func (s opening) restore(cause error) error {
	missing, older := errors.Is(cause, os.ErrNotExist), errors.Is(cause, errOlder)
	journalled, err := surveyJournal(filepath.Join(s.dir, journalName))
	if err != nil {
		return fmt.Errorf("read the contact journal: %w", err)
	}
	own := ""
	if older {
		own = s.path
	}
	base, sources := backups.Salvage(s.backups(), own)
	var m mending
	if !missing && !older {
		saved, err := schema.Salvage(s.path, os.Getpagesize())
		if err != nil {
			return err
		}
		var known backups.Known
		if saved.Read(schema.Meta, string(backups.InDatabase), &known); known.Older(s.backups()) {
			saved.Demote()
		} else if !saved.Torn {
			m.Hurt = append(lostWaiting(saved), saved.Hurt...)
		}
		sources = append(sources, saved)
	}
	values := 0
	for _, g := range sources {
		for _, name := range schema.Records {
			values += g.Count(name)
		}
	}
	switch {
	case base != "" || len(journalled.operators)+len(journalled.kept.Latest)+len(journalled.last) > 0 || values > 0:
		m.made = true
	case errors.Is(cause, ErrDamaged):
		return fault.Damaged("%v; there is neither a backup nor a journal to restore it from: "+
			"move it away, and skyslate begins anew", cause)
	case !missing:
		return cause
	}
	known, _ := backups.KnownBy(base) // none is known of no base
	m.Since, m.All = known.Made, known.Made.IsZero()
	fresh := s.path + ".restored"
	_, newest := backups.Newest(s.backups())
	if err := makeDatabase(fresh, base, sources, m, newest); err != nil {
		return fmt.Errorf("make a new database: %w", err)
	}
	switch kept, err := disk.KeepAside(s.path); { // it is replaced in one step later
	case err == nil:
		s.notice("%s was replaced (%v) and is kept as %s", s.path, cause, kept)
	case !errors.Is(err, os.ErrNotExist):
		return fmt.Errorf("keep the damaged database: %w", err)
	case m.made:
		s.notice("%s was missing", s.path)
	}
	if base != "" {
		s.notice("restored from %s", base)
	}
	if values > 0 {
		s.notice("restored from the damaged database: %d values", values)
	}
	return disk.Rename(fresh, s.path)
}

// lostWaiting are the keys in the index of what waits that lead nowhere: it is lost. Its
// own key is but a number, which says neither that it was a message nor whose.
func lostWaiting(g *salvage.Find) [][]byte {
	lost := [][]byte{}
	for id := range g.Keys(schema.InboxByID) {
		var number uint64
		if g.Read(schema.InboxByID, id, &number); !g.Has(schema.Inbox, string(keys.Uint(number))) {
			lost = append(lost, []byte(id))
		}
	}
	return lost
}

// makeDatabase writes a sound database: a copy of a good one, or an empty one, with
// what was saved over it, the newest last.
func makeDatabase(path, base string, sources []*salvage.Find, m mending, newest time.Time) error {
	err := os.RemoveAll(path)
	if base != "" {
		err = disk.Copy(base, path)
	}
	if err != nil {
		return err
	}
	f, err := schema.Open(path, false)
	if err != nil {
		return err
	}
	return errors.Join(f.Update(inOurs(func(t *tx) {
		if base == "" {
			schema.Create(t.Tx)
		}
		if number := schema.Of(t.Tx); t.Err() == nil {
			t.migrate(number) // the base may be of an older schema
		}
		for _, g := range sources {
			mender{t}.takeOver(g)
		}
		if m.made {
			mendingKey.Set(t.Tx, m)
		}
		backups.InDatabase.Set(t.Tx, backups.Known{Made: newest})
	})), f.Close())
}

// takeOver joins what was salvaged to what is there, an older copy.
func (t mender) takeOver(g *salvage.Find) {
	for _, name := range schema.Records {
		b := t.In(name)
		for k, text := range g.Over(name, b.Get) {
			b.Put(k, text)
		}
	}
	t.takeOverKept(g)
	// An older copy still has in the inbox and on the agenda what was worked since.
	table.DeleteWhere(t.In(schema.Inbox), nil, func(_ []byte, r Raw) bool { return t.In(schema.Seen).Has(keys.Text(r.ID)) })
	table.DeleteWhere(t.In(schema.Agenda), nil, func(_ []byte, i Item) bool { return t.In(schema.Seen).Has(keys.Text(i.Event())) })
	// The queue is numbered anew: two copies may have given a place twice.
	owed := slices.DeleteFunc(table.All[outPost](t.In(schema.Posts), nil), func(p outPost) bool { return !p.owed() })
	slices.SortStableFunc(owed, func(a, b outPost) int { return cmp.Compare(a.Seq, b.Seq) })
	for i, p := range owed {
		p.Seq = uint64(i + 1)
		t.putPost(p)
	}
	t.reindex()
	t.noteLost(g)
}
