package tx

import (
	"cmp"
	"slices"
	"strings"

	"skyslate/bot/lists"
	"skyslate/parse"
	"skyslate/storage"
)

// Worked returns the contacts with a station that tell what was worked, as the
// transaction leaves them.
func (t *Tx) Worked(call parse.Callsign) []storage.Contact {
	stored := List(t, func() ([]storage.Contact, error) { return t.View.ContactsOfCall(t.Op.ID, call) })
	all := lists.Filter(stored, func(c storage.Contact) bool {
		_, changed := t.Contacts[c.ID]
		return !changed && Remembered(c)
	})
	for id := range t.called[call] {
		if c := t.Contacts[id]; c.Call == call && Remembered(c) {
			all = append(all, c)
		}
	}
	slices.SortFunc(all, func(a, b storage.Contact) int { return cmp.Compare(a.ID, b.ID) })
	return all
}

// GridsGiven are the grids in contacts of one station, those given together as such,
// the latest first.
func GridsGiven(contacts []storage.Contact) [][]parse.Grid {
	latest := slices.SortedStableFunc(slices.Values(contacts), func(a, b storage.Contact) int { return b.Time.Compare(a.Time) })
	var all [][]parse.Grid
	for _, c := range latest {
		known := slices.ContainsFunc(all, func(grids []parse.Grid) bool { return slices.Equal(grids, c.Grids) })
		if len(c.Grids) > 0 && !known {
			all = append(all, c.Grids)
		}
	}
	return all
}

// Remembered reports whether a contact tells what was worked: it stands in the
// log, or came from a file.
func Remembered(c storage.Contact) bool { return c.Exported() || c.State == storage.Remembered }

// ByBird reports whether a contact was made by a bird: of those from other logs every one
// that doesn't say another way.
func ByBird(c storage.Contact) bool {
	way := c.Fields["PROP_MODE"]
	says := way != "" || c.UplinkMHz > 0 || c.Fields["BAND"] != ""
	return !Imported(c) || c.Bird.Name != "" || strings.EqualFold(way, "SAT") || !says
}

// Earlier reports whether a is an earlier contact than b that tells what was worked by a
// bird.
func Earlier(a, b storage.Contact) bool {
	return a.ID != b.ID && Remembered(a) && ByBird(a) && (a.Time.Before(b.Time) || a.Time.Equal(b.Time) && a.ID < b.ID)
}

// SameBird reports whether two contacts were made with one bird.
func SameBird(a, b storage.Contact) bool {
	return strings.EqualFold(cmp.Or(a.Bird.LogName, a.Bird.Name), cmp.Or(b.Bird.LogName, b.Bird.Name))
}

// squareKey is a square, and the bird it was worked with; no bird is any.
type squareKey struct {
	square parse.Grid
	bird   storage.BirdRef
}

// SquareWorked reports whether a square was worked before a contact, with one
// bird or with any.
func (t *Tx) SquareWorked(g parse.Grid, bird storage.BirdRef, c storage.Contact) bool {
	key := squareKey{g.Square(), bird}
	if known, ok := t.workedIn[key]; ok && Earlier(known, c) {
		return true
	}
	worked := func(old storage.Contact) bool {
		return Earlier(old, c) && (bird.Name == "" || SameBird(old, c)) &&
			slices.ContainsFunc(old.Grids, func(o parse.Grid) bool { return o.Square() == g.Square() })
	}
	found := false
	t.Visit(func() error {
		return t.View.VisitSquare(t.Op.ID, g, bird, func(old storage.Contact) bool {
			if now, changed := t.Contacts[old.ID]; changed {
				old = now
			}
			if found = worked(old); found {
				t.workedIn[key] = old
			}
			return !found
		})
	})
	for _, old := range t.Contacts {
		found = found || worked(old)
	}
	return found
}
