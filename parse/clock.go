package parse

import (
	"strings"
	"time"
	"unicode"

	"skyslate/parse/clock"
)

// Clock is a time of day as typed, in UTC: a minute, or hour and minute.
type Clock = clock.Time

// Date is a day as typed, with or without its year.
type Date = clock.Date

// DateOf returns the day of a moment in UTC.
func DateOf(t time.Time) Date { return clock.DateOf(t) }

// Offset is a time since the slate, the spoken mark at the start of a recording.
type Offset = clock.Offset

// MakeClock returns the time hour:minute; hour -1 means that only the minute is known.
func MakeClock(hour, minute int) Clock { return clock.Make(hour, minute) }

// clockOf reads a time in figures, with a word for UTC glued to it or without.
func clockOf(s string) (Clock, bool) {
	bare := strings.TrimRightFunc(s, unicode.IsLower)
	if bare == s || meaningOf(s[len(bare):])&utc == 0 {
		return clock.Read(s, false)
	}
	return clock.Read(bare, true)
}

// offsetOf reads "+4:10", "+4.10", "+1:04:10", "+95s" and "+3m10".
func offsetOf(s string) (Offset, bool) { return clock.ReadOffset(s[1:], unitLen) }

// ParseOffset reads a text that is an offset from the slate and nothing else: "+4:10".
func ParseOffset(text string) (Offset, bool) {
	text, signed := strings.CutPrefix(strings.ToLower(strings.TrimSpace(text)), "+")
	after, ok := clock.ReadOffset(text, unitLen)
	return after, ok && signed
}
