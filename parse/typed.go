package parse

import "strings"

// callClass classifies a call with place and marks, in upper case.
func callClass(s string) Class {
	class, _, _ := dissect(s)
	return class
}

// addCall adds an arc for a call if its text is one.
func (l *lattice) addCall(a arc) {
	class, from, to := dissect(string(a.buf[:a.n]))
	if class == Impossible {
		return
	}
	if class == Unusual {
		a.doubt |= unusual
		a.cost += costUnusual
		if a.doubt&dictated != 0 && digitPairs(a.buf[from:to]) {
			a.cost += costFarFetched // rather the digits of a grid
		}
	}
	a.kind = callArc
	a.cost -= l.gain(string(a.buf[:a.n]))
	l.add(a)
}

// digitPairs reports whether two digits stand together.
func digitPairs(s []byte) bool {
	for i := 1; i < len(s); i++ {
		if isDigit(s[i-1]) && isDigit(s[i]) {
			return true
		}
	}
	return false
}

// gain returns how much likelier a call is for what is known of the pass.
func (l *lattice) gain(call string) int16 {
	for i := range l.known.Heard {
		if l.known.Heard[i].Call.s == call {
			return gainHeard
		}
	}
	for i := range l.known.Expected {
		if l.known.Expected[i].Call.s == call {
			return gainExpected
		}
	}
	return 0
}

// addGrid adds an arc for a grid if its text is one.
func (l *lattice) addGrid(a arc) {
	g, ok := makeGrid(string(a.buf[:a.n]))
	if !ok || a.n < 4 {
		return
	}
	a.kind = gridArc
	a.cost += l.outOfReach(g)
	if l.known.Reachable == nil && a.to == a.from+1 && l.namesBird(int(a.from)) {
		a.doubt |= eitherWay
	}
	l.add(a)
}

// namesBird reports whether word i is a bird's name as well.
func (l *lattice) namesBird(i int) bool {
	for _, bird := range l.known.Birds {
		if n, _ := l.sameName(i, bird); n == 1 {
			return true
		}
	}
	return false
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
	t := &l.words[i]
	if t.shape&(foreign|clockLike) != 0 || len(t.s) > len(arc{}.buf) {
		return
	}
	if t.shape&hasWild != 0 {
		l.addPartial(i)
		return
	}
	a := arc{from: int16(i)}
	for j := i; j < len(l.words) && j < i+4; j++ {
		w := &l.words[j]
		if j > i && !w.gap.ties() || w.shape&(hasWild|foreign|clockLike) != 0 {
			break
		}
		if !a.append(w.s, j > i) {
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

// addWhole adds the readings of a typed text without spaces.
func (l *lattice) addWhole(a arc) {
	s := string(a.buf[:a.n])
	shapes := letterShape(l.words[a.from].s)
	if a.to == a.from+1 {
		if shapes != hasLetter|hasDigit {
			return
		}
		l.addGrid(a)
		l.addZeroField(a)
	}
	if call := a; l.plausible(&call, s) {
		if l.goesOn(int(a.to)) {
			call.cost += l.gain(s) // what was heard on this pass is not likelier for a part of what was typed
		}
		l.addCall(call)
	}
	for k := 3; k+3 <= len(s); k++ {
		l.addGlued(a, s[:k], s[k:], callGrid)
		l.addGlued(a, s[:k], s[k:], gridCall)
	}
}

// goesOn reports whether a stroke ties what may be a mark to the word before i.
func (l *lattice) goesOn(i int) bool {
	return i < len(l.words) && l.words[i].gap.ties() && len(l.words[i].s) < 4
}

// addZeroField adds a grid whose field was typed with 0, most likely for O. The
// key of P stands beside it as well, so that it is never certain.
func (l *lattice) addZeroField(a arc) {
	if a.buf[0] != '0' && a.buf[1] != '0' || a.n < 4 {
		return
	}
	for i := range 2 {
		if a.buf[i] == '0' {
			a.buf[i] = 'O'
		}
	}
	a.cost++
	if !l.onlyO(a) {
		a.doubt |= mended
	}
	l.addGrid(a)
}

// onlyO reports whether the bird can serve a grid that was typed with 0 for O, and
// none of those with P instead.
func (l *lattice) onlyO(a arc) bool {
	if l.known.Reachable == nil {
		return false
	}
	g, ok := makeGrid(string(a.buf[:a.n]))
	if !ok || l.outOfReach(g) > 0 {
		return false
	}
	for i := range 2 {
		if l.words[a.from].s[i] == '0' {
			a.buf[i] = 'P'
		}
	}
	g, ok = makeGrid(string(a.buf[:a.n]))
	return !ok || l.outOfReach(g) > 0
}

// plausible weighs a typed text as a call against simpler explanations.
func (l *lattice) plausible(a *arc, s string) bool {
	class, from, to := dissect(s)
	if class == Impossible {
		return false
	}
	one := a.to == a.from+1
	_, isGrid := makeGrid(s[from:to])
	switch {
	case one && l.words[a.from].means&small != 0:
		a.cost += costEveryday
	case class == Unusual && (isGrid || one && len(s) > 7 && digitInside(s)):
		a.cost += costFarFetched
	}
	return true
}

// digitInside reports whether digits stand in two places.
func digitInside(s string) bool {
	runs := 0
	for i := 1; i < len(s); i++ {
		if isDigit(s[i]) && !isDigit(s[i-1]) {
			runs++
		}
	}
	return runs > 1
}

// addGlued adds a call and a grid typed in one.
func (l *lattice) addGlued(a arc, left, right string, k kind) {
	call, grid := left, right
	if k == gridCall {
		call, grid = right, left
	}
	if len(grid) < 4 {
		return
	}
	g, ok := makeGrid(grid)
	if !ok {
		return
	}
	switch callClass(call) {
	case Impossible:
		return
	case Unusual:
		a.doubt |= unusual
		if a.cost += costUnusual; len(call) > 7 && digitInside(call) {
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

// addTail adds the digits of a second grid that shares the letters of the one
// before: "jo31/32", "jo31 41". It reports whether they can be.
func (l *lattice) addTail(i int) bool {
	t := &l.words[i]
	if i == 0 || t.shape != hasDigit || len(t.s) != 2 || t.gap&(stop|strong) != 0 || l.measures(i) {
		return false
	}
	before := i - 1
	if c := l.cornerAround(i); c >= 0 {
		g, _ := l.endsInGrid(c)
		copy(g.c[2:], t.s)
		a := arc{from: int16(i), to: int16(i + 1), kind: tailArc, cost: l.outOfReach(g)}
		a.append(g.String(), false)
		l.add(a)
		return true
	}
	for before > 0 && l.words[before].shape == hasDigit && len(l.words[before].s) == 2 && l.words[before].gap&(slash|plus|amp) != 0 {
		before--
	}
	first, ok := l.endsInGrid(before)
	if !ok {
		return false
	}
	g := first
	copy(g.c[2:], t.s)
	dx, dy := first.apart(g)
	tied := t.gap.ties() || t.gap&(plus|amp) != 0
	if !tied && (t.means != 0 || t.s == "59") || !t.gap.ties() && t.s[0] == '5' && (dx+dy > 1 || t.s == "59") {
		return false // a greeting, a report
	}
	if dx+dy == 0 || !tied && dx+dy > 1 || !tied && before < i-1 {
		return false
	}
	a := arc{from: int16(i), to: int16(i + 1), kind: tailArc, cost: l.outOfReach(g)}
	if a.append(g.String(), false); !tied && t.s[0] == '5' {
		a.doubt |= eitherWay
	}
	l.add(a)
	return true
}

// endsInGrid returns the square that word i is or ends in.
func (l *script) endsInGrid(i int) (Grid, bool) {
	w := l.words[i].s
	if len(w) < 4 {
		return Grid{}, false
	}
	return makeGrid(upper(w[len(w)-4:]))
}

// cornerAround returns the word of the grid with which word i and two others
// make a corner: "jo43 44 53 54", "jo43/44/53/54"; -1 if there is none.
func (l *script) cornerAround(i int) int {
	for at := i - 1; at >= 0 && at >= i-3; at-- {
		if l.isCorner(at) {
			return at
		}
	}
	return -1
}

// isCorner reports whether the three words after the square at word i are the
// digits of its neighbours round a corner, and nothing else can be meant.
func (l *script) isCorner(i int) bool {
	if i+3 >= len(l.words) {
		return false
	}
	for _, t := range l.words[i+1 : i+4] {
		if t.shape != hasDigit || len(t.s) != 2 || t.gap&^(space|slash|plus|amp|comma|hyphen) != 0 {
			return false
		}
	}
	first, ok := l.endsInGrid(i)
	all := [...]Grid{first, first, first, first}
	for k := 1; k < len(all); k++ {
		copy(all[k].c[2:], l.words[i+k].s)
	}
	return ok && CheckGrids(all[:]) == nil
}

// addPartial adds a word with unread characters as a part of a call or grid.
func (l *lattice) addPartial(i int) {
	a := arc{from: int16(i), to: int16(i + 1)}
	a.n = uint8(copyPattern(a.buf[:], l.words[i].s))
	p := string(a.buf[:a.n])
	if known(p) == 0 {
		return
	}
	if gridPattern(p) {
		b := a
		b.kind = partGrid
		l.add(b)
	}
	if callPattern(p) {
		a.kind, a.cost = partCall, 1
		l.add(a)
	}
}

// copyPattern writes a word with unread characters as a pattern: anyChar for
// one of them, someChar for any number.
func copyPattern(b []byte, s string) int {
	n := 0
	for i := 0; i < len(s) && n < len(b); {
		c := upperByte(s[i])
		switch d := dots(s, i); {
		case d > 0:
			c = someChar
			i += d
		case c == '*':
			c = someChar
			i++
		case c == '_':
			c = anyChar
			i++
		default:
			i++
		}
		b[n] = c
		n++
	}
	return n
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

// gridPattern reports whether a pattern can stand for a grid of four or six
// characters of which at least two were read.
func gridPattern(p string) bool {
	if len(p) > 6 || known(p) < 2 || len(p)%2 != 0 && p[len(p)-1] != someChar {
		return false
	}
	for i := range len(p) {
		if p[i] == someChar {
			return i == len(p)-1
		}
		if p[i] != anyChar && !gridChar(p[i], i) {
			return false
		}
	}
	return true
}

// callPattern reports whether a pattern can stand for a call: it would be one
// with some letter or digit for what was not read.
func callPattern(p string) bool {
	if known(p) < 2 || known(p) > maxBase {
		return false
	}
	last := p[len(p)-1]
	return !isDigit(last) || known(p) > 5
}

// addBadGrid adds a word that is nearly a grid: a digit too few or too many, a
// letter out of range or for a digit; or two digits alone.
func (l *lattice) addBadGrid(i int) {
	t := &l.words[i]
	if t.means != 0 || t.spells.trust != unspelled || l.tied(i) || l.measures(i) || isMeasure(t.s) {
		return
	}
	a := arc{from: int16(i), to: int16(i + 1), kind: badGrid, cost: costBad, doubt: mended}
	switch {
	case t.shape == hasDigit && len(t.s) == 2:
		a.kind, a.cost, a.doubt = partGrid, costUnknown, 0
		if l.afterLetters(i) || l.gridded && isReport(t.s) {
			a.cost = costFarFetched
		}
	case t.shape&^hasAlien != hasLetter|hasDigit || !nearGrid(t.s):
		return
	}
	a.append(t.s, false)
	l.add(a)
}

// tied reports whether a stroke ties word i to another.
func (l *script) tied(i int) bool {
	return i > 0 && l.words[i].gap.ties() || i+1 < len(l.words) && l.words[i+1].gap.ties()
}

// afterLetters reports whether the word before i can be letters of a call or
// grid, to which digits at i would belong.
func (l *lattice) afterLetters(i int) bool {
	if i == 0 || l.tied(i-1) || l.isNamed(i-1) && isReport(l.words[i].s) {
		return false
	}
	for _, p := range l.piecesOf(i - 1) {
		if p.syms != "" && isLetter(upperByte(p.syms[0])) && (p.kind == typedPiece || plainPiece <= p.kind && p.kind <= loosePiece) {
			return true
		}
	}
	return false
}

// isNamed reports whether word i is a name right behind a grid, or announced.
func (l *lattice) isNamed(i int) bool {
	return i > 1 && l.words[i].means&name != 0 && (l.isWholeGrid(i-1) && callClass(upper(l.words[i-2].s)) != Impossible || l.words[i-1].means&namer != 0)
}

// nearGrid reports whether a word, in lower case, is one slip from a grid of
// four characters.
func nearGrid(s string) bool {
	letters := 0
	for letters < len(s) && 'a' <= s[letters] && s[letters] <= 'z' {
		letters++
	}
	rest := digitsAt(s, letters)
	if _, ok := makeGrid(upper(s)); ok {
		return false
	}
	switch len(s) {
	case 3:
		return letters == 2 && rest == 1 || letters == 1 && rest == 2
	case 4:
		// letters out of range, or o, i, p, … for a digit
		return letters == 2 && rest == 2 || letters == 3 && rest == 1 || letters == 2 && rest == 1
	case 5:
		return letters == 2 && rest == 3 || letters == 3 && rest == 2 || letters == 2 && rest == 2
	}
	return false
}
