package idiom

import (
	"regexp"
	"slices"
	"strings"

	"skyslate/parse"
)

var (
	skedForm = regexp.MustCompile(`(?i)^\s*(?:please )?` + forms["sked"] + ` (\S+)( .*)?$`)
	meetForm = regexp.MustCompile(`(?i)^\s*` + forms["meets"] + ` (\S+)( .*)?$`)
	wishForm = regexp.MustCompile(`(?i)^\s*(\S+) ` + forms["wishes"] + `( .*)?$`)

	aroundGrid = regexp.MustCompile(`(?i)^` + forms["there"] + `$`)
	leadsTo    = regexp.MustCompile(`(?i)^` + forms["lead"] + `$`)
)

// Leads reports whether a word only leads to a day, a time or a bird.
func Leads(word string) bool { return leadsTo.MatchString(word) }

// Sked reads a line that asks for a sked in words, or tells of one: what could be typed
// behind /sked, the call first and then the grid. told says that it can be nothing else.
func Sked(line string) (words string, told, ok bool) {
	for _, form := range []*regexp.Regexp{skedForm, meetForm, wishForm} {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		call := strings.TrimRight(m[1], ",;:")
		if _, err := parse.ParseCallsign(call); err != nil {
			continue
		}
		return call + gridFirst(m[2]), form != skedForm, true
	}
	return "", false, false
}

// gridFirst puts the grid of a sked before all that else is said of it, without the words
// that lead to it.
func gridFirst(text string) string {
	words := strings.Fields(text)
	for i, word := range words {
		words[i] = strings.TrimRight(word, ",;!")
	}
	at := slices.IndexFunc(words, func(word string) bool {
		g, err := parse.ParseGrid(strings.TrimRight(word, "."))
		return err == nil && len(g.String()) >= len("JO33") // a field alone is a word
	})
	if at > 0 {
		from := at
		for from > 0 && aroundGrid.MatchString(words[from-1]) {
			from--
		}
		words = slices.Concat([]string{strings.TrimRight(words[at], ".")}, words[:from], words[at+1:])
	}
	if len(words) == 0 {
		return ""
	}
	return " " + strings.Join(words, " ")
}
