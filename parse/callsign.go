package parse

import (
	"slices"
	"strings"

	"skyslate/parse/series"
)

// Callsign is a call sign that can exist: valid or unusual. It is comparable;
// the zero value is none.
type Callsign struct {
	s        string
	class    Class
	from, to uint8 // the base within s
}

// Class says how a call sign agrees with the rules of the package comment.
type Class uint8

// The classes. An unusual call is confirmed once before it is logged.
const (
	Impossible Class = iota
	Unusual
	Valid
)

// String returns "impossible", "unusual" or "valid".
func (c Class) String() string { return [...]string{"impossible", "unusual", "valid"}[c] }

// maxBase is the greatest length of a call sign without place and marks. No
// published rule; the longest seen on special occasions are shorter.
const maxBase = 12

// ParseCallsign parses a call sign in any case. An error is a [*SyntaxError].
func ParseCallsign(s string) (Callsign, error) {
	if c, ok := makeCallsign(upper(s)); ok {
		return c, nil
	}
	return Callsign{}, callError(s)
}

// MustParseCallsign is ParseCallsign for constants of a program; it panics
// where that fails.
func MustParseCallsign(s string) Callsign { return must(ParseCallsign(s)) }

// IsValid reports whether there is a call at all, of either class.
func (c Callsign) IsValid() bool { return c.s != "" }

// IsZero reports whether there is none, so that omitzero leaves it out.
func (c Callsign) IsZero() bool { return c.s == "" }

// Class returns Valid or Unusual, or Impossible for the zero value.
func (c Callsign) Class() Class { return c.class }

// String returns the call as it is logged, in upper case with place and marks.
func (c Callsign) String() string { return c.s }

// Base returns the call without place and marks.
func (c Callsign) Base() string { return c.s[c.from:c.to] }

// Names reports whether the call is another one, or that without place and marks.
func (c Callsign) Names(other Callsign) bool {
	return c == other || c.IsValid() && c.s == other.Base()
}

// MarkedAs returns a call without place and marks with those of another.
func (c Callsign) MarkedAs(other Callsign) Callsign {
	if !c.IsValid() || !other.IsValid() || c.s != c.Base() {
		return c
	}
	marked, ok := makeCallsign(other.s[:other.from] + c.s + other.s[other.to:])
	if !ok {
		return c
	}
	return marked
}

// Country returns the administration to whose series the place belongs, or the
// base where no place is given; "" where no series is allocated. It is a hint
// for the eye and says nothing about where the station is.
func (c Callsign) Country() string {
	if c.s == "" {
		return ""
	}
	place, _, _ := strings.Cut(strings.TrimPrefix(c.s[c.to:], "/"), "/")
	switch {
	case c.from > 0:
		return series.Of(c.s[:c.from-1])
	case place != "" && !isMark(place):
		return series.Of(place)
	}
	return series.Of(c.Base())
}

// FarFrom returns the administration if grids are far from its territories: a station
// there is a guest, or a grid was misheard. "" means neither, or that it is not known.
func (c Callsign) FarFrom(grids []Grid) string {
	name := c.Country()
	near := func(g Grid) bool {
		lat, lon := g.Center()
		return series.Near(name, lat, lon)
	}
	afloat := strings.HasSuffix(c.s, "/MM") || strings.HasSuffix(c.s, "/AM")
	if afloat || len(grids) == 0 || slices.ContainsFunc(grids, near) {
		return ""
	}
	return name
}

// MarshalText implements [encoding.TextMarshaler]: the form of String.
func (c Callsign) MarshalText() ([]byte, error) { return []byte(c.s), nil }

// UnmarshalText implements [encoding.TextUnmarshaler]; empty text gives the
// zero value.
func (c *Callsign) UnmarshalText(text []byte) error { return unmarshal(c, text, ParseCallsign) }

// makeCallsign makes a call of a text in upper case, if it can be one.
func makeCallsign(s string) (Callsign, bool) {
	class, from, to := dissect(s)
	if class == Impossible {
		return Callsign{}, false
	}
	return Callsign{s, class, uint8(from), uint8(to)}, true
}

// dissect classifies a text in upper case and finds the base in it.
func dissect(s string) (class Class, from, to int) {
	var parts [4]string // what stands between the strokes
	n := 0
	for rest, more := s, true; more; n++ {
		if n == len(parts) {
			return Impossible, 0, 0
		}
		parts[n], rest, more = strings.Cut(rest, "/")
	}
	for home := range min(n, 2) {
		class := baseClass(parts[home])
		if class != Impossible && (home == 0 || isPlace(parts[0])) && misfit(parts[home+1:n], home == 1) < 0 {
			from = home * (len(parts[0]) + 1)
			return class, from, from + len(parts[home])
		}
	}
	return Impossible, 0, 0
}

// misfit returns the first of the parts behind the base that can't stand there, -1 if
// there is none: they are two marks at most, of which the first may be a place if none
// stands before the base.
func misfit(tail []string, placed bool) int {
	for i, p := range tail {
		if i > 1 || !isMark(p) && (i > 0 || placed || p == "B" || !isPlace(p)) {
			return i
		}
	}
	return -1
}

// isMark reports whether a part after the base says how or where in the
// country the station works. Meanings differ by country; B is a beacon.
func isMark(s string) bool {
	return len(s) == 1 && (isLetter(s[0]) && s[0] != 'B' || isDigit(s[0])) ||
		s == "MM" || s == "AM" || s == "QRP" || s == "QRPP" || s == "LH"
}

// isPlace reports whether s is a prefix as written for a guest: F, HB0, VP2E.
func isPlace(s string) bool {
	if len(s) == 0 || len(s) > 4 || !all(s, isAlnum) {
		return false
	}
	one, half := series.IsOne(s[0]), series.HalfLen(s)
	return one && (len(s) == 1 || len(s) == 2 && isDigit(s[1])) ||
		half > 0 && (len(s) == half || len(s) == half+1 && isDigit(s[half])) || s == "3D2" || len(s) >= 2 && series.Allocated(s[0], s[1]) &&
		(len(s) < 3 || isDigit(s[2])) && (len(s) < 4 || isLetter(s[3]))
}

// baseClass classifies a call without place and marks.
func baseClass(s string) Class {
	if len(s) < 3 || len(s) > maxBase || !isLetter(s[len(s)-1]) || s[0] == 'Q' || s[0] == '0' || // never given out
		s[0] == '1' && s[1] != 'A' || !hasDigitIn(s) || !all(s, isAlnum) {
		return Impossible
	}
	best := Impossible
	if series.IsOne(s[0]) {
		best = groupClass(s[1:], 4)
	}
	if h := series.HalfLen(s); h > 0 {
		best = max(best, groupClass(s[h:], 3))
	}
	if strings.HasPrefix(s, "3D2") {
		best = max(best, groupClass(s[2:], 3))
	}
	switch {
	case series.Allocated(s[0], s[1]):
		best = max(best, groupClass(s[2:], 4))
		if isLetter(s[0]) && isDigit(s[1]) && len(s) <= 6 && allLetters(s[2:]) {
			best = max(best, Unusual) // the digit of the series does both jobs
		}
	case isLetter(s[1]) || isLetter(s[0]) && (s[1] >= '2' || s[:2] == "S0"): // shaped like a prefix
		best = max(best, min(groupClass(s[2:], 4), Unusual))
	}
	return best
}

// groupClass classifies what follows a prefix: a digit and a group of at most
// most letters, or the freer forms of special occasions.
func groupClass(s string, most int) Class {
	if len(s) < 2 || !isDigit(s[0]) {
		return Impossible
	}
	if len(s)-1 <= most && allLetters(s[1:]) {
		return Valid
	}
	return Unusual
}

// callError tells where s stops being a call sign.
func callError(s string) *SyntaxError {
	u := upper(s)
	fail := func(at int, expected string) *SyntaxError {
		return &SyntaxError{"call sign", s, at, foundAt(s, at), expected}
	}
	for i := range len(u) {
		if !isLetter(u[i]) && !isDigit(u[i]) && u[i] != '/' {
			return fail(i, "letters, digits and strokes only")
		}
	}
	parts := strings.Split(u, "/")
	at, placed := 0, len(parts) > 1 && baseClass(parts[0]) == Impossible && isPlace(parts[0])
	if placed {
		at, parts = len(parts[0])+1, parts[1:]
	}
	if baseClass(parts[0]) == Impossible {
		i, expected := baseFault(parts[0])
		return fail(at+i, expected)
	}
	i := misfit(parts[1:], placed)
	at += len(strings.Join(parts[:i+1], "/"))
	if i > 1 {
		return fail(at, "the end after two marks")
	}
	return fail(at+1, "a mark such as P, M or a digit")
}

// baseFault says where a base that is impossible goes wrong.
func baseFault(s string) (at int, expected string) {
	switch {
	case s == "":
		return 0, "a call"
	case len(s) > maxBase:
		return maxBase, "at most 12 characters"
	case s[0] == 'Q' || s[0] == '0' || s[0] == '1' && !strings.HasPrefix(s, "1A"):
		return 0, "a prefix that is given out"
	case !strings.ContainsAny(s, "0123456789"):
		return len(s), "a digit somewhere"
	case !isLetter(s[len(s)-1]):
		return len(s), "a letter at the end"
	case len(s) < 3:
		return len(s), "prefix, digit and letters"
	case isLetter(s[0]) && isDigit(s[1]):
		return 1, "a second character of the prefix"
	}
	return 2, "a digit after the prefix"
}
