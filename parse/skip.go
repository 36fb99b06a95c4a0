package parse

import "strings"

// skip weighs word i as one that belongs to no part of a contact, and says what it
// leaves in doubt then.
func (l *lattice) skip(i int) (cost int16, left doubt) {
	t := &l.words[i]
	digits := t.shape == hasDigit && len(t.s) <= 2
	switch {
	case l.noTime(i) || l.isUntaken(i):
		return 0, strayed
	case l.numberSense(i) == numbered, t.shape&clockLike != 0:
		return 0, 0
	case t.means&stroke != 0:
		return costFarFetched, strayed
	case isGreeting(t.s) && t.gap.ties() && isReport(l.words[i-1].s):
		return 0, 0 // "59/73"
	case l.tied(i):
		return costFarFetched, strayed
	case t.within == plain:
		return costSpoken, unknown
	case t.means&(part|next) != 0 || l.counts(i):
		return 0, 0
	case len(t.s) == 1 && l.besideSingle(i):
		return costFarFetched, strayed
	case t.spells.trust == plain && i > 0 && callClass(upper(l.words[i-1].s)) != Impossible:
		return costName, spoken
	case t.spells.trust == plain:
		return costSpoken, spoken
	case t.spells.trust == loose && !t.spells.filler && l.besideSpoken(i):
		return costFarFetched, spoken
	case t.means&mark != 0:
		return 0, unknown
	case l.measures(i):
		return 0, 0
	case i > 0 && len(t.s) == 2 && (t.means|t.entry.means)&^ofParts == 0 && t.entry.means&region == 0 &&
		len(l.words[i-1].s) == 4 && isSquare(l.words[i-1].s+t.s): // rather a third pair; none is taken from a word of its own
		return costUnknown, strayed
	case t.means != 0:
		return 0, 0
	case digits, t.shape&hasDigit != 0 && t.shape&hasLetter != 0 && !isMeasure(t.s):
		return costStray, strayed
	case t.spells.trust != unspelled:
		return 0, unknown
	case t.shape&hasDigit != 0:
		return costStray, unknown
	case len(t.s) == 1:
		return costLetter, strayed
	}
	return costUnknown, unknown
}

// besideSingle reports whether a single letter or digit stands beside word i:
// spelled out, not an article or a unit.
func (l *lattice) besideSingle(i int) bool {
	single := func(j int) bool {
		return j >= 0 && j < len(l.words) && len(l.words[j].s) == 1 && l.numberSense(j) != numbered
	}
	return single(i-1) || single(i+1)
}

// measures reports whether word i is a number that its neighbours explain:
// "up 5", "20 watts", "s9+20", "# 12", "2) …".
func (l *script) measures(i int) bool {
	t := &l.words[i]
	if t.shape != hasDigit {
		return l.listed(i)
	}
	return l.listed(i) || t.gap&hash != 0 || l.gapBehind(i)&percent != 0 || l.numberSense(i) == numbered ||
		i > 1 && t.gap&plus != 0 && (isReport(l.words[i-1].s) || isMeasure(l.words[i-1].s))
}

// gapBehind returns what stands behind word i.
func (l *script) gapBehind(i int) gap {
	if i+1 < len(l.words) {
		return l.words[i+1].gap
	}
	return l.after
}

// isUntaken reports whether word i is a time that can't be taken as it stands: not
// in UTC.
func (l *script) isUntaken(i int) bool {
	t := &l.words[i]
	if s := l.numberSense(i); s != neutral {
		return s == untaken
	}
	if t.shape&clockLike != 0 && len(t.s) > 2 && meaningOf(t.s[len(t.s)-2:])&half != 0 {
		return true
	}
	// "14:20 utc+2"
	return l.isWord(i+1, utc) && isNumber(t) && i+2 < len(l.words) && l.words[i+2].gap&(plus|hyphen) != 0 && l.words[i+2].shape&hasDigit != 0
}

// listed reports whether word i numbers a contact: "2. ab1cde …", and is not the end of
// a grid with spaces in it: "jo 31) ab1cde".
func (l *script) listed(i int) bool {
	if i+1 >= len(l.words) {
		return false
	}
	if l.words[i].shape != hasDigit { // "a) ab1cde …"
		return len(l.words[i].s) == 1 && l.words[i+1].gap&bracket != 0 && len(l.words[i+1].s) > 2 && (i == 0 || l.listed(0))
	}
	s := l.words[i].s
	for j := i; len(s) < 4 && j > 0 && l.words[j].gap&^space == 0; j-- {
		s = l.words[j-1].s + s
	}
	t := &l.words[i+1]
	return len(t.s) > 2 && t.shape == hasLetter|hasDigit && !isSquare(s) &&
		(t.gap&(bracket|colon) != 0 || t.gap&stop != 0 && (i == 0 || l.listed(0)))
}

// isMeasure reports whether s is a number with a unit, an azimuth or a strength:
// "10m", "5w", "145mhz", "az210", "s9".
func isMeasure(s string) bool {
	if d := digitsAt(s, 0); d > 0 {
		return meaningOf(s[d:])&glued != 0
	}
	number, isAzimuth := strings.CutPrefix(s, "az")
	return isAzimuth && digitsAt(number, 0) == len(number) || len(s) == 2 && (s[0] == 's' || s[0] == 'q') || len(s) == 3 && s[0] == 's' && isReport(s[1:])
}

// counts reports whether word i is the one of "next one", "one more".
func (l *script) counts(i int) bool {
	return l.isWord(i, ones) && (l.isWord(i-1, ordinal) || l.isWord(i+1, more))
}

// besideSpoken reports whether word i stands right beside a spoken symbol.
func (l *script) besideSpoken(i int) bool {
	return l.says(i-1, i) || l.says(i+int(l.words[i].phrase), i)
}

// says reports whether word j is a spoken symbol that touches word i.
func (l *script) says(j, i int) bool {
	if j < 0 || j >= len(l.words) || l.words[max(i, j)].gap&strong != 0 {
		return false
	}
	t := &l.words[j]
	return max(t.spells.trust, t.within) == plain || t.spells.trust == loose && !t.spells.filler && t.means&^name == 0
}
