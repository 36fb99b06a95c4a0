package parse

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"skyslate/parse/clock"
	"skyslate/parse/fold"
	"skyslate/parse/slip"
)

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
	hash
	percent
	other
	detached // a space after a stroke: "w/ …"

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
	allAlien  // all letters only look Latin
	foreign   // letters of another script
	clockLike // "17:42", ":42", "145.990": digits around a colon or point
	offsetish // "+4:10"; with a minus it is none that can be taken
)

// lex breaks a folded line into words, appends them to all, and returns what stands
// after the last.
func lex(f fold.Text, all []token) (words []token, after gap) {
	s := f.S
	var g gap
	for i := 0; i < len(s); {
		d := dots(s, i)
		switch n := numberLen(s, i, g); {
		case n > 0:
			t := token{s: s[i : i+n], from: i, to: i + n, gap: g, shape: hasDigit | clockLike, phrase: 1}
			if s[i] == '+' || s[i] == '-' {
				t.shape |= offsetish
			}
			all = append(all, t)
			i, g = t.to, 0
		case wordByte(s[i]) || d > 1 && i+d < len(s) && wordByte(s[i+d]) && (i == 0 || g != 0):
			t := lexWord(f, i)
			if i, t.gap = t.to, g; t.s == "" {
				g |= query
				continue
			}
			if g = 0; isWild(s[i-1]) && t.shape&hasWild == 0 {
				if g = query; s[i-1] == '.' {
					g = stop
				}
			}
			all = append(all, t)
		case d > 1: // all at once: counting them again and again would take long
			g |= stop
			i += d
		default:
			if g |= gapOf(s[i]); s[i] == ' ' && g&slash != 0 {
				g |= detached
			}
			i++
		}
	}
	return all, g
}

// know looks up what the words mean and spell.
func know(all []token) {
	lex := tables()
	for i := range all {
		t := &all[i]
		if strings.IndexByte(t.s, '\'') >= 0 {
			_, elided, _ := strings.Cut(t.s, "'")
			if t.plain = strings.ReplaceAll(t.s, "'", ""); isSquare(t.plain) {
				t.s = t.plain // "i'm98"
			} else if isSquare(elided) {
				t.s = elided // "d'in88"
			}
		}
		e := lex.find(t.s)
		t.means, t.entry, t.spells = e.means&^ofParts, e, e.spells
		if i > 0 && t.gap == slash|space|detached && t.from-all[i-1].to > 2 && (e.means&mark != 0 || isMark(upper(t.s))) {
			t.gap = slash | space // "hx2abc / portable"
		}
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

// numberForm is a number that is more than digits: a span of time with units, or one
// of the others with letters glued to it: a date, a number with thousands, a time or a
// span of it, a number with a point.
var numberForm = regexp.MustCompile(`^(?:[-+](?:\d{1,5} ?[a-z]+)+\d{0,2}|(?:\d{4}(?:-\d\d-|/\d\d/|\.\d\d\.)\d\d` +
	`|\d\d?(?:-\d\d?-|/\d\d?/|\.\d\d?\.)(?:\d\d){1,2}|\d{1,3},\d{3}|[-+]?\d{0,5}:\d+(?::\d\d)?|[-+]?\d{1,5}\.\d+)[a-z]*)`)

// numberLen returns the length of a number of numberForm at i, with the unit, the
// half of the day or the z that is glued to it; 0 if there is none.
func numberLen(s string, i int, g gap) int {
	signed := s[i] == '+' || s[i] == '-' && (i == 0 || s[i-1] == ' ')
	sign := i + digitsAt(s, i)
	if !signed && (i > 0 && g&^(slash|hyphen) == 0 || sign == len(s) || strings.IndexByte(":.,-/", s[sign]) < 0) {
		return 0
	}
	form := numberForm.FindString(s[i:])
	unit := form[len(strings.TrimRightFunc(form, unicode.IsLower)):]
	if signed && form != "" && !strings.ContainsAny(form, ":.") {
		if _, ok := clock.ReadSpan(form[1:], unitLen); !ok {
			return 0
		}
	} else if unit != "" && meaningOf(unit)&(glued|half|utc) == 0 {
		return 0
	}
	return len(form)
}

// unitLen returns the length of the unit of time that s begins with.
func unitLen(s string) int {
	n := len(s) - len(strings.TrimLeft(s, " "))
	from := n
	for n < len(s) && 'a' <= s[n] && s[n] <= 'z' {
		n++
	}
	if meaningOf(s[from:n])&timeUnit == 0 {
		return 0
	}
	return n
}

// digitsAt counts the digits at i.
func digitsAt(s string, i int) int { return runOf(s[i:], isDigit) }

// dots counts the points at i.
func dots(s string, i int) int { return len(s[i:]) - len(strings.TrimLeft(s[i:], ".")) }

// wordByte reports whether c belongs to a word. Bytes of other scripts do.
func wordByte(c byte) bool {
	return 'a' <= c && c <= 'z' || '0' <= c && c <= '9' || c == slip.Any || c == '*' || c == '_' || c >= 0x80
}

// signLen returns the length of a sign that s begins with and that is a word by
// itself, 0 if there is none.
func signLen(s string) int {
	if r, n := utf8.DecodeRuneInString(s); strings.ContainsRune("❌👂°", r) {
		return n
	}
	return 0
}

// wordEnd returns where the word at i ends. Points inside or after it stand for
// characters that were not read; an apostrophe belongs to it.
func wordEnd(s string, i int) int {
	if n := signLen(s[i:]); n > 0 {
		return i + n
	}
	for j := i; j < len(s); {
		switch n := dots(s, j); {
		case signLen(s[j:]) > 0:
			return j
		case wordByte(s[j]) || s[j] == '\'' && j > i && j+1 < len(s) && wordByte(s[j+1]):
			j++
		case n > 1 && j+n+4 <= len(s) && isSquare(s[j+n:j+n+4]) && callClass(upper(s[i:j])) == Valid:
			return j // "ab1cde...jo32"
		case n > 1:
			j += n
		default:
			return j
		}
	}
	return len(s)
}

// lexWord reads the word at i.
func lexWord(f fold.Text, i int) token {
	s := f.S
	to := wordEnd(s, i)
	for _, end := range [...]int{i + 4, i + 2} { // "jn16merci", "59tnx"
		if to > end+2 && (isSquare(s[i:end]) || s[i] == '5' && isReport(s[i:end])) && meaningOf(s[end:to])&courtesy != 0 {
			to = end
		}
	}
	t := token{from: i, to: to, phrase: 1}
	if s[i] == '*' && strings.TrimLeft(s[:i], " ") == "" && isSquare(s[i+1:to]) {
		t.from++ // "*jo44" corrects
	}
	t.s, t.shape = wordShape(s[t.from:to])
	if f.LooksAlike(t.from, to) {
		t.shape |= allAlien
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
	bare := strings.TrimRight(s, wild)
	sh := letterShape(bare)
	if bare == s || bare == "" || sh == hasDigit || sh == hasLetter && (len(bare) > 3 || meaningOf(bare) != 0) ||
		sh != hasLetter && (isMeasure(bare) || isSquare(bare) || s[len(s)-1] == slip.Any && callClass(upper(bare)) != Impossible) {
		return bare, sh
	}
	return s, letterShape(s)
}

// wild are the characters that stand for some that were not read.
const wild = "?*_."

func isWild(c byte) bool { return strings.IndexByte(wild, c) >= 0 }

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

// gapMarks are the signs of the first gaps, in their order.
const gapMarks = " ,.;/-+&:(?#%"

func gapOf(c byte) gap {
	if strings.IndexByte(")[]{}|", c) >= 0 {
		return bracket
	}
	if i := strings.IndexByte(gapMarks, c); i >= 0 {
		return 1 << i
	}
	return other
}
