package parse

import "strings"

// skipCost weighs word i as one that belongs to no part of a contact.
func (l *lattice) skipCost(i int) int16 {
	t := &l.words[i]
	switch {
	case t.shape&clockLike != 0:
		return 0
	case l.isWholeGrid(i):
		return costGrid
	case l.tied(i), t.means&stroke != 0 || t.shape == hasDigit && len(t.s) <= 2 && l.behindField(i) && !l.measuresAnyway(i):
		return costFarFetched
	case t.within == plain:
		return costSpoken
	case t.means&(part|next) != 0:
		return 0
	case l.isUnit(i):
		return 0
	case len(t.s) == 1 && l.besideSingle(i):
		return costFarFetched
	case l.counts(i):
		return 0
	case t.spells.trust == plain:
		if l.besideWhole(i) || l.isRemark(i) {
			return costName
		}
		return costSpoken
	case t.spells.trust == loose && !t.spells.filler && l.besideSpoken(i):
		return costFarFetched
	case t.means != 0:
		return 0
	case t.spells.trust != unspelled:
		return 0
	case l.measures(i):
		return 0
	case t.shape == hasDigit && len(t.s) > 2:
		return costUnknown
	case t.shape&hasDigit != 0:
		return costStray
	case len(t.s) == 1:
		return costLetter
	}
	return costUnknown
}

// besideSingle reports whether a single letter or digit stands beside word i:
// spelled out, not an article.
func (l *script) besideSingle(i int) bool {
	single := func(j int) bool { return j >= 0 && j < len(l.words) && len(l.words[j].s) == 1 }
	return single(i-1) || single(i+1)
}

// isWholeGrid reports whether word i is a grid as it is typed.
func (l *script) isWholeGrid(i int) bool {
	var buf [8]byte
	if t := &l.words[i]; t.shape != hasLetter|hasDigit || len(t.s) > len(buf) {
		return false
	}
	_, ok := makeGrid(string(upperInto(buf[:0], l.words[i].s)))
	return ok
}

// skipDoubt says what a skipped word leaves in doubt.
func (l *lattice) skipDoubt(i int) doubt {
	t := &l.words[i]
	switch {
	case l.noTime(i) || l.isUntaken(i):
		return strayed
	case t.means&stroke != 0 && i > 0 && i+1 < len(l.words):
		return strayedIf(l.words[i+1].spells.trust == plain || l.words[i+1].shape&hasDigit != 0)
	case t.shape&clockLike != 0 || t.means&(stroke|part|next) != 0:
		return 0
	case l.counts(i) || l.isUnit(i) || l.bulleted(i):
		return 0
	case t.spells.trust != unspelled && l.isRemark(i):
		return 0
	case t.spells.trust == plain:
		return spoken
	case t.spells.trust == loose && !t.spells.filler && l.besideSpoken(i):
		return spoken
	case t.means&mark != 0:
		return unknown
	case l.measures(i):
		return 0
	case len(t.s) == 1 && (t.means == 0 || l.besideSingle(i)), l.thirdPair(i):
		return strayed
	case t.shape == hasDigit && len(t.s) <= 2 && t.means == 0:
		return strayed
	case t.means != 0:
		return 0
	case t.spells.trust == guess:
		return unknown
	case t.shape&(hasDigit|hasWild) != 0 && t.shape&hasLetter != 0 && !isMeasure(t.s):
		return strayed
	}
	return unknown
}

func strayedIf(so bool) doubt {
	if so {
		return strayed
	}
	return 0
}

// thirdPair reports whether word i looks like the third pair of the grid typed
// before it. A pair is never taken from a word of its own.
func (l *script) thirdPair(i int) bool {
	t := &l.words[i]
	if i == 0 || len(t.s) != 2 || t.means != 0 || t.shape != hasLetter || t.entry.means&region != 0 {
		return false
	}
	g, ok := makeGrid(upper(l.words[i-1].s))
	return ok && g.n == 4 && gridChar(upperByte(t.s[0]), 4) && gridChar(upperByte(t.s[1]), 5)
}

// measures reports whether word i is a number that its neighbours explain:
// "up 5", "20 watts".
func (l *script) measures(i int) bool {
	t := &l.words[i]
	if t.shape != hasDigit {
		return false
	}
	if i == 0 && len(l.words) > 1 && l.words[1].gap&(stop|bracket|colon) != 0 || l.listed(i) || l.numbers(i) {
		return true // "1. …", "2) …"
	}
	if i > 1 && (t.gap&plus != 0 && l.reports(i-1) || l.isWord(i-1, joins) && l.reports(i-2)) || t.gap&hash != 0 || l.isFigure(i) {
		return true // "s9+20", "# 12"
	}
	return l.gapBehind(i)&percent != 0 || l.saysNumber(i)
}

// gapBehind returns what stands behind word i.
func (l *script) gapBehind(i int) gap {
	if i+1 < len(l.words) {
		return l.words[i+1].gap
	}
	return l.after
}

// isUntaken reports whether word i is a time that can't be taken as it stands: not
// in UTC, or before the mark.
func (l *script) isUntaken(i int) bool {
	t := &l.words[i]
	if p := l.numberRow(i); p != nil {
		return p.sense == untaken
	}
	if d := digitsAt(t.s, 0); t.shape == hasDigit|hasLetter && d > 0 && meaningOf(t.s[d:])&half != 0 {
		return d <= 2 && t.s[d-1] != ':'
	}
	if t.shape&clockLike != 0 && t.shape&offsetish == 0 && len(t.s) > 2 && meaningOf(t.s[len(t.s)-2:])&half != 0 {
		return true
	}
	// "14:20 utc+2"
	return isNumber(t) && i+2 < len(l.words) && l.words[i+1].means&utc != 0 && l.words[i+2].gap&(plus|hyphen) != 0 && l.words[i+2].shape&hasDigit != 0
}

// isFigure reports whether the digit at word i, behind a contact that is typed
// whole, counts the word after it, or is a sign: "2 dogs barking", "<3".
func (l *script) isFigure(i int) bool {
	t := &l.words[i]
	if l.complete == 0 || i < l.complete || len(t.s) > 2 || i == l.complete && len(t.s) == 2 {
		return false
	}
	if i+1 == len(l.words) {
		return t.gap&other != 0
	}
	n := &l.words[i+1]
	return n.gap == space && t.gap&^(space|comma|hyphen) == 0 && n.shape == hasLetter && len(n.s) > 2 && n.spells.trust == unspelled && n.means&(part|name) == 0
}

// measuresAnyway reports whether word i is a number that its neighbours explain
// although letters stand before it: they are no field of a grid.
func (l *script) measuresAnyway(i int) bool {
	return l.measures(i) && !l.behindField(i)
}

// behindField reports whether one or two letters stand before word i, with
// nothing but a space between.
func (l *script) behindField(i int) bool {
	return i > 0 && l.words[i-1].shape == hasLetter && len(l.words[i-1].s) <= 2 && l.words[i].gap&^space == 0
}

// isUnit reports whether word i is the unit of the number before it, and not a
// letter of something spelled: "5 w".
func (l *script) isUnit(i int) bool {
	single := func(j int) bool { return j >= 0 && j < len(l.words) && len(l.words[j].s) == 1 }
	return i > 0 && l.words[i].means&unit != 0 && l.words[i-1].shape == hasDigit && !single(i-2) && !single(i+1)
}

// bulleted reports whether word i is the letter of a list: "b) …".
func (l *script) bulleted(i int) bool {
	bullet := func(j int) bool {
		return j+1 < len(l.words) && len(l.words[j].s) == 1 && l.words[j+1].gap&bracket != 0
	}
	return bullet(i) && (i == 0 || bullet(0) && l.words[i].gap&(slash|bracket) == 0 && l.words[i].s[0] > l.words[0].s[0])
}

// endsGrid reports whether word i is the end of a grid with spaces in it:
// "jo 31", "jo3 1".
func (l *script) endsGrid(i int) bool {
	s := l.words[i].s
	for j := i; len(s) < 4 && j > 0 && l.words[j].gap&^space == 0; j-- {
		s = l.words[j-1].s + s
	}
	_, ok := makeGrid(upper(s))
	return ok && len(s) == 4
}

// listed reports whether word i numbers a contact: "2. ab1cde …", and not a grid
// before one: "jo 31) ab1cde".
func (l *script) listed(i int) bool {
	if i+1 >= len(l.words) || l.words[i].shape != hasDigit || l.endsGrid(i) {
		return false
	}
	t := &l.words[i+1]
	return len(t.s) > 2 && t.shape == hasLetter|hasDigit && (t.gap&(bracket|colon) != 0 || i == 0 && t.gap&stop != 0 || l.numbers(i))
}

// numbers reports whether word i numbers the next contact of a list: "1. … 2. …".
func (l *script) numbers(i int) bool {
	enumerates := func(j int) bool {
		t := &l.words[j]
		return t.shape == hasDigit && len(t.s) <= 2 && j+1 < len(l.words) && l.words[j+1].gap&(stop|bracket|colon) != 0
	}
	return i > 0 && enumerates(0) && enumerates(i) && atoi(l.words[i].s) > atoi(l.words[0].s) && atoi(l.words[i].s) < atoi(l.words[0].s)+i
}

// reports reports whether word i is a signal report in figures or an S meter's.
func (l *script) reports(i int) bool {
	s := l.words[i].s
	return isReport(s) || isReport(strings.TrimPrefix(s, "r")) || s[0] == 's' && isMeasure(s)
}

// isMeasure reports whether s is a number with a unit: "10m", "5w", "145mhz".
func isMeasure(s string) bool {
	d := digitsAt(s, 0)
	if d == 0 {
		if strings.HasPrefix(s, "az") {
			return len(s) < 6 && digitsAt(s, 2) == len(s)-2
		}
		return len(s) == 2 && (s[0] == 's' || s[0] == 'q') || len(s) == 3 && s[0] == 's' && isReport(s[1:]) // strength, readability
	}
	return meaningOf(s[d:])&glued != 0
}

// counts reports whether word i is the one of "next one", "one more".
func (l *script) counts(i int) bool {
	return l.words[i].means&ones != 0 && (i > 0 && l.words[i-1].means&ordinal != 0 || i+1 < len(l.words) && l.words[i+1].means&more != 0)
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
	return max(t.spells.trust, t.within) == plain || t.spells.trust == loose && !t.spells.filler && t.means&^name == 0 && (len(t.s) > 2 || t.phrase > 1)
}

// besideWhole reports whether a lone spoken word stands right after a typed
// call or grid.
func (l *script) besideWhole(i int) bool {
	if i == 0 || l.besideSpoken(i) {
		return false
	}
	s := upper(l.words[i-1].s)
	if len(s) < 3 {
		return false
	}
	_, grid := makeGrid(s)
	return grid && len(s) >= 4 || callClass(s) != Impossible
}

// findComplete finds where the first contact that is typed whole ends: a call and
// a grid side by side. Zero if there is none.
func (l *script) findComplete() {
	for i := 0; i+1 < len(l.words); i++ {
		for j := i + 1; j < len(l.words) && j < i+3; j++ {
			if l.isTypedCall(i) && l.isWholeGrid(j) || l.isWholeGrid(i) && l.isTypedCall(j) {
				l.complete = j + 1
				return
			}
			if l.words[j].means&part == 0 {
				break
			}
		}
	}
}

// isTypedCall reports whether word i is an ordinary call as it is typed.
func (l *script) isTypedCall(i int) bool {
	t := &l.words[i]
	return t.shape == hasLetter|hasDigit && len(t.s) >= 4 && len(t.s) <= maxBase && t.means == 0 && !l.isWholeGrid(i) && callClass(upper(t.s)) == Valid
}

// isRemark reports whether the spoken symbol at word i is an ordinary word or a
// name: it stands alone somewhere behind a contact that is typed whole.
func (l *script) isRemark(i int) bool {
	t := &l.words[i]
	if l.complete == 0 || i < l.complete || t.phrase > 1 || t.within != unspelled {
		return false
	}
	if l.saysNumber(i) {
		return true // a greeting
	}
	if i == l.complete && isDigit(t.spells.syms[0]) {
		return false
	}
	return !l.symbolAt(i-1) && !l.symbolAt(i+1)
}

// symbolAt reports whether word i is a symbol, spoken or typed.
func (l *script) symbolAt(i int) bool {
	if i < l.complete || i >= len(l.words) {
		return false
	}
	t := &l.words[i]
	return t.spells.trust >= loose && !t.spells.filler && (t.means&^(name|small|courtesy|filler|lead|link) == 0 || t.spells.trust == plain) ||
		t.within != unspelled || len(t.s) == 1 && t.s != "i" && t.s != "a" || t.shape&hasDigit != 0 && len(t.s) <= 3 && !isMeasure(t.s)
}
