package parse

import "strings"

// token is one word of a folded line.
type token struct {
	s        string
	plain    string // without its apostrophes, "" if it has none
	from, to int    // bytes of the folded line
	gap      gap    // what stands between it and the word before
	shape    shape
	means    meaning
	entry    *entry // what the tables say of it
	spells   spelling
	phrase   int8  // words of the longest phrase that begins here, 1 if none
	within   trust // of a phrase that goes on here
	speech   speech
}

// gap is what may stand between two words.
type gap uint16

// The parts of a gap; none of them: the words are glued.
const (
	space gap = 1 << iota
	comma
	stop
	semicolon
	slash
	hyphen
	plus
	amp
	colon
	bracket
	query
	other
	hash
	detached // a space after a stroke: "w/ …"
	percent
	minus // a sign right before a time or a span of it: "-1:20", "-45s"

	strong = semicolon | bracket
	pause  = comma | stop | colon | query | other | strong
)

// shape is what a word is made of.
type shape uint8

// The shapes.
const (
	hasLetter shape = 1 << iota
	hasDigit
	hasWild   // a character that was not read: "?", "*", ".."
	hasAlien  // letters that only look Latin
	allAlien  // nothing else
	foreign   // letters of another script
	clockLike // "17:42", ":42", "145.990": digits around a colon or point
	offsetish // "+4:10"
)

// any stands for one unread character, some for one or more.
const (
	anyChar  = '?'
	someChar = '~'
)

// lex breaks a folded line into words and returns what stands after the last.
func lex(f folded, into []token) (all []token, after gap) {
	s := f.s
	var g gap
	for i := 0; i < len(s); {
		if t, ok := lexNumber(s, i, g); ok {
			into = append(into, t)
			into[len(into)-1].gap |= signOf(s, &t)
			i, g = t.to, 0
			continue
		}
		if wordByte(s[i]) || dots(s, i) > 1 && besideWord(s, i, g) {
			t := lexWord(f, i)
			i, t.gap = t.to, g
			if g = 0; t.s == "" {
				g = t.gap | query
				continue
			}
			if isWild(s[i-1]) && t.shape&hasWild == 0 {
				g = query
				if s[i-1] == '.' && isSquare(t.s) {
					g = stop // "jo43.."
				}
			}
			t.gap |= signOf(s, &t)
			into = append(into, t)
			continue
		}
		if n := dots(s, i); n > 1 { // all at once: counting them again and again would take long
			g |= stop
			i += n
			continue
		}
		if g |= gapOf(s[i]); s[i] == ' ' && g&slash != 0 {
			g |= detached
		}
		i++
	}
	return into, g
}

// know looks up what the words mean and spell.
func know(all []token) {
	lex := tables()
	for i := range all {
		t := &all[i]
		if strings.IndexByte(t.s, '\'') >= 0 {
			if t.plain = strings.ReplaceAll(t.s, "'", ""); isSquare(t.plain) {
				t.s = t.plain // "i'm98"
			}
		}
		e := lex.find(t.s)
		t.means, t.entry, t.spells = e.means&^ofParts, e, e.spells
		if t.shape&hasLetter == 0 {
			continue
		}
		if e == none {
			t.knowEnding()
		}
		if e, n := spokenPhrase(all[i:], func(e *entry) bool { return e.spells.trust != unspelled }); n > 1 {
			spell(all[i:i+n], e.spells)
		}
	}
}

// knowEnding looks up a word without its ending: "mike's", "31st".
func (t *token) knowEnding() {
	s := t.s
	if n := len(s) - 2; n > 0 && s[n:] == "'s" {
		t.entry = tables().find(s[:n])
		t.means = t.entry.means
		if t.spells = t.entry.spells; t.spells.trust == plain {
			t.spells.trust = loose
		}
	} else if d := digitsAt(s, 0); d > 0 && d == n && d <= 2 {
		if meaningOf(s[n:])&ordinals != 0 {
			t.spells = spelling{trust: loose, syms: s[:n]}
		}
	}
}

// lexNumber reads a time, an offset or a frequency that begins at i: digits on
// both sides of a colon or point, or after a colon alone.
func lexNumber(s string, i int, g gap) (token, bool) {
	j := i
	free := i == 0 || g&^(slash|hyphen) != 0 || s[i] == '+'
	if !free {
		return token{}, false
	}
	if s[j] == '+' {
		j++
	}
	d := digitsAt(s, j)
	if n := unitsAt(s, i); n > 0 {
		return token{s: s[i : i+n], from: i, to: i + n, gap: g, shape: hasDigit | clockLike | offsetish, phrase: 1}, true
	}
	if n := dateAt(s, j); n > 0 && j == i {
		return token{s: s[i : i+n], from: i, to: i + n, gap: g, shape: hasDigit | clockLike, phrase: 1}, true
	}
	if j+d >= len(s) || s[j+d] != ':' && (s[j+d] != '.' || d == 0 || j > i) || d > 5 {
		return token{}, false
	}
	e := digitsAt(s, j+d+1)
	if e == 0 {
		return token{}, false
	}
	end := j + d + 1 + e
	if end+1 < len(s) && s[end] == ':' && digitsAt(s, end+1) == 2 {
		end += 3
	}
	if end < len(s) && (s[end] == 'z' || s[end] == 'm') && (end+1 == len(s) || !wordByte(s[end+1])) {
		end++
	}
	end += unitBehind(s, i, end)
	if end < len(s) && wordByte(s[end]) && !halfDay(s[end:]) {
		return token{}, false
	}
	t := token{s: s[i:end], from: i, to: end, gap: g, shape: hasDigit | clockLike, phrase: 1}
	if j > i {
		t.shape |= offsetish
	}
	return t, true
}

// unitBehind returns the length of the unit glued to a number with a point that
// begins at i and ends at end: "9.8v".
func unitBehind(s string, i, end int) int {
	n := 0
	for end+n < len(s) && wordByte(s[end+n]) {
		n++
	}
	if n == 0 || strings.IndexByte(s[i:end], '.') < 1 {
		return 0
	}
	if meaningOf(s[end:end+n])&glued == 0 {
		return 0
	}
	return n
}

// halfDay reports whether s begins with a half of the day.
func halfDay(s string) bool {
	return len(s) > 1 && meaningOf(s[:2])&half != 0 && (len(s) == 2 || !wordByte(s[2]))
}

// signOf returns minus if a sign stands right before a time or a span of it.
func signOf(s string, t *token) gap {
	if t.from == 0 || s[t.from-1] != '-' || t.from > 1 && s[t.from-2] != ' ' || t.gap&hyphen == 0 {
		return 0
	}
	if d := digitsAt(t.s, 0); t.shape&clockLike != 0 && d <= 2 && strings.IndexByte(t.s, ':') > 0 || d > 0 && d < len(t.s) && unitLen(t.s[d:]) == len(t.s)-d {
		return minus
	}
	return 0
}

// unitsAt returns the length of an offset with units at i: "+95s", "+3m10",
// "+4 min", "+1h02m"; 0 if there is none.
func unitsAt(s string, i int) int {
	if s[i] != '+' || i > 0 && s[i-1] != ' ' {
		return 0
	}
	n, units := 1, 0
	for {
		d := digitsAt(s, i+n)
		if d == 0 || d > 5 {
			break
		}
		u := unitLen(s[i+n+d:])
		if u == 0 && (units == 0 || d > 2) {
			return 0
		}
		if n += d + u; u == 0 {
			break // the seconds of "3m10"
		}
		units++
	}
	if units == 0 || i+n < len(s) && wordByte(s[i+n]) {
		return 0
	}
	return n
}

// unitLen returns the length of the unit of time that s begins with.
func unitLen(s string) int {
	space := 0
	if s != "" && s[0] == ' ' {
		space = 1
	}
	n := space
	for n < len(s) && 'a' <= s[n] && s[n] <= 'z' {
		n++
	}
	if n-space > min(space, 1) && meaningOf(s[space:n])&timeUnit != 0 {
		return n
	}
	return 0
}

// dateAt returns the length of a date in figures or a number with thousands at
// i: "24.11.2026", "2026-11-24", "1,240"; 0 if there is none.
func dateAt(s string, i int) int {
	n := 0
	var lens [3]int
	var sep byte
	for k := range lens {
		lens[k] = digitsAt(s, i+n)
		n += lens[k]
		if k == 2 || i+n >= len(s) || lens[k] == 0 || k == 1 && s[i+n] != sep {
			break
		}
		if sep = s[i+n]; sep != '.' && sep != '-' && sep != '/' && sep != ',' {
			break
		}
		n++
	}
	if i+n < len(s) && wordByte(s[i+n]) {
		return 0
	}
	switch {
	case sep == ',' && lens[0] > 0 && lens[0] < 4 && lens[1] == 3 && lens[2] == 0:
		return lens[0] + 1 + lens[1]
	case sep == ',' || lens[2] == 0:
		return 0
	case lens[0] == 4 && lens[1] == 2 && lens[2] == 2, lens[0] <= 2 && lens[1] <= 2 && (lens[2] == 4 || lens[2] == 2 && dayAndMonth(s[i:])):
		return n
	}
	return 0
}

// dayAndMonth reports whether two numbers that s begins with can be a day and a
// month, in either order.
func dayAndMonth(s string) bool {
	d := digitsAt(s, 0)
	a, b := atoi(s[:d]), atoi(s[d+1:d+1+digitsAt(s, d+1)])
	return a > 0 && b > 0 && min(a, b) <= 12 && max(a, b) <= 31
}

func digitsAt(s string, i int) int {
	n := 0
	for i+n < len(s) && '0' <= s[i+n] && s[i+n] <= '9' {
		n++
	}
	return n
}

// dots counts the points at i.
func dots(s string, i int) int {
	n := 0
	for i+n < len(s) && s[i+n] == '.' {
		n++
	}
	return n
}

// besideWord reports whether points at i touch the word after them.
func besideWord(s string, i int, g gap) bool {
	n := i + dots(s, i)
	return n < len(s) && wordByte(s[n]) && (i == 0 || g != 0)
}

// wordByte reports whether c belongs to a word. Bytes of other scripts do.
func wordByte(c byte) bool {
	return 'a' <= c && c <= 'z' || '0' <= c && c <= '9' || c == anyChar || c == '*' || c == '_' || c >= 0x80
}

// signAt returns the length of a sign at i that is a word by itself, 0 if there is
// none.
func signAt(s string, i int) int {
	if s[i] < 0x80 {
		return 0
	}
	for _, sign := range [...]string{"❌", "👂", "°"} {
		if strings.HasPrefix(s[i:], sign) {
			return len(sign)
		}
	}
	return 0
}

// lexWord reads the word at i. Points inside or after it stand for characters
// that were not read; an apostrophe belongs to it.
func lexWord(f folded, i int) token {
	s, j := f.s, i
	if n := signAt(s, i); n > 0 {
		return makeWord(f, i, i+n)
	}
	for j < len(s) {
		n := dots(s, j)
		switch {
		case signAt(s, j) > 0:
			return makeWord(f, i, j)
		case wordByte(s[j]):
			j++
		case s[j] == '\'' && j > i && j+1 < len(s) && wordByte(s[j+1]):
			j++
		case n > 1:
			j += n
		default:
			return makeWord(f, i, j)
		}
	}
	return makeWord(f, i, j)
}

func makeWord(f folded, from, to int) token {
	if f.s[from] == '*' && strings.TrimLeft(f.s[:from], " ") == "" && isSquare(f.s[from+1:to]) {
		from++ // "*jo44" corrects
	}
	t := token{from: from, to: to, phrase: 1}
	t.s, t.shape = wordShape(f.s[from:to])
	if some, all := f.looksAlike(from, to); all {
		t.shape |= hasAlien | allAlien
	} else if some {
		t.shape |= hasAlien
	}
	return t
}

// isSquare reports whether s, in lower case, is a grid of four characters or more.
func isSquare(s string) bool {
	g, ok := makeGrid(upper(s))
	return ok && g.n >= 4
}

// wordShape classifies a word. Trailing marks of a plain word, a number, a call
// or a grid are punctuation: "grid?", "signal..."; they fall away.
func wordShape(s string) (string, shape) {
	if rest := strings.TrimLeft(s, "."); len(s)-len(rest) > 1 && letterShape(trimWild(rest)) == hasLetter && (len(rest) > 4 || len(rest) == 4 && meaningOf(trimWild(rest)) != 0) {
		s = rest // "...finally"
	}
	bare := trimWild(s)
	if bare == s {
		return s, letterShape(s)
	}
	sh := letterShape(bare)
	if sh == hasLetter {
		if len(bare) > 3 || meaningOf(bare) != 0 {
			return bare, sh
		}
	}
	_, grid := makeGrid(upper(bare))
	if bare == "" || sh == hasDigit || isMeasure(bare) || grid && len(bare) >= 4 || s[len(s)-1] == anyChar && callClass(upper(bare)) != Impossible {
		return bare, sh
	}
	return s, letterShape(s)
}

func trimWild(s string) string {
	for len(s) > 0 && isWild(s[len(s)-1]) {
		s = s[:len(s)-1]
	}
	return s
}

func isWild(c byte) bool { return c == anyChar || c == '*' || c == '_' || c == '.' }

func letterShape(s string) (sh shape) {
	for i := range len(s) {
		switch c := s[i]; {
		case 'a' <= c && c <= 'z':
			sh |= hasLetter
		case '0' <= c && c <= '9':
			sh |= hasDigit
		case isWild(c):
			sh |= hasWild
		case c >= 0x80:
			sh |= foreign
		}
	}
	return sh
}

// ties reports whether a stroke ties two words: "ab1cde/p", "ab1cde /p".
func (g gap) ties() bool { return g&slash != 0 && g&^(slash|space) == 0 }

func gapOf(c byte) gap {
	switch c {
	case ' ':
		return space
	case ',':
		return comma
	case '.':
		return stop
	case ';':
		return semicolon
	case '/':
		return slash
	case '-':
		return hyphen
	case '+':
		return plus
	case '&':
		return amp
	case ':':
		return colon
	case '(', ')', '[', ']', '{', '}', '|':
		return bracket
	case '?':
		return query
	case '#':
		return hash
	case '%':
		return percent
	default:
		return other
	}
}
