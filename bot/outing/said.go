package outing

import (
	"regexp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/idiom"
	"skyslate/bot/tx"
)

// hours are those of a day out with words or blanks between them, "9 to 15", "from 9:30
// till 15:00", "9 am - 1 pm".
var hours = regexp.MustCompile(`(?i)\b(\d{1,2}(?::[0-5]\d)?)\s*(am|pm)?(?:h|uhr|o'clock)?\s*` +
	`(?:\s[-–]\s|to|till?|until|bis|a|à|alle|às|ate|até)\s*(\d{1,2}(?::[0-5]\d)?)\s*(am|pm)?(?:h|uhr|o'clock)?(?:\s|[,.!]|$)`)

// spans are those, or hours in one word, "9-15"; no part of a date is.
var spans = regexp.MustCompile(hours.String() + `|(?i)(?:^|[\s,])(\d{1,2}(?::[0-5]\d)?)\s?(?:h|uhr)?[-–](\d{1,2}(?::[0-5]\d)?)\s?(?:h|uhr)?(?:\s|[,.!]|$)`)

// Said reads a line that tells in plain words of a day out, with its grid, day and hours:
// what could be typed behind /outing.
func Said(line string, now time.Time) (words string, ok bool) {
	m := spans.FindStringSubmatch(line)
	if m == nil || !idiom.Goes(line) {
		return "", false
	}
	rest := strings.Fields(strings.Map(func(r rune) rune {
		if r == ',' || r == '!' || r == '+' || r == '/' {
			return ' '
		}
		return r
	}, strings.Replace(line, m[0], " ", 1)))
	var grids, day []string
	for i, word := range rest {
		if _, err := tx.GridIn(strings.Trim(word, ".")); err == nil {
			grids = append(grids, word)
		} else if _, n := DayIn(rest[i:], now); n > 0 && day == nil {
			day = rest[i : i+n]
		}
	}
	if len(grids) == 0 || day == nil {
		return "", false
	}
	return strings.Join(slices.Concat(grids, day, []string{m[1] + m[2] + m[5] + "-" + m[3] + m[4] + m[6]}), " "), true
}

// Names reports whether words are for an outing: a place is among them.
func Names(words []string) bool {
	_, _, err := tx.GridsAmong(strings.Join(words, " "))
	return err == nil || slices.Contains(words, wordHere)
}
