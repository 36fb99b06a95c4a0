package idiom

import (
	"regexp"
	"strconv"
	"time"

	"skyslate/parse"
)

// The slate is the spoken mark at the start of a recording: own call, grid, bird,
// date, and the time in UTC. Contacts written down from the recording are told by
// their offset from it, and count from the time that was actually spoken.

// A Slate is the time of one as it was told: a time of day, perhaps with its date
// (midnight UTC).
type Slate struct {
	Set  bool
	Date time.Time
	Day  time.Duration // since midnight
}

var (
	slateWord  = regexp.MustCompile(`(?i)^\W*slate\b|\butc\s+now\b|\bnow\s+utc\b`)
	slateClock = regexp.MustCompile(`(?i)\b([01]?\d|2[0-3])[:.]?([0-5]\d)(?:[:.]?([0-5]\d))?\s*(?:utc|z)?\W*$`)
	bareClock  = regexp.MustCompile(`(?i)^\s*([01]?\d|2[0-3]):?([0-5]\d)(?::?([0-5]\d))?\s*(?:utc|z)?\W*$`)
	leapSecond = regexp.MustCompile(`\b(23[:.]?59[:.]?)60\b`)
	// ISODate is a date as ISO 8601 writes it.
	ISODate  = regexp.MustCompile(`\b(\d{4}-\d{2}-\d{2})\b`)
	wordDate = regexp.MustCompile(`\b(\d{1,2} [A-Za-z]{3,9} \d{4})\b`)
)

// SlateIn reads a line that tells a slate: the word with a time behind it, or
// the whole sentence as it was spoken, up to "UTC now".
func SlateIn(line string) Slate {
	if !slateWord.MatchString(line) {
		return Slate{}
	}
	return dated(slateClock.FindStringSubmatch(noLeap(line)), line)
}

// TimeIn reads a line that holds nothing but a time of day.
func TimeIn(line string) Slate {
	return dated(bareClock.FindStringSubmatch(noLeap(line)), "")
}

// noLeap counts a leap second (ITU-R TF.460-6: 23:59:60 UTC) as the second before it:
// its day and minute are logged, and no log format has a place for it.
func noLeap(line string) string { return leapSecond.ReplaceAllString(line, "${1}59") }

func dated(clock []string, line string) Slate {
	if clock == nil {
		return Slate{}
	}
	s := Slate{Set: true}
	for i, unit := range []time.Duration{time.Hour, time.Minute, time.Second} {
		n, _ := strconv.Atoi(clock[i+1]) // "" is no seconds
		s.Day += time.Duration(n) * unit
	}
	if m := ISODate.FindString(line); m != "" {
		s.Date, _ = time.Parse(time.DateOnly, m)
	}
	for _, form := range []string{"2 January 2006", "2 Jan 2006"} {
		if t, err := time.Parse(form, wordDate.FindString(line)); err == nil {
			s.Date = t
		}
	}
	return s
}

// ClockIn reads a text that holds nothing but a time of day.
func ClockIn(text string) (parse.Clock, bool) {
	told := TimeIn(text)
	if !told.Set {
		return parse.Clock{}, false
	}
	clock := parse.MakeClock(int(told.Day.Hours()), int(told.Day.Minutes())%60)
	if second := int(told.Day.Seconds()) % 60; second > 0 {
		clock = clock.WithSecond(second)
	}
	return clock, true
}
