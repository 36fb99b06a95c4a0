package parse

import "slices"

// emit adds an arc for what stands in the buffer, if it is a whole item that
// is not read elsewhere as one typed word.
func (s *speller) emit(end int) {
	if s.times > 0 || s.doubt&(joined|dictated|mended) == 0 {
		return
	}
	a := arc{from: int16(s.from), to: int16(end), kind: callArc, cost: s.cost, doubt: s.doubt, n: uint8(s.n), buf: s.buf}
	spoken := s.doubt&dictated != 0
	switch {
	case !spoken && s.long:
		a.cost += costFarFetched // "mp3 file", "kd 9 exam"
		a.doubt |= mended
	case spoken && (s.wordy || s.weak && !s.plain):
		a.cost += costWeak // words that rather mean something else
		a.doubt |= mended
	}
	if s.grid {
		if spoken {
			a.cost += s.endsInReport(end)
		}
		if s.n == 4 || !s.typed {
			s.l.addGrid(a)
		}
		return
	}
	if s.twice && callClass(a.text()) == Unusual {
		a.cost += costUnusual // "two for" may be both digits: never far-fetched
		a.doubt |= unusual
		s.l.add(a)
		return
	}
	a.cost -= s.l.gain(a.text())
	if s.l.isDoubled(s.from, end) {
		a.cost -= costJoint
	}
	s.l.addCall(a)
}

// isDoubled reports whether the words from, …, to-1 are said again right before or
// behind, as calls often are.
func (l *script) isDoubled(from, to int) bool {
	n := to - from
	alike := func(a, b int) bool {
		return a >= 0 && b+n <= len(l.words) && slices.EqualFunc(l.words[a:a+n], l.words[b:b+n], func(s, t token) bool { return s.s == t.s })
	}
	return alike(from, to) || alike(from-n, from)
}

// endsInReport weighs the digits at the end of a spoken grid as a report or a
// greeting instead: those of a fourth pair, or after a pause that stands only there, or
// that others stand before.
func (s *speller) endsInReport(end int) int16 {
	t := &s.l.words[end-1]
	typed := t.shape == hasDigit && len(t.s) == 2
	last := string(s.buf[max(0, s.n-2):s.n])
	greets := isReport(last) && (last[0] == '5' || s.n == 8) || isGreeting(last) || typed && t.means&small != 0
	switch {
	case greets && typed && (t.gap&pause != 0 && s.l.words[end-2].gap&pause == 0 || s.n == 8),
		greets && s.dropped && s.l.words[end-2].gap&pause != 0:
		return costFarFetched
	case greets && s.n == 8:
		return costWeak
	}
	return 0
}

// isGreeting reports whether figures are a greeting.
func isGreeting(s string) bool { return s == "73" || s == "88" }

// addAside adds the words from i on that carry nothing: an aside, a pause that is
// filled; behind a grid or an aside also a farewell, in figures too.
func (l *lattice) addAside(i int) {
	sp := l.words[i].speech
	end := i + int(sp.words)
	switch sp.role {
	case joinerWord, humWord, thanksWord, asideWord:
		l.side(i, end-i, asideArc, 0)
		return
	case farewellWord:
	default:
		a := arc{from: int16(i)}
		if end, _ = l.spokenFigures(&a, i); !isGreeting(a.text()) {
			return
		}
	}
	for k := len(l.arcs) - 1; k >= 0 && int(l.arcs[k].from) > i-maxGridWords; k-- {
		if b := &l.arcs[k]; int(b.to) == i && (b.kind == gridArc || b.kind == asideArc) {
			l.side(i, end-i, asideArc, 0)
			return
		}
	}
}

// maxGridWords is how many words a spelled grid is sought in, before a greeting.
const maxGridWords = 10
