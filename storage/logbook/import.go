package logbook

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"skyslate/parse/adif"
	"skyslate/storage"
)

// international ends the names of fields for other alphabets, which the ADI form
// does not have but some files hold all the same.
const international = "_INTL"

// Contact returns what a record says: certain, or incomplete without a grid. Call
// sign, date and time must be there and right, or an error says which is not; any
// other value that is not understood is kept in Fields as it stands. Operator,
// identity and pass are the caller's.
func Contact(rec adif.Record) (storage.Contact, error) {
	var c storage.Contact
	understood := make(map[string]bool)
	for _, row := range rows {
		value, ok := rec.Get(row.field)
		value = legible(value)
		if ok && value != "" && row.set(&c, value) {
			understood[row.field] = true
			continue
		}
		switch row.field {
		case "CALL", "QSO_DATE", "TIME_ON":
			return storage.Contact{}, fmt.Errorf("%s %q can't be read", row.field, value)
		}
	}
	c.State = storage.Certain
	if len(c.Grids) == 0 {
		c.State = storage.Incomplete
	}
	c.Fields = leftOver(rec, understood)
	return c, nil
}

// leftOver returns the fields that no row took. One for another alphabet takes
// the place of its plain one if only it is there.
func leftOver(rec adif.Record, understood map[string]bool) map[string]string {
	fields := map[string]string{}
	for _, f := range rec {
		name := strings.ToUpper(f.Name)
		if plain, ok := strings.CutSuffix(name, international); ok {
			if _, there := rec.Get(plain); there {
				continue
			}
			name = plain
		}
		if !understood[name] && f.Value != "" && adif.CheckName(name) == nil {
			fields[name] = legible(f.Value)
		}
	}
	if len(fields) == 0 {
		return nil
	}
	return fields
}

// legible returns a value as UTF-8. Files that are not are taken for Latin-1.
func legible(v string) string {
	if utf8.ValidString(v) {
		return v
	}
	letters := make([]rune, len(v))
	for i := range len(v) {
		letters[i] = rune(v[i])
	}
	return string(letters)
}
