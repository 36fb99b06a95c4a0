package parse

// emit adds an arc for what stands in the buffer, if it is a whole item that
// is not read elsewhere as one typed word.
func (s *speller) emit(end int) {
	if s.times > 0 || s.doubt&(joined|dictated|mended) == 0 {
		return
	}
	a := arc{from: int16(s.from), to: int16(end), kind: callArc, cost: s.cost, doubt: s.doubt, n: uint8(s.n), buf: s.buf}
	if s.pauses > 1 && s.pauses == s.count-1 {
		a.cost -= costJoint // all symbols stand between commas
	}
	if s.doubt&dictated == 0 && s.long {
		a.cost += costFarFetched // "mp3 file", "kd 9 exam"
		a.doubt |= mended
	}
	if s.doubt&dictated != 0 && (s.wordy || s.weak && !s.plain) || s.drops && !s.plain {
		a.doubt |= mended // words that rather mean something else
		a.cost += costWeak
	}
	if s.grid {
		a.kind = gridArc
		if s.doubt&dictated != 0 {
			a.cost += s.endsInReport(end)
			if s.n == 4 && s.l.farFromBefore(s.from, string(s.buf[:4])) {
				a.cost += costFarFetched // rather the third pair of the one before, and a report
			}
		}
		if s.n >= 4 && s.n%2 == 0 && (s.n == 4 || !s.typed) {
			s.l.addGrid(a)
		}
		return
	}
	if s.n > 1 && isDigit(s.buf[s.n-2]) && s.buf[s.n-1] == 'O' && s.l.words[end-1].spells.or != "" {
		a.cost += costFarFetched // "six oh" is sixty
	}
	if s.endsGrid() {
		a.cost += costFarFetched
	}
	if a.cost -= s.l.repeats(&a); s.twice && callClass(a.text()) == Unusual {
		a.cost += costUnusual // "two for" may be both digits: never far-fetched
		a.doubt |= unusual
		s.l.add(a)
		return
	}
	s.l.addCall(a)
}

// endsGrid reports whether a spelled call is rather the end of a grid that begins
// with the letter before it: "hotel papa nine four kilo bravo".
func (s *speller) endsGrid() bool {
	if s.from == 0 || s.n < 4 || s.l.words[s.from].gap&pause != 0 {
		return false
	}
	before := s.l.words[s.from-1].spells
	return before.trust >= loose && len(before.syms) == 1 && gridRun([]byte{before.syms[0], s.buf[0], s.buf[1], s.buf[2]}) == 4
}

// repeats returns how much likelier a spelled call is for being a repetition of
// the one that ends where it begins.
func (l *lattice) repeats(a *arc) int16 {
	for _, k := range l.spelledBefore {
		if b := &l.arcs[k]; b.n == a.n && b.buf == a.buf {
			return gainHeard
		}
	}
	return 0
}

// findSpelledBefore finds the spelled calls that end at word i, or before the
// asides that end there.
func (l *lattice) findSpelledBefore(i int) {
	l.spelledBefore = l.spelledBefore[:0]
	end := i
	for k := len(l.arcs) - 1; k >= 0 && k > len(l.arcs)-mostArcsBack; k-- {
		switch a := &l.arcs[k]; {
		case int(a.to) == end && a.kind == asideArc:
			end = int(a.from)
		case int(a.to) == end && a.kind == callArc && a.doubt&dictated != 0:
			l.spelledBefore = append(l.spelledBefore, k)
		}
	}
}

// mostArcsBack is among how many arcs a call that is repeated is sought.
const mostArcsBack = 400

// farFromBefore reports whether a square that begins at word i follows another
// spoken one and is no neighbour of it.
func (l *lattice) farFromBefore(i int, square string) bool {
	var b [4]byte
	n := len(b)
	for j := i - 1; j >= 0 && n > 0; j-- {
		t := &l.words[j]
		syms := t.spells.syms
		if t.shape == hasDigit {
			syms = t.s
		} else if t.spells.trust < loose || t.phrase > 1 {
			return false
		}
		if len(syms) == 0 || len(syms) > n {
			return false
		}
		n -= len(syms)
		copy(b[n:], syms)
	}
	before, ok := makeGrid(string(b[:]))
	g, _ := makeGrid(square)
	if n > 0 || !ok {
		return false
	}
	dx, dy := before.apart(g)
	return max(dx, dy) > 1
}

// endsInReport weighs the digits at the end of a spoken grid as a report or a
// greeting instead: those of a fourth pair, or after a pause.
func (s *speller) endsInReport(end int) int16 {
	t := &s.l.words[end-1]
	typed := t.shape == hasDigit && len(t.s) == 2
	last := string(s.buf[s.n-min(2, s.n) : s.n])
	greets := isReport(last) || isGreeting(last)
	switch {
	case s.pauses > 1 && s.pauses == s.count-1: // all symbols stand between commas
		return 0
	case typed && t.gap&pause != 0 && (greets || t.means&small != 0), s.n == 8 && typed && (last == "59" || t.means&small != 0), s.n == 8 && greets && s.rest == 6:
		return costFarFetched
	case s.n == 8 && greets:
		return costWeak
	}
	return 0
}

// isGreeting reports whether figures are a greeting.
func isGreeting(s string) bool { return s == "73" || s == "88" }

// addAside adds the words from i on that carry nothing: an aside, a pause that is
// filled; behind a grid, a report or an aside also a farewell, in figures too.
func (l *lattice) addAside(i int) {
	sp := l.words[i].speech
	end := i + int(sp.words)
	switch sp.role {
	case joinerWord, humWord, thanksWord, asideWord:
		if sp.role != joinerWord || !l.joins(i) {
			l.side(i, end-i, asideArc, 0)
		}
		return
	case farewellWord:
	default:
		a := arc{from: int16(i)}
		said := false
		if end, said = l.spokenFigures(&a, i); !said || !isGreeting(a.text()) {
			return
		}
	}
	for k := len(l.arcs) - 1; k >= 0 && int(l.arcs[k].from) > i-maxGridWords; k-- {
		if b := &l.arcs[k]; int(b.to) == i && (b.kind == gridArc || b.kind == reportArc || b.kind == asideArc) {
			l.side(i, end-i, asideArc, 0)
			return
		}
	}
}

// maxGridWords is how many words a spelled grid is sought in, before a greeting.
const maxGridWords = 10
