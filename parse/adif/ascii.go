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
		plain, known := letters[c]
		if !known {
			plain = stripped(c)
		}
		b.WriteString(plain)
	}
	return b.String()
}

// stripped is a sign without its marks.
func stripped(c rune) string {
	var plain []byte
	for _, d := range norm.NFKD.String(string(c)) {
		switch known, ok := letters[d]; {
		case ok:
			plain = append(plain, known...)
		case d >= ' ' && d <= '~':
			plain = append(plain, byte(d))
		case unicode.IsSpace(d):
			plain = append(plain, ' ')
		case !unicode.Is(unicode.Mn, d): // no mark that came off its letter
			plain = append(plain, '?')
		}
	}
	return string(plain)
}

// multilineASCII does the same but keeps line ends, as CR LF.
func multilineASCII(s string) string {
	lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(s), "\n")
	for i := range lines {
		lines[i] = ASCII(lines[i])
	}
	return strings.Join(lines, "\r\n")
}

func isASCII(s string) bool {
	return !strings.ContainsFunc(s, func(c rune) bool { return c < ' ' || c > '~' })
}
