package parse

import (
	"cmp"
	"slices"
	"strings"

	"skyslate/parse/series"
)

// piece is one way to take one or more words as symbols of a call or grid.
type piece struct {
	words int8
	kind  pieceKind
	syms  string // in any case
}

type pieceKind uint8

// The kinds of piece.
const (
	typedPiece  pieceKind = iota // as typed, a part
	wholePiece                   // as typed, a whole call
	digitPiece                   // typed digits
	plainPiece                   // a plain spoken word
	loosePiece                   // a spoken word that counts only beside others
	guessPiece                   // a word that only suggests
	fillerPiece                  // "to", "for", … as a digit
	dropPiece                    // the same as no symbol, or "as in kilo"
	hushPiece                    // "uh", "thank you": nothing
	timesPiece                   // "double"
	strokePiece                  // "/"
	markPiece                    // "portable", after a stroke
)

// piecesOf returns the pieces that begin at word i.
func (l *lattice) piecesOf(i int) []piece {
	return l.pieces[l.firstPiece[i]:l.firstPiece[i+1]]
}

func (l *lattice) piece(words int8, kind pieceKind, syms string) {
	l.pieces = append(l.pieces, piece{words, kind, syms})
}

func (l *lattice) wordPieces(i int) {
	t := &l.words[i]
	n, syms := t.speech.words, t.speech.syms
	next := i + int(n)
	switch t.speech.role {
	case strokeWord:
		l.piece(n, strokePiece, syms)
	case markWord:
		l.piece(n, markPiece, syms)
	case timesWord:
		l.piece(n, timesPiece, syms)
	case tailWord:
		if i > 0 && l.words[i-1].spells.syms == syms {
			l.piece(n, dropPiece, "")
		}
	case figureWord:
		if next < len(l.words) && l.figures(next) && l.says(i-1, i) {
			l.piece(n, dropPiece, "")
		}
	case likeWord:
		if i > 0 && next < len(l.words) && l.echoes(&l.words[i-1], &l.words[next]) {
			l.piece(n+max(1, l.words[next].phrase), dropPiece, "")
		}
	case humWord, thanksWord:
		l.piece(n, hushPiece, "")
		return
	case asideWord:
		return
	}
	switch s := t.s; {
	case t.shape&clockLike == 0 || len(s) < 3 || strings.IndexByte(":.", s[1]) < 0: // two figures, dictated as one number
	case len(s) == 3:
		l.piece(1, digitPiece, s[:1]+s[2:])
	case s[1:] == ":"+s[2:3]+"0":
		l.piece(1, guessPiece, s[:1]+s[2:3])
	}
	if t.shape&(hasWild|foreign|clockLike) == 0 {
		l.spokenPieces(i)
		l.typedPieces(i)
	}
}

// echoes reports whether a word only repeats the symbol before it: "k as in kilo",
// "d for delta".
func (l *lattice) echoes(before, after *token) bool {
	sym := before.spells.syms
	if len(before.s) == 1 {
		sym = upper(before.s)
	}
	return len(sym) == 1 && upperByte(after.s[0]) == sym[0] && (after.spells.trust == unspelled || after.spells.syms == sym)
}

// spokenPieces adds what a spoken word or phrase stands for.
func (l *lattice) spokenPieces(i int) {
	t := &l.words[i]
	sp := t.spells
	if sp.trust == unspelled {
		return
	}
	k := [...]pieceKind{guess: guessPiece, loose: loosePiece, plain: plainPiece}[sp.trust]
	if sp.filler {
		l.piece(1, dropPiece, "")
		k = fillerPiece
	}
	syms, to := l.spokenNumber(i)
	l.piece(int8(to-i), k, syms)
	if sp.or != "" {
		l.piece(t.phrase, k, sp.or)
	}
}

// spokenNumber returns what the word at i stands for, and where it ends; with tens goes
// the figure behind them: "forty two", "vingt et un".
func (l *lattice) spokenNumber(i int) (syms string, to int) {
	syms, to = l.words[i].spells.syms, i+int(l.words[i].phrase)
	at := to
	joined := at < len(l.words) && l.words[at].speech.role == joinerWord
	if joined {
		at++
	}
	isTens := len(syms) == 2 && syms[0] > '1' && syms[1] == '0'
	if !isTens || at >= len(l.words) || l.words[at].gap&pause != 0 {
		return syms, to
	}
	unit := l.words[at].spells
	if f := l.figure(at); f > 0 || joined && unit.trust == loose && len(unit.syms) == 1 && isDigit(unit.syms[0]) {
		return syms[:1] + cmp.Or(unit.syms, l.words[at].s), at + 1
	}
	return syms, to
}

// figures reports whether word i says or shows figures.
func (l *script) figures(i int) bool {
	t := &l.words[i]
	return t.shape == hasDigit && len(t.s) <= 2 || t.spells.trust >= loose && isDigit(t.spells.syms[0])
}

// typedPieces adds the word as it is typed, if it can be part of a call or
// grid and is not an everyday word.
func (l *lattice) typedPieces(i int) {
	t := &l.words[i]
	n := len(t.s)
	up := upper(t.s)
	if g, ok := makeGrid(up); ok && g.n >= 4 {
		return
	}
	mixed := t.shape&hasDigit != 0
	switch {
	case t.shape == hasDigit:
		if n <= 3 && !l.listed(i) {
			l.piece(1, digitPiece, t.s)
		}
	case n > 1 && (t.spells.or != "" || t.spells.trust == loose && isDigit(t.spells.syms[0]) || mixed && t.means&small != 0):
	case !mixed && (n > 4 || n > 1 && (t.means != 0 || t.spells.trust == guess) || n > 2 && t.spells.trust != unspelled):
	case n > 7, n > 1 && strings.Trim(t.s, "x") == "", n > 3 && isMeasure(t.s): // "xx": not read; "70cm"
	case baseClass(up) != Impossible:
		l.piece(1, wholePiece, t.s)
	default:
		l.piece(1, typedPiece, t.s)
	}
}

// speller collects the symbols of one call or grid from pieces.
type speller struct {
	l     *lattice
	from  int
	grid  bool
	buf   [28]byte
	n     int  // symbols
	part  int  // where the part after the last stroke begins
	count int  // pieces with symbols
	times byte // what "double" does to the next symbol
	cost  int16
	doubt doubt
	last  pieceKind
	typed bool // some letters were typed
	loose int  // words that count beside others
	weak  bool // some words mean something else elsewhere
	plain bool // there were plain symbols, or several loose ones
	wordy bool // some typed letters are rather a word
	long  bool // of four letters
	// paused is set behind a pause: where all symbols stand between commas, only
	// the first comma costs.
	paused bool
	twice  bool // a word that may be no symbol was taken as a second digit
	// dropped is set where a word was taken as no symbol.
	dropped bool
}

// stepsPerWord bounds the work on the readings that begin at one word.
const stepsPerWord = 400

// addSpelled adds the calls and grids that begin at word i and take more than
// one word, or one spoken word.
func (l *lattice) addSpelled(i int) {
	l.addAside(i)
	if l.work <= 0 {
		l.cut = true
		return
	}
	budget := min(l.work, stepsPerWord)
	l.work -= budget
	for _, grid := range [...]bool{false, true} {
		s := speller{l: l, from: i, grid: grid}
		s.step(i, &budget)
	}
	l.work += budget
}

// step tries every piece at word j.
func (s *speller) step(j int, budget *int) {
	if j >= len(s.l.words) || j > s.from && !s.mayCross(j) {
		return
	}
	before := *s
	for _, p := range s.l.piecesOf(j) {
		if *budget--; *budget <= 0 {
			s.l.cut = true
			return
		}
		if s.take(j, p) {
			end := j + int(p.words)
			if p.kind != hushPiece {
				s.emit(end)
			}
			s.step(end, budget)
		}
		*s = before
	}
}

// mayCross reports whether an item may go on over the gap before word j.
func (s *speller) mayCross(j int) bool {
	t := &s.l.words[j]
	figures := s.n == 3 && t.shape == hasDigit // "3/3" for "three three"
	return t.gap&(strong|plus|amp|detached) == 0 && (!s.grid || t.gap&slash == 0 || figures)
}

// take appends a piece; false if nothing can come of it.
func (s *speller) take(j int, p piece) bool {
	if j > s.from && !s.grid && s.l.words[j].gap.ties() && p.kind != strokePiece && !s.put("/", 1) {
		return false
	}
	if s.part > 0 && s.n > s.part && p.kind != strokePiece && s.last <= digitPiece {
		return false // what is typed after a stroke ends with its word
	}
	switch p.kind {
	case dropPiece:
		if p.words == 1 {
			s.cost += costJoint
		}
		s.dropped = true
		return s.n > 0
	case hushPiece:
		if !s.grid {
			s.doubt |= mended // it may be a symbol that was misheard
		}
		return s.n > 0
	case timesPiece:
		s.times = p.syms[0] - '0'
		return true
	case markPiece:
		if s.n == 0 || s.buf[s.n-1] != '/' {
			return false
		}
	case loosePiece:
		s.weak = true
		s.loose++
	case fillerPiece:
		s.weak = true
	}
	if p.kind == fillerPiece || s.last == fillerPiece {
		s.twice = s.twice || s.n > 0 && isDigit(s.buf[s.n-1]) && isDigit(p.syms[0])
	}
	s.plain = s.plain || p.kind == plainPiece || s.loose > 1
	s.typed = s.typed || p.kind <= wholePiece
	s.cost += s.jointCost(j, p)
	s.last = p.kind
	s.count++
	times := max(1, int(s.times))
	s.times = 0
	return s.cost < 2*margin && s.put(p.syms, times)
}

// jointCost weighs a piece beside the ones before it.
func (s *speller) jointCost(j int, p piece) (cost int16) {
	typed := func(k pieceKind) bool { return k <= digitPiece }
	g := s.l.words[j].gap
	if s.wordlike(j, p) {
		s.wordy = true
		s.long = s.long || len(p.syms) > 3
	}
	switch p.kind {
	case guessPiece:
		cost += costWeak
		s.doubt |= mended
	case plainPiece, loosePiece, fillerPiece, markPiece, strokePiece:
		s.doubt |= dictated
	}
	if s.count == 0 || g.ties() || p.kind == strokePiece || s.last == strokePiece {
		return cost
	}
	switch {
	case s.last == wholePiece || p.kind == wholePiece:
		s.doubt |= joined
		return cost + s.extends(p)
	case typed(s.last) && typed(p.kind) && s.doubt&joined == 0:
		cost += costJoint
		s.doubt |= joined
	}
	if typed(p.kind) && typed(s.last) && g&(pause|hyphen) != 0 {
		if cost += costWeak; g&hyphen != 0 && p.kind == typedPiece && len(p.syms) < 3 && allLetters(upper(p.syms)) && s.count == 1 {
			s.doubt |= mended // "ab1-x": rather a letter that was not read
		}
	} else if g&pause != 0 && !s.paused {
		cost += costJoint
	}
	s.paused = g&pause != 0
	return cost
}

// wordlike reports whether a typed piece among spoken ones is rather a word
// that was misheard than letters that dictation wrote down.
func (s *speller) wordlike(j int, p piece) bool {
	switch w := s.l.words[j].s; {
	case p.kind != typedPiece || letterShape(w) != hasLetter:
		return false
	case len(w) == 1:
		beside := s.l.words[max(0, j-1):min(len(s.l.words), j+2)]
		return (w == "a" || w == "i") && !slices.ContainsFunc(beside, func(t token) bool { // a letter that is no word
			return len(t.s) == 1 && t.shape == hasLetter && t.phrase == 1 && t.within == unspelled && t.s != "a" && t.s != "i"
		})
	default:
		return w[0] != 'x' && w[0] != 'q' && len(w) > 2 && (len(w) > 3 || pronounceable(w))
	}
}

// extends weighs a piece beside a typed word that is a whole call already:
// hardly anybody goes on after one, but dictation does.
func (s *speller) extends(p piece) int16 {
	switch {
	case p.kind == typedPiece || p.kind == digitPiece:
		return costWeak
	case s.n < 3 || !all(s.buf[s.n-3:s.n], isLetter):
		return costName
	case p.kind == loosePiece || p.kind == fillerPiece:
		return costFarFetched
	}
	return costWeak
}

// put appends symbols; false if no call or grid begins so.
func (s *speller) put(syms string, times int) bool {
	for range times {
		for i := range len(syms) {
			if s.n == len(s.buf) {
				return false
			}
			s.buf[s.n] = upperByte(syms[i])
			s.n++
			if syms[i] == '/' {
				if s.part == s.n-1 || s.grid {
					return false
				}
				s.part = s.n
			}
		}
	}
	if s.grid {
		return gridRun(s.buf[:s.n]) == s.n
	}
	return callPrefix(s.buf[s.part:s.n], s.part == 0)
}

// callPrefix reports whether an ordinary call, or a place or mark, can begin so:
// prefix, one to three digits, at most four letters.
func callPrefix(b []byte, first bool) bool {
	lead := min(1, runOf(b, isDigit))
	letters := runOf(b[lead:], isLetter)
	group := b[lead+letters:]
	digits := runOf(group, isDigit)
	most := 2
	if !first {
		most = 4
	} else if letters == 3 && series.HalfLen(string(b)) > 0 {
		most = 3
	}
	return letters <= most && (letters > 0 || len(group) == 0) &&
		digits <= 3 && len(group)-digits <= 4 && all(group[digits:], isLetter)
}
