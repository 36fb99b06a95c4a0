package idiom

import (
	"regexp"
	"slices"
	"strings"

	"skyslate/parse"
)

// SkedOff reads words that call off what is arranged with a station: "OX9QZT off".
func SkedOff(text string) (call parse.Callsign, ok bool) {
	const off = "off"
	words := strings.Fields(strings.ToLower(text))
	i := slices.Index(words, off)
	if len(words) != 2 || i < 0 {
		return call, false
	}
	call, err := parse.ParseCallsign(words[1-i])
	return call, err == nil
}

// GridBehind is the grid that stands further behind in the words of a sked, "saturday for
// jn18", and the other words, without those that lead to it.
func GridBehind(words []string) (grid parse.Grid, rest []string, ok bool) {
	for i, word := range words {
		grid, err := parse.ParseGrid(strings.TrimRight(word, "."))
		if err != nil || grid.Chars() < 4 {
			continue
		}
		from := i
		for from > 0 && aroundGrid.MatchString(words[from-1]) {
			from--
		}
		return grid, slices.Concat(words[:from], words[i+1:]), true
	}
	return grid, nil, false
}

var gridWasGrid = regexp.MustCompile("(?i)\\b" + gridForm + ",? (?:" + isVerb + "|" + forms["not"] + ") " + gridForm + `\b`)

// CorrectsGrid reports whether a line says that one grid was wrong and another is right, and
// so tells no place of one's own: "F0ZZA JN18 was JN19".
func CorrectsGrid(line string) bool { return gridWasGrid.MatchString(line) }

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
// behind /sked, the call first. told says that it can be nothing else.
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
		words := strings.Fields(m[2])
		for i, word := range words {
			words[i] = strings.TrimRight(word, ",;!")
		}
		return strings.TrimSpace(call + " " + strings.Join(words, " ")), form != skedForm, true
	}
	return "", false, false
}
