package parse

import "strconv"

// addSpokenClock adds a time in spoken figures that begins at word i: "at
// seventeen forty two", "minute oh five", "one seven four two zulu". Without a
// word that announces it, one must close it.
func (l *lattice) addSpokenClock(i int) {
	t := &l.words[i]
	led := t.speech.role == atWord
	from := i
	if led {
		from++
	}
	a := arc{from: int16(i), kind: clockArc}
	to, said := l.spokenFigures(&a, from)
	if !said || a.n != 2 && a.n != 4 {
		return
	}
	closed := to < len(l.words) && l.words[to].gap == space && l.words[to].speech.role == utcWord
	if closed {
		to++
	}
	if !led && (!closed || a.n != 4) || closed && to < len(l.words) && l.words[to-1].spells.trust == plain && l.says(to, to-1) {
		return
	}
	hour := -1
	if a.n == 4 {
		hour = atoi(string(a.buf[:2]))
	}
	if _, ok := makeClock(hour, atoi(string(a.buf[a.n-2:a.n]))); ok {
		a.to = int16(to)
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
			said = true
			if isTens(syms) {
				if f, to := l.unitAfter(i); f > 0 {
					syms = syms[:1] + strconv.Itoa(f)
					i = to - 1
					break
				}
			}
			i += int(t.phrase) - 1
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

// dottedTime reports whether word i is a time with a point, at the start of the
// line: anywhere else it is a number like others.
func (l *lattice) dottedTime(i int) bool {
	return i == 0 && len(l.words) > 1 && l.dotted(i) && l.words[1].shape == hasLetter|hasDigit && l.words[1].means == 0 && l.words[1].gap&^(space|comma|hyphen) == 0
}

// dotted reports whether word i is a time with a point: "14.23".
func (l *lattice) dotted(i int) bool {
	s := l.words[i].s
	if len(s) != 5 || s[2] != '.' || digitsAt(s, 0) != 2 || digitsAt(s, 3) != 2 {
		return false
	}
	_, ok := makeClock(atoi(s[:2]), atoi(s[3:]))
	return ok
}
