package outing

import (
	"regexp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/idiom"
	"skyslate/bot/phrase"
	"skyslate/bot/tx"
)

// hours are those of a day out with words or blanks between them, "9 to 15", "from 9:30
// till 15:00", "9 am - 1 pm".
var hours = regexp.MustCompile(`(?i)\b(\d{1,2}(?::[0-5]\d)?)\s*(am|pm)?(?:h|uhr|o'clock)?\s*` +
	`(?:\s[-–]\s|to|till?|until|bis|a|à|alle|às|ate|até)\s*(\d{1,2}(?::[0-5]\d)?)\s*(am|pm)?(?:h|uhr|o'clock)?(?:\s|[,.!]|$)`)

// spans are those, or hours in one word, "9-15"; no part of a date is.
var spans = regexp.MustCompile(hours.String() + `|(?i)(?:^|[\s,])(\d{1,2}(?::[0-5]\d)?)\s?(?:h|uhr)?[-–](\d{1,2}(?::[0-5]\d)?)\s?(?:h|uhr)?(?:\s|[,.!]|$)`)

// halves are the words for a half of the day behind an hour, "9 in the morning".
var halves = regexp.MustCompile(`(?i)(\d)(?:h| uhr| o'clock)? (` + halfWords() + `)\b`)

func halfWords() string {
	isHalf := func(name string) bool { return name == "am" || name == "pm" }
	return strings.Join(phrase.Each(idiom.DayWords(isHalf), regexp.QuoteMeta), "|")
}

// inHalves writes such hours as "9am".
func inHalves(text string) string {
	return halves.ReplaceAllStringFunc(text, func(s string) string {
		m := halves.FindStringSubmatch(s)
		return m[1] + idiom.DayName(m[2])
	})
}

// Said reads a line that tells in plain words of a day out: what could be typed behind
// /outing. Unless it begins with what only such a line begins with, it has grid, day and
// hours; else one of grid and day may lack, which is asked then.
func Said(line string, now time.Time) (words string, told, ok bool) {
	line = inHalves(line)
	m, told := spans.FindStringSubmatch(line), idiom.GoesOut(line)
	if m == nil && !told || !told && !idiom.Goes(line) {
		return "", false, false
	}
	span := ""
	if m != nil {
		span = m[1] + m[2] + m[5] + "-" + m[3] + m[4] + m[6]
		line = strings.Replace(line, m[0], " ", 1)
	}
	rest := strings.Fields(strings.Map(func(r rune) rune {
		if strings.ContainsRune(",!?", r) || r == '+' || r == '/' {
			return ' '
		}
		return r
	}, line))
	var grids, day []string
	for i, word := range rest {
		if _, err := tx.GridIn(strings.Trim(word, ".")); err == nil {
			grids = append(grids, word)
		} else if _, n := idiom.DayIn(rest[i:], now); n > 0 && day == nil {
			day = rest[i : i+n]
		}
	}
	if lacks := len(grids) == 0 || day == nil; lacks && (!told || len(grids) == 0 && day == nil) {
		return "", false, false
	}
	return strings.TrimSpace(strings.Join(slices.Concat(grids, day, []string{span}), " ")), told, true
}

// Names reports whether words are for an outing: a place is among them.
func Names(words []string) bool {
	_, _, err := tx.GridsAmong(strings.Join(words, " "))
	return err == nil || slices.Contains(words, wordHere)
}
