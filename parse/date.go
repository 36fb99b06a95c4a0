package parse

import (
	"fmt"
	"time"
)

// Date is a day as typed, with or without its year. The zero value is none.
type Date struct {
	year       int16 // 0: not typed
	month, day int8
}

// MakeDate returns a day; year 0 means that it is not known. It panics if there is
// no such day.
func MakeDate(year int, month time.Month, day int) Date {
	d, ok := makeDate(year, int(month), day)
	if !ok {
		panic(fmt.Sprintf("parse: no day: %d-%d-%d", year, month, day))
	}
	return d
}

func makeDate(year, month, day int) (Date, bool) {
	leap := year
	if year == 0 {
		leap = 2000
	}
	t := time.Date(leap, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	ok := year >= 0 && year < 10_000 && month > 0 && month < 13 && day > 0 && t.Day() == day
	if !ok {
		return Date{}, false
	}
	return Date{int16(year), int8(month), int8(day)}, true
}

// DateOf returns the day of a moment in UTC.
func DateOf(t time.Time) Date {
	y, m, d := t.UTC().Date()
	return MakeDate(y, m, d)
}

// IsSet reports whether there is a day at all.
func (d Date) IsSet() bool { return d.day > 0 }

// IsZero reports whether there is none, so that omitzero leaves it out.
func (d Date) IsZero() bool { return !d.IsSet() }

// Fits reports whether two days can be the same: a year that is not known fits
// every year.
func (d Date) Fits(e Date) bool {
	return d.IsSet() && d.month == e.month && d.day == e.day && (d.year == e.year || d.year == 0 || e.year == 0)
}

// String returns "2026-11-24", "--11-24" without a year, or "".
func (d Date) String() string {
	switch {
	case !d.IsSet():
		return ""
	case d.year == 0:
		return fmt.Sprintf("--%02d-%02d", d.month, d.day)
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.year, d.month, d.day)
}

// MarshalText implements [encoding.TextMarshaler] with the form of String.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler] for the form of String;
// empty text gives the zero value.
func (d *Date) UnmarshalText(text []byte) error {
	s := string(text)
	year, month, day := 0, 0, 0
	var err error
	switch {
	case s == "":
		*d = Date{}
		return nil
	case len(s) == 7 && s[:2] == "--":
		_, err = fmt.Sscanf(s, "--%02d-%02d", &month, &day)
	case len(s) == 10:
		_, err = fmt.Sscanf(s, "%04d-%02d-%02d", &year, &month, &day)
	}
	made, ok := makeDate(year, month, day)
	if err != nil || !ok || made.String() != s {
		return fmt.Errorf("%q is no day: expected YYYY-MM-DD or --MM-DD", s)
	}
	*d = made
	return nil
}

// addDate adds a date that begins at word i: in figures, or with the name of the
// month on either side of the day.
func (l *lattice) addDate(i int) {
	t := &l.words[i]
	if len(t.s) == 8 && digitsAt(t.s, 0) == 8 && l.dateInFigures(t.s).IsSet() {
		l.side(i, 1, dateArc, 0)
		return
	}
	if t.shape&clockLike != 0 {
		if t.isDate() {
			l.side(i, 1, dateArc, 0)
		}
		return
	}
	day, named := i, i+1
	if t.means&month != 0 {
		day, named = i+1, i
	}
	last := max(day, named)
	if last >= len(l.words) || l.words[named].means&month == 0 || l.words[last].gap&^(space|stop|hyphen|slash) != 0 || l.dayOf(day) == 0 {
		return
	}
	to := last + 1
	if to < len(l.words) && l.isYear(to) && l.words[to].gap&^(space|comma|stop|hyphen|slash) == 0 {
		to++
	} else if trust := l.words[named].spells.trust; trust == plain || trust != unspelled && l.besideSpoken(named) || l.measures(day) {
		return // a spoken letter, a number of something
	}
	l.side(i, to-i, dateArc, -int16(to-i))
}

// dayOf returns the day of a month that word i is, 0 if it is none: "24", "24th".
func (l *lattice) dayOf(i int) int {
	s := l.words[i].s
	d := digitsAt(s, 0)
	if d == 0 || d > 2 || d < len(s) && meaningOf(s[d:])&ordinals == 0 {
		return 0
	}
	if n := atoi(s[:d]); n < 32 {
		return n
	}
	return 0
}

// isYear reports whether word i is a year of our time.
func (l *lattice) isYear(i int) bool {
	s := l.words[i].s
	return len(s) == 4 && digitsAt(s, 0) == 4 && (s[:2] == "19" || s[:2] == "20")
}

// dateOf reads a date arc. Where figures leave open which is the day, the reading
// holds that is the day of the pass; if none is, there is no date.
func (l *lattice) dateOf(a *arc) (d Date) {
	if a.to == a.from+1 {
		return l.dateInFigures(l.words[a.from].s)
	}
	year := 0
	if l.isYear(int(a.to) - 1) {
		year = atoi(l.words[a.to-1].s)
	}
	day, named := int(a.from), int(a.from)+1
	if l.words[a.from].means&month != 0 {
		day, named = named, day
	}
	d, _ = makeDate(year, int(l.words[named].entry.value), l.dayOf(day))
	return d
}

// dateInFigures reads a date in figures alone: "2026-11-24", "24.11.26", "20261124".
func (l *lattice) dateInFigures(s string) Date {
	if digitsAt(s, 0) == 8 {
		d, _ := makeDate(atoi(s[:4]), atoi(s[4:6]), atoi(s[6:]))
		if d.year < 1900 || d.year > 2099 {
			return Date{}
		}
		return d
	}
	var n [3]int
	at := 0
	for k := range n {
		d := digitsAt(s, at)
		n[k] = atoi(s[at : at+d])
		at += d + 1
	}
	if digitsAt(s, 0) == 4 {
		d, _ := makeDate(n[0], n[1], n[2])
		return d
	}
	year := n[2]
	if year < 100 {
		year += 2000
	}
	european, ok := makeDate(year, n[1], n[0])
	american, also := makeDate(year, n[0], n[1])
	switch {
	case !also || s[digitsAt(s, 0)] == '.' || european == american:
		return european
	case !ok || american.Fits(l.known.Date):
		return american
	case european.Fits(l.known.Date):
		return european
	}
	return Date{}
}
