package idiom

import (
	_ "embed"
	"slices"
	"strconv"
	"strings"
	"time"
)

//go:embed spans.txt
var spanTable string

// spanNames are the English words for those of spans.txt, with and without accents.
var spanNames = readDays(spanTable)

func spanName(words ...string) string { return spanNames[strings.ToLower(strings.Join(words, " "))] }

// SpanIn reads days of the past that words name together, and nothing else, as of a moment of a
// local clock: "last week", "this year", "the last 3 days", "since saturday", "from friday to
// sunday". They are from one midnight up to another; a week begins with Monday, as ISO 8601 has
// it, and what goes on includes today.
func SpanIn(words []string, now time.Time) (from, to time.Time, ok bool) {
	for len(words) > 1 && spanName(words[0]) == "from" {
		words = words[1:]
	}
	midnight := func(date time.Time, days int) time.Time {
		return time.Date(date.Year(), date.Month(), date.Day()+days, 0, 0, 0, 0, now.Location())
	}
	if i := slices.IndexFunc(words, func(word string) bool { return spanName(word) == "up to" }); i > 0 {
		first, begins := LastDay(strings.Join(words[:i], " "), now)
		last, ends := LastDay(strings.Join(words[i+1:], " "), now)
		return midnight(first, 0), midnight(last, 1), begins && ends && first.Before(last)
	}
	if len(words) > 1 && spanName(words[0]) == "since" {
		return sinceIn(words[1:], now, midnight(now, 1))
	}
	name, number := spanNamed(words)
	monday := midnight(now, -(int(now.Weekday())+6)%7)
	month, year := midnight(now, 1-now.Day()), midnight(now, 1-now.YearDay())
	tomorrow := midnight(now, 1)
	switch name {
	case "last days":
		return midnight(now, -number), tomorrow, number > 0
	case "this week":
		return monday, tomorrow, true
	case "last week":
		return monday.AddDate(0, 0, -7), monday, true
	case "last weekend":
		return monday.AddDate(0, 0, -2), monday, true
	case "this month":
		return month, tomorrow, true
	case "last month":
		return month.AddDate(0, -1, 0), month, true
	case "this year":
		return year, tomorrow, true
	case "last year":
		return year.AddDate(-1, 0, 0), year, true
	}
	return from, to, false
}

// sinceIn is from the day, the month or the span that words name up to a moment.
func sinceIn(words []string, now, to time.Time) (time.Time, time.Time, bool) {
	if day, ok := LastDay(strings.Join(words, " "), now); ok {
		return time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, now.Location()), to, true
	}
	from, _, ok := MonthIn(words, now)
	if !ok {
		from, _, ok = SpanIn(words, now)
	}
	return from, to, ok
}

// spanNamed is the English name of the days that words name, without the number among them.
func spanNamed(words []string) (name string, number int) {
	named := slices.DeleteFunc(slices.Clone(words), func(word string) bool {
		n, err := strconv.Atoi(word)
		if err == nil && number == 0 && n <= mostDays {
			number = n
			return true
		}
		return false
	})
	if name = spanName(named...); (number != 0) != (name == "last days") {
		return "", 0
	}
	return name, number
}

// mostDays is the most that are told by their number.
const mostDays = 366
