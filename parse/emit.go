package parse

// emit adds an arc for what stands in the buffer, if it is a whole item that
// is not read elsewhere as one typed word.
func (s *speller) emit(end int) {
	if s.times > 0 || s.last == dropPiece || s.doubt&(joined|dictated|mended) == 0 {
		return
	}
	a := arc{from: int16(s.from), to: int16(end), kind: callArc, cost: s.cost, doubt: s.doubt, n: uint8(s.n), buf: s.buf}
	if s.doubt&dictated == 0 && s.long {
		a.cost += costFarFetched // "mp3 file", "kd 9 exam"
		a.doubt |= mended
	}
	if s.doubt&dictated != 0 && (s.wordy || s.weak && !s.plain) || s.drops > 0 && !s.plain {
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
	s.l.addCall(a)
}

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
	digits := t.shape == hasDigit && len(t.s) == 2 && (isReport(t.s) || t.means&small != 0)
	switch {
	case digits && t.gap&pause != 0, s.n == 8 && digits && (t.s == "59" || t.means&small != 0):
		return costFarFetched
	case s.n == 8 && isReport(string(s.buf[6:8])):
		return costWeak
	}
	return 0
}
