// Package adif reads and writes ADI files, the tagged text form of the Amateur
// Data Interchange Format (ADIF Specification 3.1.7, section IV.A). It is
// shaped like encoding/csv: a [Reader] hands out one [Record] after the other,
// a [Writer] takes them. It knows nothing of any program's log.
//
// # Grammar
//
//	file   = [ header ] { record } ;
//	header = text { field } "<EOH>" ;            (* text: anything but "<" first *)
//	record = field { field } "<EOR>" ;
//	field  = "<" name ":" length [ ":" type ] ">" value between ;
//	value  = exactly length bytes ;              (* "<" needs no escape *)
//	between= anything up to the next "<" ;       (* ignored *)
//
// Names, types and the two end marks are case-insensitive. What is written keeps
// to the standard: ASCII only, upper-case names, no leading zeros, each field
// once in a record, lengths in bytes.
//
// # What the Reader tolerates, and what it refuses
//
// Tolerated because such files exist: a byte order mark, a missing header, a
// header without its line of text, files joined one after the other, blanks and
// leading zeros in the length, a field given twice with the same value, and
// lengths that count the characters of UTF-8 text where the standard counts
// bytes.
//
// Refused although the standard's "anything between fields is ignored" would
// cover it: a letter or digit that directly follows a value. It means that the
// length is wrong, so the value is cut short or runs into the next field, and a
// call sign cut short looks like a call sign.
package adif

import (
	"fmt"
	"strings"
)

// Version is the version of the specification that files are written for, the
// value of the header's ADIF_VER.
const Version = "3.1.7"

// A Field is one tagged value. Names are upper-case in what a Reader returns.
// Type is the data type indicator, an upper-case letter, or 0 where none stands.
type Field struct {
	Name  string
	Type  byte
	Value string
}

// A Record is the fields of one contact, or of a header, in file order.
type Record []Field

// Get returns the value of the named field, in any case, and whether the record
// has it. A field of length 0 is there and empty.
func (r Record) Get(name string) (string, bool) {
	for _, f := range r {
		if strings.EqualFold(f.Name, name) {
			return f.Value, true
		}
	}
	return "", false
}

// Position is a place in the input. Line and Column count from 1 and Offset
// from 0; Column and Offset count bytes.
type Position struct {
	Line, Column int
	Offset       int64
}

// A ParseError says what is wrong with a record and where. The record is lost,
// the ones after it are not: reading can go on.
type ParseError struct {
	Position
	Found    string
	Expected string
}

// Error gives line and column, what was found and what was expected.
func (e *ParseError) Error() string {
	return fmt.Sprintf("%d:%d: found %s, expected %s", e.Line, e.Column, e.Found, e.Expected)
}

// CheckName returns an error wrapping ErrName if a field of that name can't
// stand in an ADI file: the name is printable ASCII without the signs that have
// a meaning in a specifier or an enumeration, none of the end marks, and none of
// the fields for other alphabets, which exist in ADX only (section IV.A).
func CheckName(name string) error {
	switch {
	case !validName(name):
		return fmt.Errorf("%w: the name %q", ErrName, name)
	case strings.HasSuffix(strings.ToUpper(name), "_INTL"):
		return fmt.Errorf("%w: %s, which is for other alphabets", ErrName, name)
	}
	return nil
}

func validName(name string) bool {
	return name != "" && len(name) <= maxName && strings.TrimSpace(name) == name &&
		!isMark(strings.ToUpper(name)) && isASCII(name) && !strings.ContainsAny(name, ",:<>{}")
}

func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }
