// Package question reads the plain questions that everybody asks: when the next pass
// is, what to do now, frequencies, where to point, help. The forms stand in
// questions.txt, a row each, which says how they are written. It knows nothing of
// contacts: who asks it has found none in the line.
package question

import (
	_ "embed"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Kind is what a line asks for.
type Kind string

// The kinds of question, as the table names them.
const (
	Next   Kind = "next"   // when the next pass is
	Now    Kind = "now"    // what is to be done at the moment
	Radio  Kind = "radio"  // frequencies and tones
	Where  Kind = "where"  // where to point
	Help   Kind = "help"   // what can be said
	Home   Kind = "home"   // nothing: that one is at home
	Move   Kind = "move"   // nothing: that one is in a grid now
	Maybe  Kind = "maybe"  // nothing: that one may be in a grid, or will be
	Speech Kind = "speech" // said to somebody who should understand it, and none of these
)

// Question is what a line asks.
type Question struct {
	Kind Kind
	Bird string // the name of the one asked about, as it was typed; empty: none was named
	// Grids are those that Move and Maybe name, as they were typed.
	Grids string
}

// A row is one form of a question.
type row struct {
	kind     Kind
	form     *regexp.Regexp
	examples []string // with a sign before each
}

//go:embed questions.txt
var table string

var rows, byHead = readTable(table)

// polite are words around a question that ask nothing.
const polite = `(?:(?:please|pls|hey|hi|hello|ok|okay|so|and|well|um|bot|skyslate|bitte|hallo|por favor|hola|svp|s il vous plait|per favore|ciao|ola) )*`

// Read reads a line as a question; isBird says whether a name is one of a bird.
func Read(line string, isBird func(name string) bool) (Question, bool) {
	words := fold(line)
	if len(words) == 0 || len(line) > longest {
		return Question{}, false
	}
	words = strings.Fields(politely.ReplaceAllString(strings.Join(words, " ")+" ", ""))
	words, grids := withoutGrids(words)
	if len(words) == 0 || byHead[words[0]] == nil {
		return Question{}, false
	}
	words, bird := withoutBird(words, isBird)
	text := strings.Join(words, " ") + " "
	i := slices.IndexFunc(byHead[words[0]], func(r row) bool { return r.form.MatchString(text) })
	if i < 0 {
		return Question{}, false
	}
	return Question{byHead[words[0]][i].kind, bird, grids}, true
}

// withoutGrids puts one sign for grids in place of those that stand in a row.
func withoutGrids(words []string) (left []string, grids string) {
	var found []string
	for i, word := range words {
		last := len(left) > 0 && left[len(left)-1] == gridSign
		switch {
		case gridForm.MatchString(word):
			found = append(found, word)
			if !last {
				left = append(left, gridSign)
			}
		case last && slices.Contains(between, word) && i+1 < len(words) && gridForm.MatchString(words[i+1]):
		default:
			left = append(left, word)
		}
	}
	return left, strings.Join(found, " ")
}

const gridSign = "GRID"

var (
	gridForm = regexp.MustCompile(`^[a-r]{2}[0-9]{2}(?:[a-x]{2})?$`)
	between  = strings.Fields("and und y et e to")
)

// withoutBird puts the sign for a bird in place of the name of one, of two words or
// of one.
func withoutBird(words []string, isBird func(string) bool) (left []string, bird string) {
	for n := 2; n > 0; n-- {
		for i := range len(words) - n + 1 {
			if name := strings.Join(words[i:i+n], " "); isBird(name) {
				return slices.Concat(words[:i], []string{"BIRD"}, words[i+n:]), name
			}
		}
	}
	return words, ""
}

var politely = regexp.MustCompile("^" + polite)

// longest is how much is asked in one breath.
const longest = 80

// fold writes the words of a line as the forms have them, with a question mark at the
// end as a word of its own.
func fold(line string) []string {
	line = strings.TrimSpace(line)
	asked := strings.HasSuffix(strings.TrimRight(line, "! ."), "?")
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.ToLower(line)) {
		switch {
		case unicode.IsLetter(r), unicode.IsDigit(r), r == '-', r == '/':
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r), strings.ContainsRune("'’`", r):
		default:
			b.WriteByte(' ')
		}
	}
	words := strings.Fields(hyphen.ReplaceAllString(b.String(), " $1"))
	if asked && len(words) > 0 {
		words = append(words, "?")
	}
	return words
}

// hyphen parts words; before a figure it belongs to a bird's name.
var hyphen = regexp.MustCompile(`-+([^0-9-]|$)`)

// readTable reads the rows, and which may fit a line by its first word.
func readTable(text string) (all []row, byHead map[string][]row) {
	byHead = map[string][]row{}
	for line := range strings.Lines(text) {
		cells := strings.Split(strings.TrimSpace(line), " | ") // no blanks stand around the signs within a pattern
		if len(cells) < 3 || strings.HasPrefix(cells[0], "#") {
			continue
		}
		r := row{Kind(cells[0]), form(cells[1]), cells[2:]}
		all = append(all, r)
		for _, word := range heads(cells[1]) {
			byHead[word] = append(byHead[word], r)
		}
	}
	return all, byHead
}

// heads are the words that a form may begin with.
func heads(pattern string) []string {
	var words []string
	for _, p := range part.FindAllString(pattern, -1) {
		p, may := strings.CutSuffix(p, "?")
		for one := range strings.SplitSeq(strings.Trim(p, "{}"), "|") {
			word, _, _ := strings.Cut(one, " ")
			if !slices.Contains(words, word) {
				words = append(words, word)
			}
		}
		if !may {
			break
		}
	}
	return words
}

var part = regexp.MustCompile(`\{[^}]*\}\??|\S+`)

// form makes a pattern what it stands for.
func form(pattern string) *regexp.Regexp {
	var b strings.Builder
	b.WriteByte('^')
	asked := false
	for _, p := range part.FindAllString(pattern, -1) {
		p, may := strings.CutSuffix(p, "?")
		switch {
		case p == "..":
			b.WriteString(`(?:[^ ?]+ ){0,3}`)
			continue
		case p == "ASKED":
			asked = !may
			continue
		}
		b.WriteString(`(?:` + strings.ReplaceAll(strings.Trim(p, "{}"), "|", " |") + ` )`)
		if may {
			b.WriteByte('?')
		}
	}
	b.WriteString(polite + `\?`)
	if asked {
		b.WriteString(" $")
	} else {
		b.WriteString("? ?$")
	}
	return regexp.MustCompile(b.String())
}
