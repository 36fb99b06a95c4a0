package parse

import "strings"

// addSpokenClock adds a time in spoken figures that begins at word i: "at
// seventeen forty two", "minute oh five", "one seven four two zulu". Without a
// word that announces it, one must close it.
func (l *lattice) addSpokenClock(i int) {
	a := arc{from: int16(i), kind: clockArc}
	led := l.words[i].speech.role == atWord
	if led {
		i++
	}
	to, said := l.spokenFigures(&a, i)
	closed := to < len(l.words) && l.words[to].gap == space && l.words[to].speech.role == utcWord
	if closed {
		to++
	}
	if !said || !led && (!closed || a.n != 4) || closed && l.words[to-1].spells.trust == plain && l.says(to, to-1) {
		return
	}
	a.to = int16(to)
	if l.clock(&a).IsSet() {
		l.add(a)
	}
}

// spokenFigures writes the figures from word i on to a, four at most, and
// reports where they end and whether any of them was spoken.
func (l *lattice) spokenFigures(a *arc, i int) (to int, said bool) {
	for ; i < len(l.words) && a.n < 4; i++ {
		t := &l.words[i]
		if a.n > 0 && t.gap&^(space|hyphen) != 0 {
			break
		}
		syms := t.spells.syms
		switch {
		case t.shape == hasDigit && len(t.s) <= 4:
			syms = t.s
		case t.speech.role == hundredWord && a.n == 2:
			syms, said = t.speech.syms, true
		case t.spells.or == "0":
			syms, said = "0", true
		case t.spells.trust >= loose && !t.spells.filler && isDigit(syms[0]):
			syms, i = l.spokenNumber(i)
			i, said = i-1, true
		default:
			return i, said
		}
		if int(a.n)+len(syms) > 4 {
			return i, false
		}
		a.n += uint8(copy(a.buf[a.n:], syms))
	}
	return i, said
}

// dotted reports whether word i is a time with a point, "14.23", if it stands before a call
// or where a word announces it: anywhere else it is a number like others.
func (l *script) dotted(i int) bool {
	s := l.words[i].s
	_, ok := clockOf(s + "z")
	return ok && strings.Contains(s, ".")
}
