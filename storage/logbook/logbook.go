// Package logbook turns contacts into an ADIF file and back. What a contact
// becomes is one table, [rows], each row tied to the standard.
package logbook

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"time"

	"skyslate/parse"
	"skyslate/parse/adif"
	"skyslate/storage"
)

// ErrEmpty says that there is no contact to write. The standard defines a file
// as a header and one or more records, so there is no file of none.
var ErrEmpty = errors.New("nothing is logged")

// ProgramID stands in the header and in the names of our application fields.
const ProgramID = "SKYSLATE"

// Record returns the ADIF record of a contact, in the order of the table, with
// the fields that an import found and we have no row for behind it. An error says
// what keeps the contact from being written; Exported is not looked at.
func Record(c storage.Contact) (adif.Record, error) {
	rec, err := record(c)
	if err != nil {
		return nil, fmt.Errorf("contact %d: %w", c.ID, err)
	}
	return rec, nil
}

func record(c storage.Contact) (rec adif.Record, err error) {
	switch {
	case !c.Call.IsValid():
		return nil, errors.New("it has no call sign")
	case c.Time.IsZero():
		return nil, errors.New("it has no time")
	}
	for _, grids := range [][]parse.Grid{c.Grids, c.OwnGrids} {
		if len(grids) < 2 {
			continue
		}
		if err := parse.CheckGrids(grids); err != nil {
			return nil, fmt.Errorf("grids %s: %w", joinGrids(grids), err)
		}
	}
	for _, row := range rows {
		f := adif.Field{Name: row.field, Type: row.typ, Value: adif.ASCII(row.get(c))}
		if f.Value == "" {
			continue
		}
		if err := adif.Check(f); err != nil {
			return nil, err
		}
		rec = append(rec, f)
	}
	for _, name := range slices.Sorted(maps.Keys(c.Fields)) {
		f := adif.Field{Name: name, Value: c.Fields[name]}
		if _, again := rec.Get(name); !again && adif.ASCII(f.Value) != "" && adif.CheckName(name) == nil {
			rec = append(rec, f)
		}
	}
	return rec, nil
}

// Write writes an ADIF file of the contacts that Entries selects. created and
// version (of the program) go into the header. It returns ErrEmpty, and writes
// nothing, if there is no such contact.
func Write(w io.Writer, contacts []storage.Contact, created time.Time, version string) error {
	entries := Entries(contacts)
	if len(entries) == 0 {
		return ErrEmpty
	}
	out := adif.NewWriter(w)
	err := out.WriteHeader(headline(entries), adif.Record{
		{Name: "ADIF_VER", Value: adif.Version},
		{Name: "CREATED_TIMESTAMP", Value: created.UTC().Format("20060102 150405")},
		{Name: "PROGRAMID", Value: ProgramID},
		{Name: "PROGRAMVERSION", Value: version},
	})
	if err != nil {
		return err
	}
	for _, c := range entries {
		rec, err := Record(c)
		if err != nil {
			return err
		}
		if err := out.Write(rec); err != nil {
			return fmt.Errorf("contact %d: %w", c.ID, err)
		}
	}
	return out.Flush()
}

// headline is what a human sees first in the file.
func headline(entries []storage.Contact) string {
	noun := "contacts"
	if len(entries) == 1 {
		noun = "contact"
	}
	first, last := days(entries)
	if first != last {
		first += " to " + last
	}
	return fmt.Sprintf("Log of %s: %d %s, %s UTC", ownCall(entries), len(entries), noun, first)
}

// Entries returns those contacts that belong in a file, by time: the exported
// ones, each station once a pass. Of a repeat the one with grids counts, of those one whose
// time is known, and of equal ones the first. Contacts without a pass are all kept. What a document that
// was put into the log holds already is not told twice.
func Entries(contacts []storage.Contact) []storage.Contact {
	sorted := make([]storage.Contact, 0, len(contacts))
	for _, c := range contacts {
		if c.Exported() {
			sorted = append(sorted, c)
		}
	}
	slices.SortStableFunc(sorted, func(a, b storage.Contact) int {
		return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(a.ID, b.ID))
	})
	told := map[station][]string{}  // the squares that each gave, in order
	timed := map[station][]string{} // those of contacts whose time is known
	fromFiles := map[parse.Callsign][]storage.Contact{}
	for _, c := range sorted {
		if squares := squaresOf(c.Grids); c.Pass != "" && squares != "" {
			told[stationOf(c)] = append(told[stationOf(c)], squares)
			if c.TimeSource != storage.FromPass {
				timed[stationOf(c)] = append(timed[stationOf(c)], squares)
			}
		}
		if c.Cause.Kind == FromFile {
			fromFiles[c.Call] = append(fromFiles[c.Call], c)
		}
	}
	entries := make([]storage.Contact, 0, len(sorted))
	seen := map[station][]string{}
	for _, c := range sorted {
		if HeldByFile(fromFiles[c.Call], c) {
			continue
		}
		squares, of := squaresOf(c.Grids), stationOf(c)
		// Who says nothing that another contact of the same pass does not: the same
		// squares earlier or at a known time, or none where there are some.
		again := slices.Contains(seen[of], squares) || squares == "" && len(told[of]) > 0 ||
			c.TimeSource == storage.FromPass && slices.Contains(timed[of], squares)
		if c.Pass != "" && again {
			continue
		}
		seen[of] = append(seen[of], squares)
		entries = append(entries, c)
	}
	return entries
}

// FromFile is the cause of a contact that came of a document.
const FromFile = "import"

// HeldByFile reports whether one of the contacts with a station came of a document
// into the log and is this one, with nothing less.
func HeldByFile(with []storage.Contact, c storage.Contact) bool {
	return c.Cause.Kind != FromFile && slices.ContainsFunc(with, func(old storage.Contact) bool {
		return old.Cause.Kind == FromFile && old.Exported() && Same(old, c) &&
			agree(squaresOf(c.Grids), squaresOf(old.Grids)) && (len(c.Grids) == 0 || len(old.Grids) > 0)
	})
}

// A station is one on a pass, as heard under one own call.
type station struct {
	pass      storage.PassID
	call, own parse.Callsign
}

func stationOf(c storage.Contact) station { return station{c.Pass, c.Call, c.OwnCall} }

// Split returns the contacts in groups of one own call and one own place, each
// group in the order given, the groups by their first contact. Receivers of a
// file take the own side from its sender, so a file should hold one group.
func Split(contacts []storage.Contact) [][]storage.Contact {
	var keys []string
	groups := map[string][]storage.Contact{}
	for _, c := range contacts {
		key := c.OwnCall.String() + " " + joinGrids(c.OwnGrids)
		if groups[key] == nil {
			keys = append(keys, key)
		}
		groups[key] = append(groups[key], c)
	}
	var ordered [][]storage.Contact
	for _, key := range keys {
		ordered = append(ordered, groups[key])
	}
	return ordered
}
