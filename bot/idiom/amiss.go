package idiom

import (
	"regexp"
	"strings"

	"skyslate/parse"
	"skyslate/parse/slip"
)

var (
	isAmiss   = regexp.MustCompile(`(?i)(?:^|[ ,.])(?:` + forms["wrong"] + "|" + forms["amiss"] + `)(?:[ ,.!]|$)`)
	isBefore  = regexp.MustCompile(`(?i)(?:^|[ ,.])` + forms["yesterday"] + `(?:[ ,.!]|$)`)
	hasMoment = regexp.MustCompile(`(?i)(?:^|[ ,])` + momentForm + `(?:[ ,]|$)`)
	notGrid   = regexp.MustCompile(`(?i)(?:^|[ ,.])(?:` + forms["never"] + "|" + forms["not"] + ") (?:" + forms["in"] + " )?" + gridForm + `(?:[ ,.!]|$)`)
	denied    = regexp.MustCompile("(?i),? (?:" + forms["not"] + "|" + forms["instead"] + ") (?:" + forms["in"] + " )?" + gridForm + "(?:,? " + forms["but"] + `)?([ ,.!]|$)`)
	notAlone  = regexp.MustCompile("(?i)^" + forms["not"] + "$")
	isNever   = regexp.MustCompile("(?i)^" + forms["never"] + "$")
	inAlone   = regexp.MustCompile("(?i)^" + forms["in"] + "$")
	owned     = regexp.MustCompile("['’]s?$")
)

// WithoutDenied is a line without a grid that is said not to be the right one, "we are in GG03
// not GG02".
func WithoutDenied(line string) (rest string, ok bool) {
	rest = denied.ReplaceAllString(line, "$1")
	return rest, rest != line
}

// amiss reads a line that names a call and has, in any form, a word for what was wrong, or of
// the day before beside a grid and no time: it hardly tells a new contact.
func amiss(line string) (n Naming, ok bool) {
	wrong := isAmiss.MatchString(line)
	if strings.Contains(line, "\n") || !wrong && (!isBefore.MatchString(line) || hasMoment.MatchString(line)) && !notGrid.MatchString(line) {
		return n, false
	}
	n = Naming{Guess: true, Plain: true}
	not, told := false, false
	for word := range strings.FieldsFuncSeq(line, between) {
		grid, noGrid := parse.ParseGrid(word)
		call, noCall := parse.ParseCallsign(owned.ReplaceAllString(word, ""))
		switch {
		case noGrid == nil && grid.Chars() >= 4 && not:
			n.Grids = append(n.Grids, grid)
		case noGrid == nil && grid.Chars() >= 4:
			n.Says = append(n.Says, grid.String())
		case noCall == nil:
			n.Calls = append(n.Calls, call)
		default:
			told = told || !inAlone.MatchString(word) && !notAlone.MatchString(word)
		}
		not = notAlone.MatchString(word) || isNever.MatchString(word) || not && inAlone.MatchString(word)
	}
	switch calls, grids := len(n.Calls), len(n.Says); {
	case calls == 1 && grids == 2 && n.Grids == nil: // the one, and what it was
		wrong, _ := parse.ParseGrid(n.Says[0])
		n.Grids, n.Says, n.Maybe = []parse.Grid{wrong}, n.Says[1:], true
	case calls == 1 && grids == 1:
		n.Maybe = true
	case calls == 1 && grids == 0 && told && (wrong || n.Grids != nil): // "HX7ABC not JO33" is of the pass at hand
		n.Says, n.Open = []string{wasNot}, true
	case calls == 2 && grids == 0 && wrong && slip.Slips(n.Calls[0].Base(), n.Calls[1].Base()) <= 2:
		n.Says, n.Maybe = []string{n.Calls[1].String(), n.Calls[0].String()}, true
	default:
		return n, false
	}
	return n, true
}

// between reports whether a sign stands between words.
func between(r rune) bool { return strings.ContainsRune(" ,.:;!?", r) }
