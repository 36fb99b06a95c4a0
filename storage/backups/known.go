package backups

import (
	"cmp"
	"os"
	"slices"
	"time"

	"skyslate/storage/salvage"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// Known is what a database knows of its newest backup, so that one that was put in its
// place is recognised.
type Known struct {
	Made time.Time `json:"made"`
	Copy bool      `json:"copy,omitempty"` // the database is that backup
}

// InDatabase is where it stands.
const InDatabase schema.Value[Known] = "backup"

// Older reports whether the database that knows it is a backup, or older than the newest
// in dir. That of an older skyslate knows of none.
func (k Known) Older(dir string) bool {
	_, newest := Newest(dir)
	return k.Copy || !k.Made.IsZero() && newest.After(k.Made)
}

// KnownBy is what a sound database knows of its newest backup.
func KnownBy(path string) (k Known, err error) {
	f, err := schema.Open(path, true)
	if err != nil {
		return k, err
	}
	defer f.Close()
	err = f.View(func(t *table.Tx) { k = InDatabase.Of(t) })
	return k, err
}

// Salvage finds the newest good copy in dir, empty if there is none, and collects what can
// be read of the damaged ones after it, the oldest first. The database at own, unless that
// is empty, is good and one of them. Of a good one its own word counts, not its name.
func Salvage(dir, own string) (good string, newer []*salvage.Find) {
	good = own
	known, _ := KnownBy(own) // none is known of none
	for _, p := range In(dir) {
		named, _ := timeOf(p)
		if !named.After(known.Made) {
			break
		}
		if _, err := schema.Examine(p); err == nil {
			its, _ := KnownBy(p)
			if made := cmp.Or(its.Made, named); made.After(known.Made) {
				good, known.Made = p, made
			}
		} else if g, err := schema.Salvage(p, os.Getpagesize()); err == nil {
			newer = append(newer, g)
		}
	}
	slices.Reverse(newer)
	return good, newer
}
