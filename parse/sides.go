package parse

import (
	"strconv"
	"strings"
	"unicode"
)

// addSides adds what may stand beside call and grid.
func (l *lattice) addSides(i int) {
	l.addBird(i)
	l.addReport(i)
	l.addClock(i)
	l.addSpokenClock(i)
	l.addName(i)
	if _, words := l.dateFrom(i); words > 0 {
		l.side(i, words, dateArc, int16(1-words))
	}
	if l.known.Linear && l.isWord(i, modeword) {
		l.side(i, 1, modeArc, 0)
	}
}

// side adds an arc of n words from i on.
func (l *lattice) side(i, n int, k kind, cost int16) {
	l.add(arc{from: int16(i), to: int16(i + n), kind: k, cost: cost})
}

// addBird adds the name of a bird that begins at word i: rather that than anything
// else. One that is shaped like a grid counts only with its hyphen, alone on its line,
// or behind "on" where there is a grid besides.
func (l *lattice) addBird(i int) {
	for b, bird := range l.birds {
		n, hyphened := l.sameName(i, bird)
		if n == 0 || isSquare(bird) && !hyphened && n < len(l.words) && !(l.isWord(i-1, onBird) && l.grids > 1) {
			continue
		}
		cost := int16(-gainHeard)
		if hyphened {
			cost *= 2 // "hayloft-2 f0zzf": no figure of its begins a call
		}
		l.add(arc{from: int16(i), to: int16(i + n), kind: birdArc, bird: uint16(b), cost: cost})
	}
}

// plainName returns the letters and digits of a bird's name, as words are folded.
func plainName(name string) string {
	return strings.Map(func(c rune) rune {
		if c = unicode.ToLower(c); 'a' <= c && c <= 'z' || '0' <= c && c <= '9' {
			return c
		}
		return -1
	}, name)
}

// sameName returns how many words from i on spell a bird's bare name, and whether
// its hyphen was typed.
func (l *script) sameName(i int, name string) (n int, hyphened bool) {
	for j := i; j < len(l.words) && name != ""; j++ {
		t := &l.words[j]
		rest, fits := strings.CutPrefix(name, t.s)
		if !fits || j > i && t.gap&^(space|hyphen) != 0 {
			return 0, false
		}
		hyphened = hyphened || j > i && t.gap&hyphen != 0
		if name = rest; name == "" {
			return j - i + 1, hyphened
		}
	}
	return 0, false
}

// addReport adds a signal report: readability and strength, with tone in morse.
func (l *lattice) addReport(i int) {
	t := &l.words[i]
	cost := int16(0)
	if l.afterLetters(i) && (t.gap&pause == 0 || l.words[i-1].gap&pause != 0) {
		cost = costFarFetched // rather the digits of a grid
	}
	if s := reportOf(t.s); s != "" && (t.shape == hasDigit || l.numberSense(i) != numbered) {
		if s == t.s && s[0] != '5' {
			cost++
		}
		l.side(i, 1, reportArc, cost)
	}
	if r := l.figure(i); r < 3 || r > 5 {
		return
	}
	j := i + 1
	if j < len(l.words) && l.words[j].entry.means&times != 0 {
		j++
	}
	if l.figure(j) <= 0 {
		return
	}
	if j == i+1 && !l.words[j].gap.ties() {
		cost++
	}
	l.side(i, j+1-i, reportArc, cost)
}

// isReport reports whether s is a report in figures.
func isReport(s string) bool {
	if len(s) != 2 && len(s) != 3 || digitsAt(s, 0) != len(s) || strings.Contains(s, "0") {
		return false
	}
	if len(s) == 2 && s[0] == s[1] && s[0] != '5' {
		return false // 33, 44: greetings
	}
	return '3' <= s[0] && s[0] <= '5'
}

// reportOf returns the figures of a report in one word: "59", "r59", "5x9", "5.9", "5nn"; ""
// if it is none.
func reportOf(s string) string {
	if s == "5nn" {
		return "599"
	}
	bare := strings.TrimLeft(s, "rs")
	if len(s) == 3 && (s[1] == 'x' || s[1] == '.') {
		bare = s[:1] + s[2:]
	}
	if !isReport(bare) {
		return ""
	}
	return bare
}

// figure returns the figure that word i says or shows, or -1.
func (l *script) figure(i int) int {
	if i >= len(l.words) {
		return -1
	}
	t := &l.words[i]
	switch {
	case len(t.s) == 1 && t.shape == hasDigit:
		return int(t.s[0] - '0')
	case t.phrase == 1 && (t.spells.trust == plain || t.spells.trust == loose && !t.spells.filler && len(t.spells.syms) == 1) && isDigit(t.spells.syms[0]):
		return int(t.spells.syms[0] - '0')
	}
	return -1
}

// reportText returns the figures of a report arc.
func (l *script) reportText(a *arc) string {
	if a.to == a.from+1 {
		return reportOf(l.words[a.from].s)
	}
	return string([]byte{'0' + byte(l.figure(int(a.from))), '0' + byte(l.figure(int(a.to)-1))})
}

// addClock adds a time or an offset.
func (l *lattice) addClock(i int) {
	t := &l.words[i]
	after := i + 1
	if l.isWord(after, utc) && l.words[after].gap == space {
		after++
	}
	_, isTime := clockOf(t.s)
	first := i == 0 && len(l.words) > 1 && l.words[1].shape == hasLetter|hasDigit && l.words[1].means == 0
	// The second number of "608-555-0142" is no time either.
	bare := t.shape == hasDigit && i > 0 && t.gap&^(hyphen|slash|stop) == 0
	switch {
	case l.isUntaken(i) || l.numberSense(i) == numbered:
	case t.s == "t" && l.isOffset(i+1):
		l.side(i, 2, offsetArc, 0)
	case l.isOffset(i):
		l.side(i, 1, offsetArc, 0)
	case l.timeInUnits(i):
		a := arc{from: int16(i), to: int16(i + 2), kind: clockArc, n: 4}
		if l.isWord(i+2, utc) {
			a.to++
		}
		copy(a.buf[:], t.s[:2]+l.words[i+1].s[:2])
		l.add(a)
	case (first || l.isWord(i-1, at|timeWord) || after > i+1 || l.numberSense(i) == timed) && l.dotted(i):
		a := arc{from: int16(i), to: int16(after), kind: clockArc}
		a.append(strings.Replace(t.s, ".", ":", 1), false)
		l.add(a)
	case isTime && !bare && !l.measures(i) && (t.shape != hasDigit || after > i+1 || l.numberSense(i) != neutral || l.standsAsTime(i)):
		l.side(i, after-i, clockArc, 0)
	case t.isPair() && atoi(t.s) < 60 && !l.measures(i) && l.isWord(i-1, at|minute):
		l.side(i, 1, clockArc, 0)
	}
}

// timeInUnits reports whether words i and i+1 are the hour and the minute of a time,
// each with its unit: "14ji 32fun".
func (l *script) timeInUnits(i int) bool {
	in := func(i int, unit meaning) bool {
		return i < len(l.words) && digitsAt(l.words[i].s, 0) == 2 && meaningOf(l.words[i].s[2:])&unit != 0
	}
	return in(i, hourUnit) && in(i+1, minuteUnit)
}

// standsAsTime reports whether four digits at word i are a time by their place: they
// begin the line, or stand behind a word that announces a time or that is no noun.
func (l *script) standsAsTime(i int) bool {
	if i == 0 {
		return true
	}
	t := &l.words[i-1]
	return t.means&(at|around|timeWord|utc|courtesy|name|filler) != 0 || t.shape&hasDigit != 0 || t.spells.trust >= loose
}

// numberSense returns what a phrase says of the number at word i, neutral if none does.
func (l *script) numberSense(i int) sense {
	if l.early == nil || l.early[i] == nil {
		return neutral
	}
	return l.early[i].sense
}

// isOffset reports whether word i is an offset from the slate: with a point it is none
// where its unit stands behind it.
func (l *script) isOffset(i int) bool {
	if i >= len(l.words) || l.words[i].shape&offsetish == 0 || l.words[i].s[0] == '-' {
		return false
	}
	if i+1 < len(l.words) && strings.Contains(l.words[i].s, ".") && meaningOf(l.words[i+1].s)&(unit|glued) != 0 {
		return false
	}
	_, ok := offsetOf(l.words[i].s)
	return ok
}

// noTime reports whether word i has the form of a time or an offset and can be
// none: "+1:75", "17:75".
func (l *script) noTime(i int) bool {
	t := &l.words[i]
	_, ok := clockOf(t.s)
	return t.shape&offsetish != 0 && !l.isOffset(i) || t.shape&(offsetish|clockLike) == clockLike && strings.Contains(t.s, ":") && !ok
}

// atoi returns the value of digits.
func atoi(s string) int {
	n, _ := strconv.Atoi(s)
	return n
}

// addName adds an announced name: "name doug", "op is lisa", "name mary jane",
// "se llama ana", "frowin heißt er", "edeltraud am mikro".
func (l *lattice) addName(i int) {
	j := i + 1
	switch {
	case l.isWord(i, self) && l.isWord(j, calling), l.isWord(i, namer) && l.isWord(j, be):
		j++
	case l.isWord(i, namer):
	case l.isWord(j, calling) && l.isWord(j+1, self), l.isWord(j, small) && (l.isWord(j+1, mic) || l.isWord(j+2, mic) && l.isWord(j+1, small)):
		j = i
	default:
		return
	}
	if j >= len(l.words) {
		return
	}
	t := &l.words[j]
	if t.shape&(hasDigit|hasWild) == 0 && t.means&nameless == 0 && len(t.s) > 1 && (t.means == 0 || t.means&name != 0) {
		n := l.nameLen(j)
		l.add(arc{from: int16(i), to: int16(j + n), kind: nameArc, n: uint8(n)})
	}
}

// nameLen returns how many words from word i on are one name: "mary jane",
// "jean-luc".
func (l *script) nameLen(i int) int {
	n := 1
	for j := i + 1; j < len(l.words) && n < 3; j++ {
		t := &l.words[j]
		tied := t.gap == hyphen && t.shape == hasLetter && len(t.s) > 1
		if !tied && (t.gap != space || t.means != name || t.spells.trust == plain || l.words[j-1].means != name) {
			break
		}
		n++
	}
	return n
}
