package parse

import (
	"regexp"
	"slices"
	"strings"

	"skyslate/parse/slip"
)

// callClass classifies a call with place and marks, in upper case.
func callClass(s string) Class {
	class, _, _ := dissect(s)
	return class
}

// addCall adds an arc for a call if its text is one.
func (l *lattice) addCall(a arc) {
	class, from, to := dissect(a.text())
	if class == Impossible {
		return
	}
	if class == Unusual {
		a.doubt |= unusual
		a.cost += costUnusual
		if a.doubt&dictated != 0 && digitPair.Match(a.buf[from:to]) {
			a.cost += costFarFetched // rather the digits of a grid
		}
	}
	a.kind = callArc
	l.add(a)
}

// digitPair is two digits side by side, digitsTwice digits in two places behind a prefix.
var digitPair, digitsTwice = regexp.MustCompile(`\d\d`), regexp.MustCompile(`\D\d.*\D\d`)

// gain returns how much likelier a call is for what is known of the pass.
func (l *lattice) gain(call string) int16 {
	same := func(s Station) bool { return s.Call.s == call }
	switch {
	case slices.ContainsFunc(l.known.Heard, same):
		return gainHeard
	case slices.ContainsFunc(l.known.Expected, same):
		return gainExpected
	}
	return 0
}

// addGrid adds an arc for a grid if its text is one. A typed one may be a bird's name
// as well, where nothing is known of the pass.
func (l *lattice) addGrid(a arc) {
	g, ok := makeGrid(a.text())
	if !ok || a.n < 4 || l.numberSense(int(a.from)) == numbered && a.to == a.from+1 {
		return // no grid, or a cable's number
	}
	a.kind = gridArc
	a.cost += l.outOfReach(g)
	if l.known.Reachable == nil && a.to == a.from+1 && slices.Contains(l.birds, l.words[a.from].s) {
		a.doubt |= eitherWay
	}
	l.add(a)
}

func (l *lattice) outOfReach(g Grid) int16 {
	if l.known.Reachable != nil && !l.known.Reachable(g) {
		return costUnreachable
	}
	return 0
}

// addTyped adds what the word at i and those tied to it by strokes can be as
// they are typed.
func (l *lattice) addTyped(i int) {
	if l.words[i].shape&hasWild != 0 {
		l.addPartial(i)
		return
	}
	a := arc{from: int16(i)}
	for j := i; j < len(l.words) && j < i+4; j++ {
		w := &l.words[j]
		if j > i && !w.gap.ties() || !a.append(w.s, j > i) {
			break
		}
		a.to = int16(j + 1)
		if w.shape&allAlien != 0 {
			a.doubt |= mended
			a.cost++
		}
		l.addWhole(a)
	}
	l.addSuffix(i)
	if !l.addTail(i) {
		l.addBadGrid(i)
	}
}

// append adds a word to the symbols of an arc, false if there is no room.
func (a *arc) append(s string, afterStroke bool) bool {
	if int(a.n)+len(s)+1 > len(a.buf) {
		return false
	}
	if afterStroke {
		a.buf[a.n] = '/'
		a.n++
	}
	for i := range len(s) {
		a.buf[a.n] = upperByte(s[i])
		a.n++
	}
	return true
}

// addWhole adds the readings of a typed text without spaces, each weighed against
// simpler explanations.
func (l *lattice) addWhole(a arc) {
	s := string(a.buf[:a.n])
	t := &l.words[a.from]
	one := a.to == a.from+1
	if one && letterShape(t.s) != hasLetter|hasDigit {
		return
	}
	call := a
	class, from, to := dissect(s)
	_, isGrid := makeGrid(s[from:to])
	switch {
	case one && t.means&small != 0:
		call.cost += costEveryday
	case class == Unusual && (isGrid || one && len(s) > 7 && digitsTwice.MatchString(s)):
		call.cost += costFarFetched
	}
	l.addCall(call)
	if one {
		l.addGrid(a)
	}
	for k := 3; k+3 <= len(s); k++ {
		l.addGlued(a, s[:k], s[k:], callGrid)
		l.addGlued(a, s[:k], s[k:], gridCall)
	}
}

// addGlued adds a call and a grid typed in one.
func (l *lattice) addGlued(a arc, left, right string, k kind) {
	call, grid := left, right
	if k == gridCall {
		call, grid = right, left
	}
	g, ok := makeGrid(grid)
	if !ok || len(grid) < 4 {
		return
	}
	switch callClass(call) {
	case Impossible:
		return
	case Unusual:
		a.doubt |= unusual
		if a.cost += costUnusual; len(call) > 7 && digitsTwice.MatchString(call) {
			a.cost += costFarFetched
		}
	}
	if meaningOf(strings.ToLower(call))&small != 0 {
		a.doubt |= eitherWay
	}
	a.kind, a.split = k, uint8(len(left))
	a.cost += l.outOfReach(g) - l.gain(call)
	l.add(a)
}

// isPair reports whether a word is two digits, as at the end of a square.
func (t *token) isPair() bool { return t.shape == hasDigit && len(t.s) == 2 }

// addTail adds the digits of a second grid that shares the letters of the one
// before: "jo31/32", "jo31 41". It reports whether they can be.
func (l *lattice) addTail(i int) bool {
	t := &l.words[i]
	if i == 0 || !t.isPair() || t.gap&(stop|strong) != 0 || l.measures(i) {
		return false
	}
	before := i - 1
	for before > 0 && l.words[before].isPair() && l.words[before].gap&(slash|plus|amp) != 0 {
		before--
	}
	corner := l.cornerAround(i)
	if corner >= 0 {
		before = corner
	}
	first, ok := l.endsInGrid(before)
	if !ok {
		return false
	}
	g := first
	copy(g.c[2:], t.s)
	a := arc{from: int16(i), to: int16(i + 1), kind: tailArc, cost: l.outOfReach(g)}
	a.append(g.String(), false)
	if corner < 0 {
		dx, dy := first.apart(g)
		tied := t.gap.ties() || t.gap&(plus|amp) != 0
		if dx+dy == 0 || !tied && (dx+dy > 1 || before < i-1 || t.means != 0 || t.s == "59") || t.s == "59" && !t.gap.ties() {
			return false // a greeting, a report
		}
		if !tied && t.s[0] == '5' {
			a.doubt |= eitherWay
		}
	}
	l.add(a)
	return true
}

// endsInGrid returns the square that word i is or ends in.
func (l *lattice) endsInGrid(i int) (Grid, bool) {
	w := l.words[i].s
	if len(w) < 4 {
		return Grid{}, false
	}
	return makeGrid(upper(w[len(w)-4:]))
}

// cornerAround returns the word of the grid with which word i and two others
// make a corner: "jo43 44 53 54", "jo43/44/53/54"; -1 if there is none.
func (l *lattice) cornerAround(i int) int {
	for at := i - 1; at >= max(0, i-3); at-- {
		first, ok := l.endsInGrid(at)
		all := [...]Grid{first, first, first, first}
		for k := 1; ok && k < len(all); k++ {
			if ok = at+k < len(l.words) && l.words[at+k].isPair(); ok {
				copy(all[k].c[2:], l.words[at+k].s)
			}
		}
		if ok && CheckGrids(all[:]) == nil {
			return at
		}
	}
	return -1
}

// unreadRun is what stands for any number of characters that were not read.
var unreadRun = regexp.MustCompile(`\.+|\*`)

// addPartial adds a word with unread characters as a part of a call or grid: a pattern
// with slip.Any for one of them, slip.Some for any number.
func (l *lattice) addPartial(i int) {
	a := arc{from: int16(i), to: int16(i + 1), cost: 1, kind: partCall}
	p := strings.ReplaceAll(unreadRun.ReplaceAllString(upper(l.words[i].s), string(slip.Some)), "_", string(slip.Any))
	read := known(p)
	if read == 0 || !a.append(p, false) {
		return
	}
	if gridPattern(p) {
		b := a
		b.kind, b.cost = partGrid, 0
		l.add(b)
	}
	if read <= maxBase && (read > 5 || read > 1 && !isDigit(p[len(p)-1])) {
		l.add(a)
	}
}

// known counts the characters of a pattern that were read.
func known(p string) int {
	n := 0
	for i := range len(p) {
		if isLetter(p[i]) || isDigit(p[i]) {
			n++
		}
	}
	return n
}

// gridPattern reports whether a pattern can stand for a grid of which at least two
// characters were read.
func gridPattern(p string) bool {
	for i := range len(p) {
		if p[i] == slip.Some {
			return i == len(p)-1
		}
		if i > 5 || p[i] != slip.Any && !gridChar(p[i], i) {
			return false
		}
	}
	return len(p)%2 == 0
}

// addBadGrid adds a word that is nearly a grid: a digit too few or too many, a
// letter out of range or for a digit; or two digits alone.
func (l *lattice) addBadGrid(i int) {
	t := &l.words[i]
	if t.means != 0 || l.tied(i) || l.measures(i) || isMeasure(t.s) {
		return
	}
	a := arc{from: int16(i), to: int16(i + 1), kind: badGrid, cost: costBad, doubt: mended}
	switch {
	case t.isPair():
		a.kind, a.cost, a.doubt = partGrid, costUnknown, 0
		if l.afterLetters(i) || l.grids > 0 && isReport(t.s) {
			a.cost = costFarFetched
		}
	case !nearGrid(t.s):
		return
	}
	a.append(t.s, false)
	l.add(a)
}

// tied reports whether a stroke ties word i to another.
func (l *lattice) tied(i int) bool {
	return i > 0 && l.words[i].gap.ties() || i+1 < len(l.words) && l.words[i+1].gap.ties()
}

// afterLetters reports whether the word before i can be letters of a call or
// grid, to which digits at i would belong: not an announced name, nor one by itself on a
// line with a typed grid.
func (l *lattice) afterLetters(i int) bool {
	if i == 0 || l.tied(i-1) || l.isWord(i-2, namer) || l.isWord(i-2, be) && l.isWord(i-3, namer) ||
		l.grids > 0 && l.isWord(i-1, name) && !l.says(i-2, i-1) || reportOf(l.words[i-1].s) != "" ||
		l.isWord(i-1, filler) && !l.besideSingle(i-1) {
		return false
	}
	for _, p := range l.piecesOf(i - 1) {
		if p.syms != "" && isLetter(upperByte(p.syms[0])) && (p.kind == typedPiece || plainPiece <= p.kind && p.kind <= loosePiece) {
			return true
		}
	}
	return false
}

// nearGridForm is what is one slip from a grid of four characters: a character
// missing, another one, one too many.
var nearGridForm = regexp.MustCompile(`^(?:[a-z]\d{2,3}|0[a-z]\d\d|[a-z]{2}\d[a-z]?|[a-z]{2}\d\d|[a-z]{3}\d\d?|[a-z]{2}\d{3}|[a-z]{2}\d\d[a-z])$`)

// nearGrid reports whether a word, in lower case, is one slip from a grid.
func nearGrid(s string) bool {
	return len(s) > 2 && len(s) < 6 && !isSquare(s) && nearGridForm.MatchString(s)
}
