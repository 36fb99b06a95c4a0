package parse

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// folded is a line in the few characters that the grammars know: lower-case
// ASCII, and letters of other scripts as they are.
type folded struct {
	s string
	// origin gives for each byte of s where it comes from in the text; nil if
	// every byte stands where it stood.
	origin []int32
	// alien marks the bytes of s that only look like what was typed: letters of
	// another script, or with marks that were taken off. nil if there are none.
	alien []bool
}

// at returns where byte i of the folded text comes from.
func (f folded) at(i, end int) int {
	switch {
	case f.origin == nil:
		return i
	case i < len(f.origin):
		return int(f.origin[i])
	default:
		return end
	}
}

// looksAlike reports whether every letter in f.s[from:to] only looks like one.
func (f folded) looksAlike(from, to int) (some, all bool) {
	if f.alien == nil {
		return false, false
	}
	all = true
	for i := from; i < to; i++ {
		some = some || f.alien[i]
		all = all && (f.alien[i] || !('a' <= f.s[i] && f.s[i] <= 'z'))
	}
	return some, some && all
}

// fold brings a line to the characters of folded. Folding twice changes
// nothing.
func fold(text string) folded {
	if isASCII(text) {
		return folded{s: foldASCII(text)}
	}
	var b strings.Builder
	b.Grow(len(text))
	f := folded{origin: make([]int32, 0, len(text)), alien: make([]bool, 0, len(text))}
	for i, r := range text {
		before := b.Len()
		alien := false
		if (r == 'Ø' || r == 'ø') && !slashedZero(text, i) {
			b.WriteByte('o')
		} else {
			alien = foldRune(&b, r)
		}
		for range b.Len() - before {
			f.origin = append(f.origin, int32(i))
			f.alien = append(f.alien, alien)
		}
	}
	f.s = b.String()
	return f
}

// foldASCII returns s itself where nothing is to change.
func foldASCII(s string) string {
	for i := range len(s) {
		if lowerByte(s[i]) == s[i] {
			continue
		}
		b := []byte(s)
		for j := i; j < len(b); j++ {
			b[j] = lowerByte(b[j])
		}
		return string(b)
	}
	return s
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// foldRune writes what r folds to and reports whether it only looks like that.
func foldRune(b *strings.Builder, r rune) (alien bool) {
	if r < utf8.RuneSelf {
		b.WriteByte(lowerByte(byte(r)))
		return false
	}
	if s, ok := foldedAs[r]; ok {
		b.WriteString(s)
		return false
	}
	if isFace(r) && !strings.ContainsRune(gladFaces, r) {
		b.WriteByte('?')
		return false
	}
	if c := latinTwin(r); c != 0 {
		b.WriteByte(c)
		return true
	}
	var raw [utf8.UTFMax]byte
	n := utf8.EncodeRune(raw[:], r)
	if d := norm.NFKD.Properties(raw[:n]).Decomposition(); d != nil {
		return foldParts(b, string(d))
	}
	foldWhole(b, r)
	return false
}

// slashedZero reports whether the Ø at i is a zero: its word has a digit
// besides, or is a call with it. In any other word it is a letter.
func slashedZero(text string, i int) bool {
	from, to := i, i+len("Ø")
	inWord := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '/' }
	for from > 0 && i-from < 2*maxBase {
		r, n := utf8.DecodeLastRuneInString(text[:from])
		if !inWord(r) {
			break
		}
		from -= n
	}
	for to < len(text) && to-i < 2*maxBase {
		r, n := utf8.DecodeRuneInString(text[to:])
		if !inWord(r) {
			break
		}
		to += n
	}
	word := upper(zeros.Replace(text[from:to]))
	return strings.ContainsFunc(text[from:to], unicode.IsDigit) || len(word) == 1 || callClass(word) != Impossible
}

var zeros = strings.NewReplacer("Ø", "0", "ø", "0")

// foldParts folds a decomposed character: "é" is e with a mark that falls away.
func foldParts(b *strings.Builder, parts string) (alien bool) {
	for _, p := range parts {
		if unicode.Is(unicode.Mn, p) {
			alien = true
			continue
		}
		alien = foldRune(b, p) || alien
	}
	return alien
}

// foldWhole folds a character that has no parts.
func foldWhole(b *strings.Builder, r rune) {
	switch {
	case unicode.IsDigit(r):
		b.WriteByte('0' + digitValue(r))
	case unicode.IsLetter(r):
		low := unicode.ToLower(r)
		parts := norm.NFKD.String(string(low))
		switch {
		case parts != string(low):
			foldParts(b, parts)
		case low != r && (low < utf8.RuneSelf || latinTwin(low) != 0):
			foldRune(b, low)
		default:
			b.WriteRune(low)
		}
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
	default:
		b.WriteByte(' ')
	}
}

// digitValue returns the value of a decimal digit of any script: Unicode keeps
// the ten of a script together and in order.
func digitValue(r rune) byte {
	n := 0
	for unicode.IsDigit(r - 1) {
		r--
		n++
	}
	return byte(n % 10)
}

// foldedAs are characters that stand for others whatever surrounds them.
var foldedAs = map[rune]string{
	'Ø': "0", 'ø': "0", '∅': "0", 'ı': "i", 'İ': "i", 'ß': "ss", 'ẞ': "ss",
	'∕': "/", '⁄': "/", '╱': "/", '÷': "/",
	'‐': "-", '‑': "-", '‒': "-", '–': "-", '—': "-", '―': "-", '−': "-",
	'‘': "'", '’': "'", 'ʼ': "'", '´': "'", '“': `"`, '”': `"`, '„': `"`,
	'❓': "?", '❔': "?", '🤷': "?", '🤔': "?", '⁉': "?", '🤨': "?", '🧐': "?", '😕': "?", '🙁': "?", '☹': "?", '🤞': "?",
	'❌': "❌", '✗': "❌", '✘': "❌", '✖': "❌", '🚫': "❌", '⛔': "❌", '👎': "❌", '❎': "❌", '🙅': "❌", '🗑': "❌",
	'👂': "👂", '🦻': "👂", '👀': "👂", '😢': "❌", '😭': "❌", '😞': "❌", '°': "°",
	'…': "...", '·': ".", '。': ".", '、': ",", '،': ",", '؛': ";", '؟': "?", '¿': "?",
}

// gladFaces are the faces that doubt nothing; any other does.
const gladFaces = "😀😁😂😃😄😅😆😇😈😉😊😋😌😍😎😏😗😘😙😚😛😜😝🙂🙋🙌🙏😸😹😺😻😼😽🤓🤖🤗🤠🤣🤤🤩🤪🥰🥳🥵🥶"

func isFace(r rune) bool {
	return '😀' <= r && r <= '🙏' || '\U0001F910' <= r && r <= '\U0001F917' || '\U0001F920' <= r && r <= '\U0001F92F' || '\U0001F970' <= r && r <= '\U0001F97A'
}

// twins are letters of other scripts, each beside the Latin one it looks like.
var twins = [...]struct{ others, latin string }{
	{"АВСЕНІЈКМОРЅТХУҮԚԜавсеіјкморѕтху", "abcehijkmopstxyyqwabceijkmopstxy"},
	{"ΑΒΕΖΗΙΚΜΝΟΡΤΥΧο", "abezhikmnoptyxo"},
}

// latinTwin returns the Latin letter that r looks like, or 0.
func latinTwin(r rune) byte {
	if r < 'Α' || r > 'ԯ' {
		return 0
	}
	for _, t := range twins {
		n := 0
		for _, o := range t.others {
			if o == r {
				return t.latin[n]
			}
			n++
		}
	}
	return 0
}

func lowerByte(c byte) byte {
	switch {
	case 'A' <= c && c <= 'Z':
		return c + ('a' - 'A')
	case c == '\\':
		return '/'
	case c < ' ' || c == 0x7f || c == '`':
		return ' '
	}
	return c
}
