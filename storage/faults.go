package storage

import (
	"cmp"
	"slices"
	"time"

	"skyslate/storage/fault"
	"skyslate/storage/table"
)

// Fault is something that failed and is kept: what came in and could not be
// worked, or a post that could never go out.
type Fault struct {
	Name string // the ID of what came in, or the post's name
	Post bool
	Why  string
	At   time.Time
}

// Faults are what failed after a moment and is still kept, the oldest first.
func (s *Store) Faults(after time.Time) (all []Fault, err error) {
	err = s.read(func(t *tx) { all = t.faults() })
	return slices.DeleteFunc(all, func(f Fault) bool { return !f.At.After(after) }), fault.In("faults", err)
}

func (t *tx) faults() (all []Fault) {
	for _, d := range table.Scan[deadRaw](t.In(inDead), nil) {
		all = append(all, Fault{Name: d.Raw.ID, Why: d.Why, At: d.At})
	}
	for _, p := range table.Scan[outPost](t.In(inPosts), nil) {
		if p.Failed {
			all = append(all, Fault{Name: p.Name, Post: true, Why: p.Dropped, At: p.Ended})
		}
	}
	slices.SortStableFunc(all, func(a, b Fault) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Name, b.Name)) })
	return all
}
