// Package clock holds times of day, days, and offsets from a mark as people type them:
// in figures, with colons or with units.
package clock

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Time is a time of day as typed: a minute, or hour and minute, in UTC, to the second if
// one was typed. The zero value is none.
type Time struct {
	hour, minute, second int8 // all plus one; 0: not typed
}

// Make returns the time hour:minute; hour -1 means that only the minute is known. It
// panics if they are out of range.
func Make(hour, minute int) Time {
	t, ok := of(hour, minute)
	if !ok {
		panic(fmt.Sprintf("clock: no time of day: %d:%d", hour, minute))
	}
	return t
}

func of(hour, minute int) (Time, bool) {
	if hour < -1 || hour > 23 || minute < 0 || minute > 59 {
		return Time{}, false
	}
	return Time{hour: int8(hour + 1), minute: int8(minute + 1)}, true
}

// IsSet reports whether there is a time at all.
func (t Time) IsSet() bool { return t.minute > 0 }

// HasHour reports whether the hour is known.
func (t Time) HasHour() bool { return t.hour > 0 }

// Hour returns the hour, 0-23, or 0 if there is none.
func (t Time) Hour() int { return max(0, int(t.hour)-1) }

// Minute returns the minute, 0-59, or 0 if there is none.
func (t Time) Minute() int { return max(0, int(t.minute)-1) }

// Second returns the second, 0-59, or 0 if there is none.
func (t Time) Second() int { return max(0, int(t.second)-1) }

// WithSecond returns the time to the second. A leap second (ITU-R TF.460-6: 60) is the one
// before it: no log format has a place for it.
func (t Time) WithSecond(second int) Time {
	t.second = int8(min(second, 59) + 1)
	return t
}

// String returns ":42", "17:42", either with its second, "17:42:10", or "".
func (t Time) String() string {
	if !t.IsSet() {
		return ""
	}
	text := fmt.Sprintf(":%02d", t.Minute())
	if t.HasHour() {
		text = fmt.Sprintf("%02d", t.Hour()) + text
	}
	if t.second > 0 {
		text += fmt.Sprintf(":%02d", t.Second())
	}
	return text
}

// MarshalText implements [encoding.TextMarshaler] with the form of String.
func (t Time) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler] for the form of String; empty text
// gives the zero value.
func (t *Time) UnmarshalText(text []byte) error {
	made, ok := Read(string(text), false)
	if len(text) > 0 && (!ok || made.String() != string(text)) {
		return fmt.Errorf("%q is no time of day: expected :MM or HH:MM, perhaps with :SS", text)
	}
	*t = made
	return nil
}

// Read reads ":42", "17:42", "7:30", "17:42:10", ":42:10", "17h42" and "1742", and where it
// is said to be in UTC "17.42".
func Read(s string, utc bool) (Time, bool) {
	d := figures(s)
	minute, second := "", ""
	switch {
	case d == 4:
		d, minute = 2, s[2:]
	case d < 3 && d < len(s) && (s[d] == ':' || s[d] == 'h' || utc && s[d] == '.'):
		minute = s[d+1:]
		if len(minute) == 5 && minute[2] == ':' && figures(minute[3:]) == 2 && minute[3:] <= "60" {
			minute, second = minute[:2], minute[3:]
		}
	}
	if len(minute) != 2 || figures(minute) != 2 {
		return Time{}, false
	}
	hour := -1
	if d > 0 {
		hour = number(s[:d])
	}
	t, ok := of(hour, number(minute))
	if ok && second != "" {
		t = t.WithSecond(number(second))
	}
	return t, ok
}

// Offset is a time since the slate, the spoken mark at the start of a recording. The
// zero value is none; an offset of nothing is one.
type Offset struct {
	d   time.Duration
	set bool
}

// makeOffset makes an offset of whole seconds.
func makeOffset(d time.Duration) Offset { return Offset{d, true} }

// IsSet reports whether there is an offset.
func (o Offset) IsSet() bool { return o.set }

// Duration returns the offset in whole seconds.
func (o Offset) Duration() time.Duration { return o.d }

const secondsOfDay = 24 * 60 * 60

// ReadOffset reads "4:10", "1:04:10", "4.10", as phones without a colon at hand have it,
// and what [ReadSpan] does.
func ReadOffset(s string, unitLen func(string) int) (Offset, bool) {
	if strings.ContainsAny(s, "hms") {
		return ReadSpan(s, unitLen)
	}
	total := 0
	if !strings.Contains(s, ":") {
		s = strings.Replace(s, ".", ":", 1)
	}
	parts := strings.Split(s, ":")
	for i, p := range parts {
		if len(p) > 5 || figures(p) != len(p) || i > 0 && (len(p) != 2 || number(p) > 59) {
			return Offset{}, false
		}
		total = 60*total + number(p)
	}
	return makeOffset(time.Duration(total) * time.Second), len(parts) > 1 && total < secondsOfDay
}

// ReadSpan reads "95s", "3m10", "4 min" and "1h02m"; unitLen is how long the unit of time
// is that a text begins with.
func ReadSpan(s string, unitLen func(string) int) (Offset, bool) {
	total, last := 0, secondsOfDay
	for s != "" {
		d := figures(s)
		u := unitLen(s[d:])
		size := last / 60 // the seconds of "3m10"
		if u > 0 {
			size = map[byte]int{'h': 3600, 'm': 60, 's': 1}[strings.TrimLeft(s[d:], " ")[0]]
		}
		if d == 0 || d > 5 || size == 0 || size >= last || last < secondsOfDay && number(s[:d]) > 59 || u == 0 && (last == secondsOfDay || d < len(s)) {
			return Offset{}, false
		}
		total, last = total+number(s[:d])*size, size
		s = s[d+u:]
	}
	return makeOffset(time.Duration(total) * time.Second), total < secondsOfDay
}

// figures counts the figures that s begins with.
func figures(s string) int { return len(s) - len(strings.TrimLeft(s, "0123456789")) }

// number returns the value of figures.
func number(s string) int {
	n, _ := strconv.Atoi(s)
	return n
}
