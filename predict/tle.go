package predict

import (
	"cmp"
	"strconv"
	"strings"
	"time"
)

// Two-line sets, columns counted from 1. In line 1 stand the number (3-7),
// class (8), designator (10-17), epoch (19-20 the year, 21-32 the day), drag
// terms (34-43, 45-52, 54-61) and the type (63); in line 2 the number (3-7),
// inclination (9-16), node (18-25), eccentricity (27-33), argument of perigee
// (35-42), mean anomaly (44-51) and mean motion (53-63). Column 69 of both is
// a checksum: the digits before it and one for each minus sign, modulo 10. It
// may be missing. Numbers above 99999 begin with a letter, without I and O.

// twoLines reads two-line sets, each with or without a line of its name before it.
func (in *input) twoLines() {
	var name, first token // of the set at hand
	for l := range in.lines() {
		switch {
		case elementLine(l.text, '1'):
			if first.text != "" {
				in.unfinished(name, first)
				name = token{}
			}
			first = l
		case elementLine(l.text, '2'):
			in.pair(name, first, l)
			name, first = token{}, token{}
		default:
			in.unfinished(name, first)
			name, first = l, token{}
		}
	}
	in.unfinished(name, first)
}

// elementLine says whether a line means to be line 1 or 2 of a set.
func elementLine(s string, number byte) bool {
	return len(s) > 1 && s[0] == number && (s[1] == ' ' || s[1] == '\t')
}

// unfinished tells of a line 1, or a name, that nothing follows.
func (in *input) unfinished(name, first token) {
	switch {
	case first.text != "":
		in.wrong(first, "line 2 of the same set after it")
	case name.text != "":
		in.wrong(name, "a set's two lines after its name")
	}
	in.tell()
}

func (in *input) pair(name, first, second token) {
	var e Elements
	if first.text == "" {
		in.wrong(second, "line 1 of the same set before it")
	}
	in.first(first, &e)
	in.second(second, &e)
	e.Name = cmp.Or(cleanName(strings.TrimPrefix(name.text, "0 ")), strconv.Itoa(e.Catalog))
	in.end(e)
}

// whole checks what both lines have in common, and reports whether all is well
// so far.
func (in *input) whole(l token, blanks ...int) bool {
	for i := range len(l.text) {
		if c := l.text[i]; c < ' ' || c > '~' {
			in.wrong(l.cut(i+1, i+1), "plain ASCII in an element line")
		}
	}
	switch n := len(l.text); {
	case n < 68:
		in.wrong(token{"", l.line, l.column + n}, "68 or 69 columns, the line has %d", n)
		return false
	case n > 69:
		in.wrong(l.cut(70, n), "the end of the line after 69 columns")
	case n == 69:
		if sum := checksum(l.text); l.text[68] != sum {
			in.wrong(l.cut(69, 69), "checksum %c", sum)
		}
	}
	for _, c := range blanks {
		if l.text[c-1] != ' ' {
			in.wrong(l.cut(c, c), "a blank between two fields")
		}
	}
	return in.bad == nil
}

func checksum(line string) byte {
	sum := 0
	for _, c := range []byte(line[:68]) {
		switch {
		case c >= '0' && c <= '9':
			sum += int(c - '0')
		case c == '-':
			sum++
		}
	}
	return byte('0' + sum%10)
}

func (in *input) first(l token, e *Elements) {
	if !in.whole(l, 2, 9, 18, 33, 44, 53, 62, 64) {
		return
	}
	e.Catalog = in.catalog(l.cut(3, 7))
	e.Epoch = in.epoch(l.cut(19, 20), l.cut(21, 32))
	e.NDot = in.number(l.cut(34, 43), "half the change of mean motion", -1, 1)
	e.NDDot = in.assumed(l.cut(45, 52), "a sixth of the second change of mean motion")
	e.BStar = in.assumed(l.cut(54, 61), "drag")
	if t := l.cut(63, 63); t.text != "0" && t.text != " " {
		in.wrong(t, "element type 0, for SGP4")
	}
	e.Designator = l.cut(10, 17).trim().text
	if d := e.Designator; len(d) >= 6 && strings.Trim(d[:5], "0123456789") == "" { // "98067A"
		e.Designator = century(d[:2]) + d[:2] + "-" + d[2:]
	}
}

// century of a year's last two digits: 57 to 99 are in the twentieth.
func century(year string) string {
	if year < "57" {
		return "20"
	}
	return "19"
}

// catalog reads five columns; in the first may stand a letter for 10 to 33.
func (in *input) catalog(t token) int {
	const letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
	digits, ten := strings.TrimLeft(t.text, " "), 0
	if i := strings.IndexByte(letters, t.text[0]); i >= 0 {
		digits, ten = t.text[1:], 10+i
	}
	n, err := strconv.ParseUint(digits, 10, 32)
	if err != nil || ten*10000+int(n) < 1 {
		in.wrong(t, "a catalog number of five digits, or a letter and four digits")
	}
	return ten*10000 + int(n)
}

// epoch counts the day in units of 1e-8, exactly 864 µs.
func (in *input) epoch(year, day token) time.Time {
	if strings.Trim(year.text, "0123456789") != "" {
		in.wrong(year, "two digits of the year")
	}
	y, _ := strconv.Atoi(century(year.text) + year.text)
	start := time.Date(y, 1, 1, 0, 0, 0, 0, time.UTC)
	days := start.AddDate(1, 0, -1).YearDay()
	whole, fraction, ok := strings.Cut(strings.Trim(day.text, " "), ".")
	fraction += strings.Repeat("0", max(0, 8-len(fraction)))
	d, err1 := strconv.ParseUint(whole, 10, 16)
	f, err2 := strconv.ParseUint(fraction, 10, 32)
	if !ok || err1 != nil || err2 != nil || len(fraction) != 8 || d < 1 || d > uint64(days) {
		in.wrong(day, "day of the year from 1 to %d, with up to eight decimals", days)
	}
	return start.AddDate(0, 0, int(d)-1).Add(time.Duration(f) * 864 * time.Microsecond)
}

// assumed reads a field like "-12345-3": -0.12345e-3.
func (in *input) assumed(t token, what string) float64 {
	m := point.FindStringSubmatch(t.text)
	if m == nil {
		in.wrong(t, "%s: sign, five digits, sign, digit", what)
		return 0
	}
	v, _ := strconv.ParseFloat(strings.ReplaceAll(m[1]+"."+m[2]+"e"+m[3]+m[4], " ", ""), 64)
	return v
}

func (in *input) second(l token, e *Elements) {
	if !in.whole(l, 2, 8, 17, 26, 34, 43, 52) {
		return
	}
	if in.catalog(l.cut(3, 7)) != e.Catalog {
		in.wrong(l.cut(3, 7), "catalog number %d, as in line 1", e.Catalog)
	}
	if t := l.cut(27, 33); strings.Trim(t.text, "0123456789") != "" {
		in.wrong(t, "seven digits of eccentricity after an assumed point")
	}
	e.InclinationDeg = in.number(l.cut(9, 16), "inclination", 0, 180)
	e.RAANDeg = in.number(l.cut(18, 25), "node", 0, 360)
	e.Eccentricity = in.number(l.cut(27, 33), "eccentricity", 0, 9999999) / 1e7
	e.ArgPerigeeDeg = in.number(l.cut(35, 42), "argument of perigee", 0, 360)
	e.MeanAnomalyDeg = in.number(l.cut(44, 51), "mean anomaly", 0, 360)
	e.MeanMotion = in.number(l.cut(53, 63), "mean motion", 0, 20)
}
