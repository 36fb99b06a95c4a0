package clock

import (
	"cmp"
	"fmt"
	"time"
)

// Date is a day as typed, with or without its year. The zero value is none.
type Date struct {
	year       int16 // 0: not typed
	month, day int8
}

// MakeDate makes a day, if there is such; year 0 means that it is not known.
func MakeDate(year, month, day int) (Date, bool) {
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
	if len(text) == 0 {
		*d = Date{}
		return nil
	}
	for _, layout := range [...]string{"2006-01-02", "--01-02"} {
		if t, err := time.Parse(layout, string(text)); err == nil {
			*d = DateOf(t)
			return nil
		}
	}
	return fmt.Errorf("%q is no day: expected YYYY-MM-DD or --MM-DD", text)
}

// ReadDate reads a day in figures, alone or with something between: "20261124",
// "2026-11-24", "24.11.26", "11/24/2026". Where they leave open which is the day, the
// date near holds; if neither is that, there is none.
func ReadDate(s string, near Date) Date {
	d := figures(s)
	if d == 8 {
		day, _ := MakeDate(number(s[:4]), number(s[4:6]), number(s[6:]))
		if day.year < 1900 || day.year > 2099 {
			return Date{}
		}
		return day
	}
	var n [3]int
	rest := s
	for k := range n {
		f := figures(rest)
		n[k] = number(rest[:f])
		rest = rest[min(f+1, len(rest)):]
	}
	if d == 4 {
		day, _ := MakeDate(n[0], n[1], n[2])
		return day
	}
	year := n[2]
	if year < 100 {
		year += 2000
	}
	european, ok := MakeDate(year, n[1], n[0])
	american, also := MakeDate(year, n[0], n[1])
	switch {
	case !also || s[d] == '.' || european == american:
		return european
	case !ok || american.Fits(near):
		return american
	case european.Fits(near):
		return european
	}
	return Date{}
}
