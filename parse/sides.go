package parse

import (
	"strings"
	"time"
)

// addSides adds what may stand beside call and grid.
func (l *lattice) addSides(i int) {
	l.addBird(i)
	l.addReport(i)
	l.addClock(i)
	l.addSpokenClock(i)
	l.addName(i)
	l.addDate(i)
	if t := &l.words[i]; l.known.Linear && t.means&modeword != 0 {
		l.add(arc{from: int16(i), to: int16(i + 1), kind: modeArc})
	}
}

// side adds an arc of n words from i on.
func (l *lattice) side(i, n int, k kind, cost int16) {
	l.add(arc{from: int16(i), to: int16(i + n), kind: k, cost: cost})
}

// addBird adds the name of a bird that begins at word i. One that is shaped
// like a grid counts only with its hyphen or alone on its line.
func (l *lattice) addBird(i int) {
	for b, bird := range l.known.Birds {
		n, whole := l.sameName(i, bird)
		named := l.gridded && i > 0 && l.words[i].gap == space && l.isWord(i-1, onBird) && l.otherGrid(i)
		if n == 0 || l.gridShaped(i, n) && !whole && !named && n < len(l.words) {
			continue
		}
		a := arc{from: int16(i), to: int16(i + n), kind: birdArc, bird: uint16(b)}
		if n == len(l.words) || n == 1 && named && l.gridShaped(i, n) {
			a.cost = -gainHeard // whatever else it could be
		}
		l.add(a)
	}
}

// otherGrid reports whether a whole grid stands in the line beside word i.
func (l *script) otherGrid(i int) bool {
	for j := range l.words {
		if j != i && l.isWholeGrid(j) {
			return true
		}
	}
	return false
}

// sameName returns how many words from i on spell a bird's name, letters and
// digits compared in any case, and whether its hyphen was typed.
func (l *script) sameName(i int, bird string) (n int, hyphened bool) {
	at := 0
	for j := i; j < len(l.words); j++ {
		t := &l.words[j]
		if j > i {
			if t.gap&^(space|hyphen) != 0 {
				return 0, false
			}
			hyphened = hyphened || t.gap&hyphen != 0
		}
		for k := 0; k < len(t.s); k++ {
			for at < len(bird) && !isAlnum(bird[at]) {
				at++
			}
			if at == len(bird) || lowerByte(bird[at]) != t.s[k] {
				return 0, false
			}
			at++
		}
		rest := at
		for rest < len(bird) && !isAlnum(bird[rest]) {
			rest++
		}
		if rest == len(bird) {
			return j - i + 1, hyphened
		}
	}
	return 0, false
}

func isAlnum(c byte) bool { c = upperByte(c); return isLetter(c) || isDigit(c) }

// gridShaped reports whether n words from i on could be a grid.
func (l *script) gridShaped(i, n int) bool {
	var a arc
	for _, t := range l.words[i : i+n] {
		if !a.append(t.s, false) {
			return false
		}
	}
	_, ok := makeGrid(string(a.buf[:a.n]))
	return ok && a.n >= 4
}

// addReport adds a signal report: readability and strength, with tone in morse.
func (l *lattice) addReport(i int) {
	t := &l.words[i]
	cost := int16(0)
	if l.afterLetters(i) && (t.gap&pause == 0 || l.words[i-1].gap&pause != 0) || l.neighbours(i) || l.inRow(i) {
		cost = costFarFetched // rather the digits of a grid
	}
	switch {
	case t.s == "5nn", isReport(t.s) && t.s[0] == '5', t.s[0] == 'r' && isReport(t.s[1:]), len(t.s) == 3 && t.s[1] == 'x' && isReport(t.s[:1]+t.s[2:]):
		l.side(i, 1, reportArc, cost)
		if i+1 < len(l.words) && l.words[i+1].gap.ties() && (isReport(l.words[i+1].s) || l.words[i+1].means&small != 0) {
			l.side(i, 2, reportArc, cost) // "59/57", "59/73": ours is the first
		}
	case isReport(t.s):
		l.side(i, 1, reportArc, cost+1)
	case t.spells.syms == "50" && l.figure(i+1) > 0:
		l.side(i, 2, reportArc, cost+1)
	}
	if r := l.figure(i); r < 3 || r > 5 {
		return
	}
	j := i + 1
	if j < len(l.words) && l.words[j].entry.means&times != 0 {
		j++
	}
	if j == i+1 && j < len(l.words) && l.words[j].gap&(slash|hyphen|space) == 0 {
		return
	}
	if l.figure(j) <= 0 {
		return
	}
	if !l.words[j].gap.ties() && j == i+1 {
		cost++
	}
	l.side(i, j+1-i, reportArc, cost)
}

// neighbours reports whether the digits at word i are those of a square beside
// the one that a stroke ties them to: "jo43/53".
func (l *script) neighbours(i int) bool {
	t := &l.words[i]
	if i == 0 || t.shape != hasDigit || len(t.s) != 2 {
		return false
	}
	if l.cornerAround(i) >= 0 {
		return true
	}
	first, ok := l.endsInGrid(i - 1)
	g := first
	copy(g.c[2:], t.s)
	return ok && (t.gap.ties() || t.gap&(plus|amp) != 0 && t.s != "59") && CheckGrids([]Grid{first, g}) == nil
}

// inRow reports whether the digits at word i go on with a row of them that
// strokes tie to a grid: "jo51/52/53/54".
func (l *script) inRow(i int) bool {
	row := i
	for row > 0 && l.words[row].gap.ties() && l.words[row].shape == hasDigit && len(l.words[row].s) == 2 {
		row--
	}
	_, ok := l.endsInGrid(row)
	return ok && i-row > 1
}

// isReport reports whether s is a report in figures.
func isReport(s string) bool {
	if len(s) != 2 && len(s) != 3 || digitsAt(s, 0) != len(s) {
		return false
	}
	if len(s) == 2 && s[0] == s[1] && s[0] != '5' {
		return false // 33, 44: greetings
	}
	for i := range len(s) {
		if s[i] == '0' {
			return false
		}
	}
	return '3' <= s[0] && s[0] <= '5'
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
	case t.spells.trust == plain && t.phrase == 1 && isDigit(t.spells.syms[0]):
		return int(t.spells.syms[0] - '0')
	}
	return -1
}

// reportText returns the figures of a report arc.
func (l *script) reportText(a *arc) string {
	t := &l.words[a.from]
	if t.s == "5nn" {
		return "599"
	}
	if a.to == a.from+1 || isReport(t.s) {
		return strings.Replace(strings.TrimPrefix(t.s, "r"), "x", "", 1)
	}
	b := []byte{'5', '0' + byte(l.figure(int(a.to)-1))}
	if f := l.figure(int(a.from)); f > 0 {
		b[0] = '0' + byte(f)
	}
	return string(b)
}

// addClock adds a time or an offset.
func (l *lattice) addClock(i int) {
	t := &l.words[i]
	_, isTime := clockOf(t.s)
	after := i + 1
	if l.isWord(after, utc) && l.words[after].gap == space {
		after++
	}
	early := l.numberRow(i)
	switch {
	case t.shape&hasDigit != 0 && (l.isUntaken(i) || l.saysNumber(i)):
		return
	case t.s == "t" && l.isOffset(i+1):
		l.side(i, 2, offsetArc, 0)
	case l.isOffset(i):
		l.side(i, 1, offsetArc, 0)
	case l.dottedTime(i) || after > i+1 && l.dotted(i):
		a := arc{from: int16(i), to: int16(after), kind: clockArc, n: 4}
		copy(a.buf[:], t.s[:2]+t.s[3:])
		l.add(a)
	case isTime && !l.measures(i) && !l.inNumber(i) && (t.shape != hasDigit || after > i+1 || early != nil || l.standsAsTime(i)):
		l.side(i, after-i, clockArc, 0)
	case len(t.s) == 2 && t.shape == hasDigit && atoi(t.s) < 60 && !l.measures(i) && t.gap == space && l.isWord(i-1, at|minute):
		l.side(i, 1, clockArc, 0)
	}
}

// standsAsTime reports whether four digits at word i are a time by their place: they
// begin the line, or stand behind a word that announces a time or that is no noun.
func (l *script) standsAsTime(i int) bool {
	if i == 0 || l.listed(0) && i == 1 {
		return true
	}
	t := &l.words[i-1]
	if l.words[i-1].shape&clockLike != 0 || t.means&(at|around|timeWord|utc|courtesy|name|filler) != 0 {
		return true
	}
	if l.isWord(i-1, be) && l.isWord(i-2, timeWord) || l.isWord(i-2, namer) || t.means&month != 0 {
		return true
	}
	return t.shape&hasDigit != 0 || t.spells.trust >= loose && l.complete != i
}

// numberRow returns the phrase that says what the number at word i is, nil if there
// is none.
func (l *script) numberRow(i int) *row {
	if l.early == nil {
		return nil
	}
	return l.early[i]
}

// isOffset reports whether word i is an offset from the slate.
func (l *script) isOffset(i int) bool {
	if i >= len(l.words) || l.words[i].shape&offsetish == 0 || l.words[i].s[0] == '-' {
		return false
	}
	_, ok := offsetOf(l.words[i].s)
	return ok
}

// noTime reports whether word i has the form of a time or an offset and can be
// none: "+1:75", "17:75".
func (l *script) noTime(i int) bool {
	t := &l.words[i]
	if t.shape&clockLike == 0 {
		return false
	}
	if t.shape&offsetish != 0 {
		return !l.isOffset(i)
	}
	d := digitsAt(t.s, 0)
	if d > 2 || d == len(t.s) || t.s[d] != ':' || digitsAt(t.s, d+1) != 2 {
		return false
	}
	_, ok := clockOf(t.s)
	return !ok
}

// saysNumber reports whether a phrase says that the number at word i belongs to a
// word beside it.
func (l *script) saysNumber(i int) bool {
	p := l.numberRow(i)
	return p != nil && p.sense == numbered
}

// inNumber reports whether the digits at word i are part of a longer number:
// "555-0142".
func (l *script) inNumber(i int) bool {
	if l.words[i].shape != hasDigit {
		return false
	}
	digits := func(j int, g gap) bool {
		return j >= 0 && j < len(l.words) && l.words[j].shape == hasDigit && g&^(hyphen|slash|stop) == 0 && g != 0
	}
	return digits(i-1, l.words[i].gap) || digits(i+1, l.gapBehind(i))
}

func atoi(s string) int {
	n := 0
	for i := range len(s) {
		n = 10*n + int(s[i]-'0')
	}
	return n
}

// clockOf reads ":42", "17:42", "7:30", "17:42:10", "1742", each also with z.
func clockOf(s string) (Clock, bool) {
	z := len(s) > 1 && s[len(s)-1] == 'z'
	if z {
		s = s[:len(s)-1]
	}
	d := digitsAt(s, 0)
	switch {
	case d == 4 && len(s) == 4:
		return makeClock(atoi(s[:2]), atoi(s[2:]))
	case d <= 2 && d < len(s) && (s[d] == ':' || d == 2 && (s[d] == 'h' || z && s[d] == '.')):
		rest := s[d+1:]
		m := digitsAt(rest, 0)
		if m < 2 || m != 2 || m != len(rest) && (d == 0 || len(rest) != 5 || rest[2] != ':') {
			return Clock{}, false
		}
		if d == 0 {
			return makeClock(-1, atoi(rest[:2]))
		}
		return makeClock(atoi(s[:d]), atoi(rest[:2]))
	}
	return Clock{}, false
}

func makeClock(hour, minute int) (Clock, bool) {
	if hour > 23 || minute > 59 {
		return Clock{}, false
	}
	return MakeClock(hour, minute), true
}

// offsetOf reads "+4:10", "+1:04:10", "+95s" and "+3m10".
func offsetOf(s string) (Offset, bool) {
	if strings.ContainsAny(s, "hms") {
		return offsetInUnits(s[1:])
	}
	total, part := 0, 0
	for i := 1; i <= len(s); i++ {
		if i < len(s) && isDigit(s[i]) {
			part++
			continue
		}
		n := atoi(s[i-part : i])
		inner := i < len(s) || total > 0 || strings.IndexByte(s, ':') > 0
		if part > 5 || part == 0 && i > 1 || i > part+1 && (part != 2 || n > 59) || !inner {
			return Offset{}, false
		}
		total, part = 60*total+n, 0
	}
	return Offset{time.Duration(total) * time.Second, true}, total < 24*3600
}

// offsetInUnits reads "95s", "3m10", "4 min" and "1h02m".
func offsetInUnits(s string) (Offset, bool) {
	total, last := 0, 0
	for s != "" {
		d := digitsAt(s, 0)
		n := atoi(s[:d])
		u := unitLen(s[d:])
		if d == 0 || d > 5 || u == 0 && (last == 0 || d < len(s)) {
			return Offset{}, false
		}
		unit := strings.TrimLeft(s[d:d+u], " ")
		size := last / 60
		switch {
		case strings.HasPrefix(unit, "h"):
			size = 3600
		case strings.HasPrefix(unit, "m"):
			size = 60
		case strings.HasPrefix(unit, "s"):
			size = 1
		}
		if last > 0 && (size >= last || n > 59) {
			return Offset{}, false
		}
		total, last = total+n*size, size
		s = s[d+u:]
	}
	return Offset{time.Duration(total) * time.Second, true}, total < 24*3600
}

// addName adds an announced name: "name doug", "op is lisa", "name mary jane".
func (l *lattice) addName(i int) {
	if l.words[i].means&namer == 0 || l.isWord(i-1, nameless) {
		return
	}
	j := i + 1
	if l.isWord(j, be) {
		j++
	}
	if j >= len(l.words) || l.words[j].means&nameless != 0 {
		return
	}
	t := &l.words[j]
	if t.shape&(hasDigit|hasWild) == 0 && len(t.s) > 1 && (t.means == 0 || t.means&name != 0) {
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
