package contact

import (
	"regexp"
	"strconv"
	"time"

	"skyslate/parse"
	"skyslate/storage"
)

// The slate is the spoken mark at the start of a recording: own call, grid, bird,
// date, and the time in UTC. Contacts written down from the recording are told by
// their offset from it, and count from the time that was actually spoken.

// A spokenTime is the time of a slate as it was told: a time of day, perhaps with
// its date (midnight UTC).
type spokenTime struct {
	set  bool
	date time.Time
	day  time.Duration // since midnight
}

// near returns the moment meant: of the date told, else the one nearest to the
// pass or, without a pass, the latest before the message.
func (s spokenTime) near(pass storage.Pass, at time.Time) time.Time {
	if !s.date.IsZero() {
		return s.date.Add(s.day)
	}
	around := at.Add(-day / 2)
	if pass.ID != "" {
		around = pass.TCA
	}
	return nearestOf(around.UTC().Truncate(day).Add(s.day), day, around)
}

var (
	slateWord  = regexp.MustCompile(`(?i)^\W*slate\b|\butc\s+now\b|\bnow\s+utc\b`)
	slateClock = regexp.MustCompile(`(?i)\b([01]?\d|2[0-3])[:.]?([0-5]\d)(?:[:.]?([0-5]\d))?\s*(?:utc|z)?\W*$`)
	bareClock  = regexp.MustCompile(`(?i)^\s*([01]?\d|2[0-3]):?([0-5]\d)(?::?([0-5]\d))?\s*(?:utc|z)?\W*$`)
	leapSecond = regexp.MustCompile(`\b(23[:.]?59[:.]?)60\b`)
	ISODate    = regexp.MustCompile(`\b(\d{4}-\d{2}-\d{2})\b`)
	wordDate   = regexp.MustCompile(`\b(\d{1,2} [A-Za-z]{3,9} \d{4})\b`)
)

// slateIn reads a line that tells a slate: the word with a time behind it, or
// the whole sentence as it was spoken, up to "UTC now".
func slateIn(line string) spokenTime {
	if !slateWord.MatchString(line) {
		return spokenTime{}
	}
	return dated(slateClock.FindStringSubmatch(noLeap(line)), line)
}

// slateAnswer reads a line that holds nothing but a time of day.
func slateAnswer(line string) spokenTime {
	return dated(bareClock.FindStringSubmatch(noLeap(line)), "")
}

// noLeap counts a leap second (ITU-R TF.460-6: 23:59:60 UTC) as the second before it:
// its day and minute are logged, and no log format has a place for it.
func noLeap(line string) string { return leapSecond.ReplaceAllString(line, "${1}59") }

func dated(clock []string, line string) spokenTime {
	if clock == nil {
		return spokenTime{}
	}
	s := spokenTime{set: true}
	for i, unit := range []time.Duration{time.Hour, time.Minute, time.Second} {
		n, _ := strconv.Atoi(clock[i+1]) // "" is no seconds
		s.day += time.Duration(n) * unit
	}
	if m := ISODate.FindString(line); m != "" {
		s.date, _ = time.Parse(time.DateOnly, m)
	}
	for _, form := range []string{"2 January 2006", "2 Jan 2006"} {
		if t, err := time.Parse(form, wordDate.FindString(line)); err == nil {
			s.date = t
		}
	}
	return s
}

// SlateNear reads the slate that a line tells, as the moment that is meant: of the
// date told, else the one nearest to the pass or, without a pass, the latest before
// at.
func SlateNear(line string, pass storage.Pass, at time.Time) (time.Time, bool) {
	told := slateIn(line)
	return told.near(pass, at), told.set
}

// ClockIn reads a text that holds nothing but a time of day.
func ClockIn(text string) (parse.Clock, bool) {
	told := slateAnswer(text)
	if !told.set {
		return parse.Clock{}, false
	}
	return parse.MakeClock(int(told.day.Hours()), int(told.day.Minutes())%60), true
}
