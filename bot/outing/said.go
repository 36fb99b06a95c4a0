package outing

import (
	_ "embed"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/idiom"
	"skyslate/bot/phrase"
	"skyslate/bot/question"
	"skyslate/bot/tx"
)

//go:embed words.txt
var wordTable string

// words are those of hours, by kind, as alternatives of a pattern.
var words = idiom.Forms(wordTable)

// oclock is an hour with its minutes and what may stand behind it.
var oclock = `(\d{1,2}(?::[0-5]\d)?)\s*(am|pm)?` + idiom.Hour + `?`

// hours are those of a day out with words or blanks between them, "9 to 15", "from 9:30
// till 15:00", "9 am - 1 pm".
var hours = regexp.MustCompile(`(?i)\b` + oclock + `\s*(?:\s[-–]\s|` + words["to"] + `)\s*` + oclock + `(?:\s|[,.!]|$)`)

// spans are those, or hours in one word, "9-15"; no part of a date is.
var spans = regexp.MustCompile(hours.String() + `|(?i)(?:^|[\s,])(\d{1,2}(?::[0-5]\d)?)\s?` + idiom.Hour + `?[-–](\d{1,2}(?::[0-5]\d)?)\s?` + idiom.Hour + `?(?:\s|[,.!]|$)`)

// halves are the words for a half of the day behind an hour, "9 in the morning".
var halves = regexp.MustCompile(`(?i)(\d)\s?` + idiom.Hour + `? (` + strings.Join(phrase.Each(idiom.DayWords(idiom.IsHalf), regexp.QuoteMeta), "|") + `)\b`)

// inHalves writes such hours as "9am".
func inHalves(text string) string {
	return halves.ReplaceAllStringFunc(text, func(s string) string {
		m := halves.FindStringSubmatch(s)
		return m[1] + idiom.Half(idiom.DayName(m[2]))
	})
}

// opens and closes are an hour from which on, or until which, a day out is.
var (
	opens  = openWords("opens")
	closes = openWords("closes")
	noons  = regexp.MustCompile(`(?i)\b` + words["noon"] + `\b`)
	whole  = regexp.MustCompile(`(?i)` + words["opens"] + `\s+(\d{1,2}[\w:]*[-–]\d)`) // "after 9 until 12"
	slash  = regexp.MustCompile(`(^|\s)(\d{1,2})/(\d{1,2})(?:\s|$)`)

	// openForm is such an hour in a word, "14-" or "-12".
	openForm = regexp.MustCompile(`^([-–])?(\d{1,2})(?::([0-5]\d))?(am|pm)?(?:h?[-–])?$`)
)

func openWords(kind string) *regexp.Regexp {
	return regexp.MustCompile(`(?i)(^|\s)` + words[kind] + `\s+` + oclock + `(?:[\s,.!]|$)`)
}

func isOpen(word string) bool { return strings.ContainsAny(word, "-–") && openForm.MatchString(word) }

// inOpen writes hours that say but where they begin or end as such words, and a date such as
// "5/29" with points where it can be read in one way.
func inOpen(text string) string {
	text = whole.ReplaceAllString(noons.ReplaceAllString(text, "12:00"), "$1")
	text = closes.ReplaceAllString(opens.ReplaceAllString(text, "$1$2$3- "), "$1-$2$3 ")
	return slash.ReplaceAllStringFunc(text, func(s string) string {
		m := slash.FindStringSubmatch(s)
		first, _ := strconv.Atoi(m[2]) // digits, as matched
		second, _ := strconv.Atoi(m[3])
		switch {
		case first > 12 && second <= 12:
			return m[1] + m[2] + "." + m[3] + ". "
		case second > 12 && first <= 12:
			return m[1] + m[3] + "." + m[2] + ". "
		}
		return s
	})
}

var elsewise = regexp.MustCompile(`(?i)(?:^|[ ,.])` + words["elsewise"] + `(?:[ ,.!?]|$)`)

// comes reports whether a line, whatever its words, has a grid and a day that is still to come,
// and nothing that makes it something else: no call, no number but hours, and no question that
// has an answer of its own.
func comes(line string, now time.Time) bool {
	q, asks := question.Read(line, question.Birds{Is: func(string) bool { return false }})
	if strings.Contains(line, "\n") || elsewise.MatchString(line) || asks && q.Kind != question.Maybe && q.Kind != question.Speech {
		return false
	}
	said := strings.FieldsFunc(spans.ReplaceAllString(line, " "), func(r rune) bool { return strings.ContainsRune(" ,.!?+/", r) })
	grid, day := false, false
	for i, n := 0, 0; i < len(said); i += n {
		named, taken := idiom.DayIn(said[i:], now)
		_, err := tx.GridIn(said[i])
		switch n = max(taken, 1); {
		case err == nil:
			grid, n = true, 1
		case taken > 1 || taken == 1 && len(said[i]) > len("sun"): // of a bare "sat" or "sun" it may not be
			day = day || named.Next.After(idiom.DateAt(now))
		case strings.ContainsAny(said[i], "0123456789") && !isOpen(said[i]):
			return false
		}
	}
	return grid && day
}

// Said reads a line that tells in plain words of a day out: what could be typed behind
// /outing. Unless it begins with what only such a line begins with, it has grid and a day to
// come; else one of them may lack, which is asked then.
func Said(line string, now time.Time) (typed string, told, ok bool) {
	line = inOpen(inHalves(line))
	m, told := spans.FindStringSubmatch(line), idiom.GoesOut(line)
	if (m == nil || !idiom.Goes(line)) && !told {
		if told = comes(line, now); !told {
			return "", false, false
		}
	}
	var span []string
	for ; m != nil; m = spans.FindStringSubmatch(line) {
		span = append(span, m[1]+m[2]+m[5]+"-"+m[3]+m[4]+m[6])
		line = strings.Replace(line, m[0], " ", 1)
	}
	rest := strings.Fields(strings.Map(func(r rune) rune {
		if strings.ContainsRune(",!?", r) || r == '+' || r == '/' {
			return ' '
		}
		return r
	}, line))
	var grids, day []string
	dated := 0 // how many words the days have used up
	for i, word := range rest {
		if _, err := tx.GridIn(strings.Trim(word, ".")); err == nil {
			grids = append(grids, word)
		} else if _, n := idiom.DayIn(rest[i:], now); n > 0 && i >= dated {
			day, dated = append(day, rest[i:i+n]...), i+n
		} else if _, n := idiom.PartIn(rest[i:]); told && n > 0 && i >= dated {
			day, dated = append(day, rest[i:i+n]...), i+n
		} else if told && isOpen(word) {
			span = append(span, word)
		}
	}
	if lacks := len(grids) == 0 || day == nil; lacks && (!told || len(grids) == 0 && day == nil) {
		return "", false, false
	}
	return strings.TrimSpace(strings.Join(slices.Concat(grids, day, span), " ")), told, true
}

// Names reports whether words are for an outing: a place is among them.
func Names(words []string) bool {
	_, _, err := tx.GridsAmong(strings.Join(words, " "))
	return err == nil || slices.Contains(words, wordHere)
}
