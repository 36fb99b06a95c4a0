package parse

import (
	"cmp"
	"fmt"
	"strings"
	"time"
)

// Date is a day as typed, with or without its year. The zero value is none.
type Date struct {
	year       int16 // 0: not typed
	month, day int8
}

// makeDate makes a day, if there is such; year 0 means that it is not known.
func makeDate(year, month, day int) (Date, bool) {
	t := time.Date(cmp.Or(year, 2000), time.Month(month), day, 0, 0, 0, 0, time.UTC) // 2000 had all days
	if year < 0 || year > 9999 || t.Month() != time.Month(month) || t.Day() != day {
		return Date{}, false
	}
	return Date{int16(year), int8(month), int8(day)}, true
}

// DateOf returns the day of a moment in UTC.
func DateOf(t time.Time) Date {
	y, m, d := t.UTC().Date()
	return Date{int16(y), int8(m), int8(d)}
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
	return unmarshal(d, text, func(s string) (Date, error) {
		for _, layout := range [...]string{"2006-01-02", "--01-02"} {
			if t, err := time.Parse(layout, s); err == nil {
				return DateOf(t), nil
			}
		}
		return Date{}, fmt.Errorf("%q is no day: expected YYYY-MM-DD or --MM-DD", s)
	})
}

// dateFrom reads the date that begins at word i, and how many words it takes: in
// figures, or with the name of the month on either side of the day. Where figures leave open
// which is the day, that of the pass holds; if neither is, there is no date.
func (l *script) dateFrom(i int) (d Date, words int) {
	t := &l.words[i]
	figures := digitsAt(t.s, 0)
	if t.shape&clockLike != 0 {
		if strings.Count(t.s, ".")+strings.Count(t.s, "-")+strings.Count(t.s, "/") != 2 {
			return Date{}, 0
		}
		return l.dateInFigures(t.s), 1
	}
	if figures == 8 && len(t.s) == 8 {
		d, _ = makeDate(atoi(t.s[:4]), atoi(t.s[4:6]), atoi(t.s[6:]))
		if d.year < 1900 || d.year > 2099 {
			return Date{}, 0
		}
		return d, 1
	}
	day, named := i, i+1
	if t.means&month != 0 {
		day, named = i+1, i
	}
	to := i + 2
	if to > len(l.words) || l.words[named].means&month == 0 || l.dayOf(day) == 0 ||
		l.words[i+1].gap&^(space|stop|hyphen|slash) != 0 {
		return Date{}, 0
	}
	year := 0
	isYear := func(t *token) bool {
		return t.shape == hasDigit && len(t.s) == 4 && (t.s[:2] == "19" || t.s[:2] == "20")
	}
	if to < len(l.words) && isYear(&l.words[to]) && l.words[to].gap&^(space|comma|stop|hyphen|slash) == 0 {
		year = atoi(l.words[to].s)
		to++
	} else if trust := l.words[named].spells.trust; trust == plain || trust != unspelled && l.besideSpoken(named) || l.measures(day) {
		return Date{}, 0 // a spoken letter, a number of something
	}
	d, _ = makeDate(year, int(l.words[named].entry.value), l.dayOf(day))
	return d, to - i
}

// dayOf returns the day of a month that word i is, 0 if it is none: "24", "24th".
func (l *script) dayOf(i int) int {
	s := l.words[i].s
	d := digitsAt(s, 0)
	if n := atoi(s[:min(d, 3)]); n < 32 && (d == len(s) || meaningOf(s[d:])&ordinals != 0) {
		return n
	}
	return 0
}

// dateInFigures reads a date in figures with something between: "2026-11-24", "24.11.26".
func (l *script) dateInFigures(s string) Date {
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
