package logbook

import (
	"slices"
	"strings"

	"skyslate/parse"
	"skyslate/storage"
)

// FileName names the file that Write makes of the contacts so that a human knows
// it again: own call, UTC date or dates, for a single pass its bird and first
// time, own grid: "OX9QZT-P_2026-09-01_1136Z_OCHRE-1_JO62qm.adi". What differs
// within the contacts is "mixed". Only letters, digits, "-" and "_" occur before
// the ending.
func FileName(contacts []storage.Contact) string {
	entries := Entries(contacts)
	if len(entries) == 0 {
		return "nothing.adi"
	}
	first, last := days(entries)
	parts := []string{ownCall(entries), first}
	if last != first {
		parts = append(parts, last)
	}
	pass := common(entries, func(c storage.Contact) string { return string(c.Pass) })
	if c := entries[0]; pass != "" && pass != mixed {
		parts = append(parts, c.Time.UTC().Format("1504")+"Z", c.Bird.Name)
	}
	if grids := common(entries, func(c storage.Contact) string { return joinGrids(c.OwnGrids) }); grids != "" {
		parts = append(parts, grids)
	}
	for i := range parts {
		parts[i] = strings.Map(fileRune, parts[i])
	}
	return strings.Join(parts, "_") + ".adi"
}

func fileRune(r rune) rune {
	if r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' {
		return r
	}
	return '-'
}

// days returns the first and last UTC date of entries, which are sorted.
func days(entries []storage.Contact) (first, last string) {
	const form = "2006-01-02"
	return entries[0].Time.UTC().Format(form), entries[len(entries)-1].Time.UTC().Format(form)
}

func ownCall(entries []storage.Contact) string {
	return common(entries, func(c storage.Contact) string { return c.OwnCall.String() })
}

const mixed = "mixed"

// common is what all entries have, or mixed.
func common(entries []storage.Contact, of func(storage.Contact) string) string {
	first := of(entries[0])
	if slices.ContainsFunc(entries, func(c storage.Contact) bool { return of(c) != first }) {
		return mixed
	}
	return first
}

// joinGrids puts grids into one word.
func joinGrids(grids []parse.Grid) string {
	return strings.Join(named(grids, func(g parse.Grid) parse.Grid { return g }), "-")
}

func named(grids []parse.Grid, as func(parse.Grid) parse.Grid) []string {
	list := make([]string, len(grids))
	for i, g := range grids {
		list[i] = as(g).String()
	}
	return list
}

// squaresOf is the same for equal sets of squares.
func squaresOf(grids []parse.Grid) string {
	return strings.Join(slices.Sorted(slices.Values(named(grids, parse.Grid.Square))), "-")
}
