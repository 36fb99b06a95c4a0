// Package fold brings lines to the few characters that the grammars of contacts know,
// and remembers where each of them stood.
package fold

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Text is a line in the few characters that the grammars know: lower-case ASCII, and
// letters of other scripts as they are.
type Text struct {
	S string
	// origin gives for each byte of S where it comes from in the text; nil if
	// every byte stands where it stood.
	origin []int32
	// alien marks the bytes of S that only look like what was typed: letters of
	// another script, or with marks that were taken off. nil if there are none.
	alien []bool
}

// At returns where byte i of the folded text comes from.
func (f Text) At(i, end int) int {
	switch {
	case f.origin == nil:
		return i
	case i < len(f.origin):
		return int(f.origin[i])
	default:
		return end
	}
}

// LooksAlike reports whether S[from:to] has letters, all of which only look like the
// characters that they are folded to.
func (f Text) LooksAlike(from, to int) bool {
	some := false
	for i := from; i < to && f.alien != nil; i++ {
		if !f.alien[i] && 'a' <= f.S[i] && f.S[i] <= 'z' {
			return false
		}
		some = some || f.alien[i]
	}
	return some
}

// stressed is a word between signs that only stress it: "*new*".
var stressed = regexp.MustCompile(`(?:^| )([*_]+)[a-z0-9/]+([*_]+)(?: |$)`)

// gladFace is a face of signs that is glad, or a heart.
var gladFace = regexp.MustCompile(`(?:^| )(?:[:;=]-?[dp]|<3)\b`)

// Unstress blanks the signs around stressed words, and glad faces.
func (f *Text) Unstress() {
	if !strings.ContainsAny(f.S, "*_:;=<") {
		return
	}
	s := []byte(f.S)
	blank := func(from, to int) {
		for i := from; i < to; i++ {
			s[i] = ' '
		}
	}
	for _, at := range stressed.FindAllSubmatchIndex(s, -1) {
		blank(at[2], at[3])
		blank(at[4], at[5])
	}
	for _, at := range gladFace.FindAllIndex(s, -1) {
		blank(at[0], at[1])
	}
	f.S = string(s)
}

// Line brings a line to the characters of Text. Folding twice changes nothing. isCall
// reports whether a word is a call: only there Ø is a zero.
func Line(text string, isCall func(word string) bool) Text {
	if strings.IndexFunc(text, func(c rune) bool { return c >= utf8.RuneSelf }) < 0 {
		return Text{S: foldASCII(text)}
	}
	var b strings.Builder
	b.Grow(len(text))
	f := Text{origin: make([]int32, 0, len(text)), alien: make([]bool, 0, len(text))}
	for i, r := range text {
		before := b.Len()
		alien := false
		if (r == 'Ø' || r == 'ø') && !slashedZero(text, i, isCall) {
			b.WriteByte('o')
		} else {
			alien = foldRune(&b, r)
		}
		for range b.Len() - before {
			f.origin = append(f.origin, int32(i))
			f.alien = append(f.alien, alien)
		}
	}
	f.S = b.String()
	return f
}

func foldASCII(s string) string {
	return strings.Map(func(c rune) rune { return rune(lowerByte(byte(c))) }, s)
}

// foldRune writes what r folds to and reports whether it only looks like that: it is
// of another script, or has marks that fall away.
func foldRune(b *strings.Builder, r rune) (alien bool) {
	if r < utf8.RuneSelf {
		b.WriteByte(lowerByte(byte(r)))
		return false
	}
	if s, ok := foldedAs[r]; ok {
		b.WriteString(s)
		return strings.ContainsRune(twinLetters, r)
	}
	if isFace(r) && !strings.ContainsRune(gladFaces, r) {
		b.WriteByte('?')
		return false
	}
	if parts := norm.NFKD.String(string(r)); parts != string(r) {
		for _, p := range parts {
			alien = foldRune(b, p) || alien
		}
		return alien
	}
	switch low := unicode.ToLower(r); {
	case low != r:
		return foldRune(b, low)
	case unicode.IsDigit(r):
		b.WriteByte('0' + digitValue(r))
	case unicode.IsLetter(r):
		b.WriteRune(r)
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return unicode.Is(unicode.Mn, r)
	default:
		b.WriteByte(' ')
	}
	return false
}

// slashedZero reports whether the Ø at i is a zero: its word has a digit
// besides, or is a call with it. In any other word it is a letter.
func slashedZero(text string, i int, isCall func(string) bool) bool {
	outside := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '/' }
	before, behind := text[max(0, i-mostCall):i], text[i:min(len(text), i+mostCall)]
	if at := strings.LastIndexFunc(before, outside); at >= 0 {
		_, n := utf8.DecodeRuneInString(before[at:])
		before = before[at+n:]
	}
	if at := strings.IndexFunc(behind, outside); at >= 0 {
		behind = behind[:at]
	}
	word := zeros.Replace(before + behind)
	return strings.ContainsFunc(before+behind, unicode.IsDigit) || len(word) == 1 || isCall(word)
}

// mostCall is how many bytes around it are looked at.
const mostCall = 24

var zeros = strings.NewReplacer("Ø", "0", "ø", "0")

// digitValue returns the value of a decimal digit of any script: Unicode keeps
// the ten of a script together and in order.
func digitValue(r rune) (n byte) {
	for unicode.IsDigit(r - 1 - rune(n)) {
		n++
	}
	return n % 10
}

// foldedAs are characters that stand for others whatever surrounds them.
var foldedAs = func() map[rune]string {
	table := map[rune]string{'°': "°", '…': "..."}
	for s, characters := range map[string]string{
		"0": "Øø∅", "i": "ıİ", "l": "łŁ", "d": "đĐ", "ss": "ßẞ", "/": "∕⁄╱÷", "-": "‐‑‒–—―−", "'": "‘’ʼ´", `"`: "“”„", ".": "·。", ",": "、،", ";": "؛",
		"?": "؟¿❓❔🤷🤔⁉🤨🧐😕🙁☹🤞", "❌": "❌✗✘✖🚫⛔👎❎🙅🗑😢😭😞", "👂": "👂🦻👀",
	} {
		for _, r := range characters {
			table[r] = s
		}
	}
	latin := []rune(latinTwins)
	for i, r := range []rune(twinLetters) {
		table[r] = string(latin[i])
	}
	return table
}()

// twinLetters are letters of other scripts, latinTwins those that they look like.
const (
	twinLetters = "АВСЕНІЈКМОРЅТХУҮԚԜавсеіјкморѕтху" + "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧο"
	latinTwins  = "abcehijkmopstxyyqwabceijkmopstxy" + "abezhikmnoptyxo"
)

// gladFaces are the faces that doubt nothing; any other does.
const gladFaces = "😀😁😂😃😄😅😆😇😈😉😊😋😌😍😎😏😗😘😙😚😛😜😝🙂🙋🙌🙏😸😹😺😻😼😽🤓🤖🤗🤠🤣🤤🤩🤪🥰🥳🥵🥶"

func isFace(r rune) bool {
	return '😀' <= r && r <= '🙏' || '\U0001F910' <= r && r <= '\U0001F917' || '\U0001F920' <= r && r <= '\U0001F92F' || '\U0001F970' <= r && r <= '\U0001F97A'
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
