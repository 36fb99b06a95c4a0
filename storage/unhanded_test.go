package storage_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"skyslate/storage"
)

// What a hand-over has to look at is what reading everything finds: whatever
// happened to contacts, in any order.
func TestVisitUnhanded(t *testing.T) {
	s := open(t, t.TempDir())
	defer s.Close()
	commit(t, s, "join", storage.Changes{Operator: operator(op), Passes: []storage.Pass{pass(op, t0, 10*time.Minute)}})
	// Each contact's story: a letter a step. c, r: a version, certain or remembered;
	// h: the latest version goes out; w: it is withdrawn there.
	for i, story := range []string{"c", "r", "ch", "chc", "chw", "chwc", "rc", "rch", "chr", "cc", "cchc", "chch", "chwch", "rr", "chrw"} {
		id, version := uint64(i+1), 0
		for n, step := range story {
			var ch storage.Changes
			ch.Operator = operator(op)
			switch step {
			case 'c', 'r':
				version++
				c := contact(op, id, version, "OX9QZU")
				if c.State = storage.Certain; step == 'r' {
					c.State = storage.Remembered
				}
				c.Fields = map[string]string{"COMMENT": `,"state":"remembered",`}
				ch.Contacts = append(ch.Contacts, c)
			case 'h':
				ch.Handed = append(ch.Handed, storage.ContactRef{ID: id, Version: version})
			case 'w':
				ch.Withdrawn = append(ch.Withdrawn, storage.ContactRef{ID: id, Version: version})
			}
			commit(t, s, fmt.Sprint(story, n), ch)
		}
	}
	var got, want []uint64
	view(t, s, func(v *storage.View) error {
		for id := uint64(1); ; id++ {
			c, ok, err := v.Contact(op, id)
			if err != nil || !ok {
				break
			}
			version, out := v.HandedOver(op, id)
			if out && version != c.Version || !out && c.State != storage.Remembered {
				want = append(want, id)
			}
		}
		return v.VisitUnhanded(op, func(c storage.Contact) bool {
			latest, _, err := v.Contact(op, c.ID)
			noError(t, err)
			same(t, "contact", c, latest)
			got = append(got, c.ID)
			return true
		})
	})
	same(t, "looked at", slices.Clip(got), want)
}
