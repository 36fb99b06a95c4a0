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
// jn18", and the other words.
func GridBehind(words []string) (grid parse.Grid, rest []string, ok bool) {
	for i, word := range words {
		grid, err := parse.ParseGrid(word)
		if err != nil || grid.Chars() < 4 {
			continue
		}
		before := words[:i]
		if i > 0 && slices.Contains([]string{"for", "in", "from"}, strings.ToLower(words[i-1])) {
			before = words[:i-1]
		}
		return grid, slices.Concat(before, words[i+1:]), true
	}
	return grid, nil, false
}

var gridWasGrid = regexp.MustCompile("(?i)\\b" + gridForm + ",? (?:" + isVerb + "|" + forms["not"] + ") " + gridForm + `\b`)

// CorrectsGrid reports whether a line says that one grid was wrong and another is right, and
// so tells no place of one's own: "F0ZZA JN18 was JN19".
func CorrectsGrid(line string) bool { return gridWasGrid.MatchString(line) }
