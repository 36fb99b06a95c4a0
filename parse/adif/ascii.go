package adif

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// letters are those that decomposition leaves as they are, and the signs that
// people type; the spellings are those of the languages that use them.
var letters = map[rune]string{
	'ß': "ss", 'ẞ': "SS", 'æ': "ae", 'Æ': "AE", 'œ': "oe", 'Œ': "OE",
	'ø': "o", 'Ø': "O", 'ł': "l", 'Ł': "L", 'đ': "d", 'Đ': "D",
	'ð': "d", 'Ð': "D", 'þ': "th", 'Þ': "Th", 'ħ': "h", 'Ħ': "H",
	'ı': "i", 'ŧ': "t", 'Ŧ': "T", 'ŋ': "ng", 'Ŋ': "Ng", 'ĸ': "k",
	'‘': "'", '’': "'", '‚': ",", '“': `"`, '”': `"`, '„': `"`, '«': `"`, '»': `"`,
	'‐': "-", '‑': "-", '‒': "-", '–': "-", '—': "-", '−': "-", '×': "x",
	'⁄': "/", '€': "EUR", '£': "GBP", '°': "deg",
}

// ASCII returns s in the bytes that an ADI file may hold in a String: 32 to 126.
// Letters lose their marks, a few are spelled out (ß as ss), blanks and line
// ends become spaces, and what is left becomes a question mark.
func ASCII(s string) string {
	if isASCII(s) {
		return s
	}
	var b strings.Builder
	s = strings.ReplaceAll(s, "\r\n", "\n")
	// Composed first, so that a letter of the table is found however it was
	// typed; compatibility forms such as full-width letters become plain.
	for _, c := range norm.NFKC.String(s) {
		if plain, known := letters[c]; known {
			b.WriteString(plain)
			continue
		}
		for _, d := range norm.NFKD.String(string(c)) {
			switch plain, known := letters[d]; {
			case known:
				b.WriteString(plain)
			case d >= ' ' && d <= '~':
				b.WriteRune(d)
			case unicode.IsSpace(d):
				b.WriteByte(' ')
			case !unicode.Is(unicode.Mn, d): // no mark that came off its letter
				b.WriteByte('?')
			}
		}
	}
	return b.String()
}

func isASCII(s string) bool {
	return !strings.ContainsFunc(s, func(c rune) bool { return c < ' ' || c > '~' })
}
