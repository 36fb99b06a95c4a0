package idiom

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
	"time"

	"skyslate/parse"
)

// SkedOff reads words that call off what is arranged with a station, "OX9QZT off", "OX9QZT can't
// make it", or all of it, "off".
func SkedOff(text string) (call parse.Callsign, ok bool) {
	m := offForm.FindStringSubmatch(text)
	if m == nil || m[1]+m[2] == "" {
		return call, m != nil
	}
	call, err := parse.ParseCallsign(m[1] + m[2])
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
	offForm  = regexp.MustCompile(`(?i)^\s*(?:off(?: (\S+))?|(\S+),? ` + forms["off"] + `(?:,? ` + forms["polite"] + `)?)` + ends)
	moveForm = regexp.MustCompile(`(?i)^\s*` + forms["moves"] + ` (\S+)( .*)?$`)
	toldForm = []*regexp.Regexp{
		moveForm,
		regexp.MustCompile(`(?i)^\s*` + forms["meets"] + ` (\S+)( .*)?$`),
		regexp.MustCompile(`(?i)^\s*(\S+)((?:,? (?:` + forms["there"] + ` )?` + gridForm + `)?),? ` + forms["wishes"] + `( .*)?$`),
		regexp.MustCompile(`(?i)^\s*` + forms["promised"] + ` (\S+?)((?: ` + gridForm + `)?),? ` + forms["tobe"] + `(,? .*)?$`),
		regexp.MustCompile(`(?i)^\s*` + forms["mit"] + ` (\S+)( .*)? ` + forms["arranged"] + ends),
	}
	skedForm = regexp.MustCompile(`(?i)^\s*(?:please )?` + forms["sked"] + ` (\S+)( .*)?$`)

	appoints = regexp.MustCompile(`(?i)^\s*` + forms["appoints"] + `( .+?)? ` + forms["mit"] + ` (\S+)( .*)?$`)
	onAir    = regexp.MustCompile(`(?i) ` + forms["onair"] + `( |$)`)

	aroundGrid = regexp.MustCompile(`(?i)^` + forms["there"] + `$`)
	leadsTo    = regexp.MustCompile(`(?i)^` + forms["lead"] + `$`)
	comingDay  = regexp.MustCompile(`(?i)^` + forms["coming"] + `$`)
	hourForm   = regexp.MustCompile(`(?i)(^| )([01]?\d|2[0-3]) ?` + Hour + `( |$)`)
	passForm   = regexp.MustCompile(`(?i)(:\d\d) ` + forms["pass"] + `( |$)`)
)

// Leads reports whether a word only leads to a day, a time or a bird.
func Leads(word string) bool { return leadsTo.MatchString(word) }

// MovesSked reports whether a line asks for a sked anew, in the place of the one that is.
func MovesSked(line string) bool { return moveForm.MatchString(line) }

// Sked reads a line that asks for a sked in words, or tells of one: what could be typed
// behind /sked, the call first. told says that it can be nothing else; isBird tells the names
// of birds.
func Sked(line string, isBird func(string) bool) (words string, told, ok bool) {
	if m := appoints.FindStringSubmatch(line); m != nil { // the day stands before the call
		line = "sked with " + m[2] + m[1] + m[3]
	}
	for i, form := range append(slices.Clone(toldForm), skedForm) {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		call := strings.TrimRight(m[1], ",;:")
		if _, err := parse.ParseCallsign(call); err == nil {
			return strings.TrimSpace(call + " " + ofSked(strings.Join(m[2:], ""))), i < len(toldForm), true
		}
	}
	return toCome(line, isBird)
}

// ofSked are the words of a sked as a command has them, with whole hours as times.
func ofSked(text string) string {
	words := strings.Fields(onAir.ReplaceAllString(text, "$1"))
	for i, word := range words {
		words[i] = strings.TrimRight(word, ",;!")
	}
	text = hourForm.ReplaceAllString(strings.Join(words, " "), "${1}${2}:00$3")
	return passForm.ReplaceAllString(text, "$1$2")
}

// toCome reads a line that is a call, a grid, when, and a bird, and nothing else, on a day that is
// still to come: that is a sked. A foreign word for a day that stands behind all of it may be a
// name.
func toCome(line string, isBird func(string) bool) (words string, told, ok bool) {
	var call string
	var rest []string
	comes, said := false, strings.Fields(ofSked(line))
	for i := 0; i < len(said); {
		word, n := said[i], 1
		_, isCall := parse.ParseCallsign(word)
		_, isGrid := parse.ParseGrid(word)
		name := cmp.Or(DayName(word), strings.ToLower(word))
		of, days := DayIn(said[i:], time.Time{})
		_, parts := PartIn(said[i:])
		switch isNext := i > 0 && comingDay.MatchString(said[i-1]) && days > 0 && !of.Before.IsZero(); {
		case isCall == nil && isGrid != nil && call == "":
			call = word
		case isNext, name == "tomorrow" && (i < len(said)-1 || strings.EqualFold(word, name)):
			comes, n = true, days
		case parts > 0:
			n = parts
		case isGrid == nil, isBird(word), Leads(word), comingDay.MatchString(word), aroundGrid.MatchString(word),
			besideDay.MatchString(word), localWord.MatchString(word):
		default:
			return "", false, false
		}
		if word != call {
			rest = append(rest, said[i:i+n]...)
		}
		i += n
	}
	return call + " " + strings.Join(rest, " "), true, comes && call != ""
}
