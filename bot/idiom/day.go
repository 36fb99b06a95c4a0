package idiom

import (
	"cmp"
	_ "embed"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

//go:embed days.txt
var dayTable string

// dayNames are the English words for those of days.txt, with and without accents.
var dayNames = readDays(dayTable)

// mostDayWords are the words that one row of days.txt has for one thing.
const mostDayWords = 3

// A Part is a part of a day, by the local hours between which it is.
type Part struct{ Begins, Ends int }

// parts are by their names in days.txt. Common use, no source.
var parts = map[string]Part{"morning": {6, 12}, "afternoon": {12, 18}, "evening": {17, 22}, "night": {18, 24}}

// Yesterday is the name of the row of days.txt for the one day that is past.
const Yesterday = "yesterday"

// IsPart reports whether the name of a row of days.txt is that of a part of a day.
func IsPart(name string) bool { return parts[name] != Part{} }

// IsHalf reports whether it is that of a half of a day.
func IsHalf(name string) bool { return name == "am" || name == "pm" }

// PartIn is the part of a day that words begin to name, and how many words that takes.
func PartIn(words []string) (part Part, n int) {
	name, n := dayNameIn(words)
	if !IsPart(name) {
		return Part{}, 0
	}
	return parts[name], n
}

// DayName is the English word for a day, or for a part or a half of one, in another
// language, or empty.
func DayName(words string) string { return dayNames[strings.ToLower(words)] }

// dayNameIn is the English word for what words begin with, or else the first of them, and
// how many they are.
func dayNameIn(words []string) (name string, n int) {
	for n := min(len(words), mostDayWords); n > 0; n-- {
		if name := DayName(strings.Join(words[:n], " ")); name != "" {
			return name, n
		}
	}
	if len(words) == 0 {
		return "", 0
	}
	return strings.ToLower(words[0]), 1
}

// DayWords are the words of all languages for what fits, the longest first.
func DayWords(fits func(name string) bool) []string {
	var all []string
	for word, name := range dayNames {
		if fits(name) {
			all = append(all, word)
		}
	}
	slices.SortFunc(all, func(a, b string) int { return cmp.Or(len(b)-len(a), strings.Compare(a, b)) })
	return all
}

func readDays(table string) map[string]string {
	names := map[string]string{}
	for row := range strings.Lines(table) {
		if cells := strings.Split(strings.TrimSpace(row), " | "); len(cells) > 1 && !strings.HasPrefix(row, "#") {
			for _, word := range cells {
				names[word], names[Plain(word)] = cells[0], cells[0]
			}
		}
	}
	return names
}

// dotted is a date as "29.5." or "29.5.2027".
var dotted = regexp.MustCompile(`^(\d{1,2})\.(\d{1,2})\.(\d{4})?$`)

// A Day is a date as words name it: in one, or by a number and a month in any order.
type Day struct {
	Date   time.Time // its midnight in UTC
	number int
	month  time.Month
	OfWeek bool // a day of the week says it
	ofYear bool // a day of a month says it, and no year
	Part   Part // of it; zero: none was named
}

// Dates are of a day that words name: the next one of its name, and the one before that,
// which words of what was mean where the next is still to come. A name that says its year,
// or how far off it is, has none before.
type Dates struct {
	Next, Before time.Time // their midnights in UTC
	Part         Part
}

// dates are those of a day, once it is settled.
func (d *Day) dates() Dates {
	switch {
	case d.OfWeek:
		return Dates{Next: d.Date, Before: d.Date.AddDate(0, 0, -7), Part: d.Part}
	case !d.ofYear:
		return Dates{Next: d.Date, Part: d.Part}
	}
	before := time.Date(d.Date.Year()-1, d.month, d.number, 0, 0, 0, 0, time.UTC)
	for before.Day() != d.number { // 29 February
		before = time.Date(before.Year()-1, d.month, d.number, 0, 0, 0, 0, time.UTC)
	}
	return Dates{Next: d.Date, Before: before, Part: d.Part}
}

// DayIn reads the day, or the part of one, that words begin with, "tomorrow", "sat", "29 May
// in the evening" or "2027-05-29", as of a moment of a local clock, and how many words that
// takes.
func DayIn(words []string, now time.Time) (named Dates, n int) {
	var d Day
	today := DateAt(now)
	for n < len(words) {
		name, more := dayNameIn(words[n:])
		first := n == 0
		if n += more; !d.Take(name, today) {
			break
		}
		if (!first || !d.Date.IsZero() || d.month != 0 && d.number != 0) && d.Settle(today) {
			if part, more := PartIn(words[n:]); more > 0 {
				d.Part, n = part, n+more
			}
			return d.dates(), n
		}
		if !first {
			break
		}
	}
	return Dates{}, 0
}

// MonthIn reads the month or the year that words name and nothing else, "may", "may 2026" or
// "2026", as of a moment of a local clock: the last one that has begun.
func MonthIn(words []string, now time.Time) (from, to time.Time, ok bool) {
	var d Day
	year := now.Year()
	if n := len(words); n > 0 && yearForm.MatchString(words[n-1]) {
		year, _ = strconv.Atoi(words[n-1]) // digits, as matched
		if n == 1 {
			from = time.Date(year, time.January, 1, 0, 0, 0, 0, now.Location())
			return from, from.AddDate(1, 0, 0), true
		}
		words = words[:n-1]
	}
	if len(words) != 1 || !d.Take(strings.ToLower(words[0]), DateAt(now)) || d.month == 0 {
		return from, to, false
	}
	from = time.Date(year, d.month, 1, 0, 0, 0, 0, now.Location())
	if year == now.Year() && from.After(now) {
		from = from.AddDate(-1, 0, 0)
	}
	return from, from.AddDate(0, 1, 0), true
}

var yearForm = regexp.MustCompile(`^20\d\d$`)

// DateAt is the day of the calendar at a moment of a local clock, by its midnight in UTC.
func DateAt(t time.Time) time.Time {
	year, month, number := t.Date()
	return time.Date(year, month, number, 0, 0, 0, 0, time.UTC)
}

// TakeIn reads what words begin with and returns how many of them are of a day or of a part
// of one.
func (d *Day) TakeIn(words []string, today time.Time) int {
	name, n := dayNameIn(words)
	if !d.Take(name, today) {
		return 0
	}
	return n
}

// Take reads one word, in small letters, and reports whether it is of a day or of a part of
// one.
func (d *Day) Take(word string, today time.Time) bool {
	word = cmp.Or(dayNames[word], word)
	if day, part, both := strings.Cut(word, " "); both || IsPart(word) {
		d.Part = parts[cmp.Or(part, word)]
		return !both || d.Take(day, today)
	}
	if date, err := time.Parse(time.DateOnly, word); err == nil {
		d.Date = date
		return true
	}
	if m := dotted.FindStringSubmatch(word); m != nil && d.number == 0 && d.month == 0 {
		number, _ := strconv.Atoi(m[1]) // digits, as matched
		month, _ := strconv.Atoi(m[2])
		d.number, d.month = number, time.Month(month)
		if m[3] != "" {
			d.Date, _ = time.Parse("2.1.2006", word) // no date is refused in the end
		}
		return number >= 1 && number <= 31 && month >= 1 && month <= 12
	}
	if n, err := strconv.Atoi(strings.TrimSuffix(word, ".")); err == nil && n >= 1 && n <= 31 && d.number == 0 {
		d.number = n
		return true
	}
	switch {
	case word == Yesterday:
		d.Date = today.AddDate(0, 0, -1)
		return true
	case word == "today":
		d.Date = today
		return true
	case word == "tomorrow":
		d.Date = today.AddDate(0, 0, 1)
		return true
	case len(word) < 3:
		return false
	}
	for ahead := range 7 {
		if date := today.AddDate(0, 0, ahead); strings.HasPrefix(strings.ToLower(date.Weekday().String()), word) {
			d.Date, d.OfWeek = date, true
			return true
		}
	}
	for m := time.January; m <= time.December; m++ {
		if strings.HasPrefix(strings.ToLower(m.String()), word) {
			d.month = m
			return true
		}
	}
	return false
}

// Settle makes a date of a number and a month, the next such day, and reports whether
// there is a date at all.
func (d *Day) Settle(today time.Time) bool {
	if d.number != 0 && d.month != 0 && d.Date.IsZero() {
		d.ofYear = true
		d.Date = time.Date(today.Year(), d.month, d.number, 0, 0, 0, 0, time.UTC)
		if d.Date.Before(today) {
			d.Date = time.Date(today.Year()+1, d.month, d.number, 0, 0, 0, 0, time.UTC)
		}
	}
	return !d.Date.IsZero() && (d.number == 0 || d.Date.Day() == d.number)
}

var (
	besideDay = regexp.MustCompile(`(?i)^(?:[01]?\d|2[0-3]):?[0-5]\d(?:utc|z)?$`)
	beforeDay = regexp.MustCompile("(?i)^" + forms["on"] + "$")
	beforeAt  = regexp.MustCompile("(?i)^" + forms["at"] + "$")
)

// DayBeside reads a day of the past that stands beside a time of day, "Sunday 10:45", "on 23
// May at 10:45" or "10:45 yesterday", as of a moment, and the line without that day.
func DayBeside(line string, now time.Time) (day time.Time, rest string, ok bool) {
	words := strings.Fields(line)
	bare := make([]string, len(words))
	for i, word := range words {
		bare[i] = strings.Trim(word, ",;:!()")
	}
	is := func(i int, form *regexp.Regexp) bool { return i >= 0 && i < len(bare) && form.MatchString(bare[i]) }
	for i := range bare {
		day, n := lastDay(bare[i:], now)
		if n == 0 {
			continue
		}
		from, next := i, i+n
		if is(i-1, beforeDay) {
			from--
		}
		if is(next, beforeAt) {
			next++
		}
		if is(next, besideDay) || is(from-1, besideDay) {
			return day, strings.Join(slices.Concat(words[:from], words[i+n:]), " "), true
		}
	}
	return time.Time{}, line, false
}

// LastDay is the last day up to that of a moment of a local clock which words name.
func LastDay(text string, now time.Time) (day time.Time, ok bool) {
	words := strings.Fields(text)
	if named, n := DayIn(words, now); n == len(words) && n > 0 && named.Next.Equal(DateAt(now)) {
		return named.Next, true
	}
	day, n := lastDay(words, now)
	return day, n == len(words) && n > 0
}

// lastDay is the last day before that of a moment which words begin to name, and how many
// words that takes.
func lastDay(words []string, now time.Time) (day time.Time, n int) {
	today := DateAt(now)
	named, n := DayIn(words, now)
	switch {
	case n == 0:
	case named.Next.Before(today):
		return named.Next, n
	case named.Next.After(today) && !named.Before.IsZero():
		return named.Before, n
	}
	return day, 0
}
