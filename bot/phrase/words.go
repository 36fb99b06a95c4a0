package phrase

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/layout"
	"skyslate/parse"
	"skyslate/predict"
)

const Day = 24 * time.Hour

// MostListed is how many names a text has room for.
const MostListed = 8

// Clock is a moment to the second, in UTC.
func Clock(t time.Time) string { return t.UTC().Round(time.Second).Format("15:04:05") }

func ShortClock(t time.Time) string { return t.UTC().Round(time.Second).Format("15:04") }

// TypedClock is a moment as it was typed, with its second if it had one.
func TypedClock(t time.Time) string { return strings.TrimSuffix(Clock(t), ":00") }

// Span is two moments of the clock, to the minute.
func Span(from, to time.Time) string { return ShortClock(from) + "–" + ShortClock(to) }

func DayMonth(t time.Time) string { return t.UTC().Round(time.Second).Format("2 Jan") }

// LocalClock is a time in the zone of the place, empty where that reads as UTC does.
func LocalClock(t time.Time, loc *time.Location) string {
	if loc == nil {
		return ""
	}
	local := t.In(loc).Round(time.Second)
	if _, offset := local.Zone(); offset == 0 {
		return ""
	}
	return local.Format("15:04:05") + " " + ZoneName(t, loc)
}

// ZoneName is the abbreviation of a zone as of a moment, or its offset where there
// is none.
func ZoneName(t time.Time, loc *time.Location) string {
	local := t.In(loc)
	zone, _ := local.Zone()
	if zone == "" || zone[0] == '+' || zone[0] == '-' {
		return "UTC" + local.Format("-07:00")
	}
	return zone
}

// AheadOfUTC says in parentheses how far a zone's clock is ahead of UTC at the begin of a span,
// and at its end where the clocks are changed on the way; it is empty for UTC.
func AheadOfUTC(from, until time.Time, loc *time.Location) string {
	ahead := func(t time.Time) string {
		name, offset := ZoneName(t, loc), t.In(loc).Format("-07:00")
		if _, seconds := t.In(loc).Zone(); name != "UTC"+offset {
			return fmt.Sprintf("%s %+g h", name, float64(seconds)/3600)
		}
		return name
	}
	begins, ends := ahead(from), ahead(until)
	switch {
	case begins != ends:
		return " (" + begins + ", then " + ends + ")"
	case strings.HasSuffix(begins, " +0 h"):
		return ""
	}
	return " (" + begins + ")"
}

// Until says when something comes, as precisely as one can use it.
func Until(at, now time.Time) string {
	left := at.Sub(now)
	minutes := int(left.Round(time.Minute) / time.Minute)
	switch {
	case left < 90*time.Second:
		return fmt.Sprintf("in %d s", int(left.Round(time.Second)/time.Second))
	case minutes < 90:
		return fmt.Sprintf("in %d min", minutes)
	case minutes < 24*60:
		return fmt.Sprintf("in %d h", minutes/60) + Some(minutes%60, " %d min")
	}
	return "on " + DayMonth(at)
}

func Minutes(d time.Duration) string { return fmt.Sprintf("%d min", int(d.Minutes())) }

// Seconds is a duration as one says it: "12 s", "3 min".
func Seconds(d time.Duration) string {
	if d < 2*time.Minute {
		return fmt.Sprintf("%.0f s", math.Max(1, d.Seconds()))
	}
	return fmt.Sprintf("%.0f min", d.Minutes())
}

func WholeDays(d time.Duration) int { return int(d / Day) }

// Degrees is an angle in whole degrees, never "-0°".
func Degrees(deg float64) string { return fmt.Sprintf("%d°", int(math.Round(deg))) }

// Heading is a true azimuth with its compass point, in a fixed width.
func Heading(azDeg float64) string {
	return fmt.Sprintf("%03d %-3s", int(math.Round(azDeg))%360, predict.CompassPoint(azDeg))
}

// Metres writes a distance for people.
func Metres(m float64) string {
	if m < 950 {
		return fmt.Sprintf("%.0f m", m)
	}
	return fmt.Sprintf("%.1f km", m/1000)
}

// TrimMHz writes a frequency as it was said.
func TrimMHz(mhz float64) string { return strconv.FormatFloat(mhz, 'f', -1, 64) }

func Count(n int, thing string) string {
	switch {
	case n == 1:
		return "1 " + thing
	case strings.HasSuffix(thing, "s"):
		thing += "e"
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

func NContacts(n int) string { return Count(n, "contact") }

func NPasses(n int) string { return Count(n, "pass") }

// Listed names as many of a list as a text has room for, and counts the rest.
func Listed(names []string) string { return FirstN(names, MostListed) }

// FirstN names the first of a list and counts the rest.
func FirstN(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}

// Fitting names as many of a list as a line holds between other words, and counts the
// rest: none of them is cut.
func Fitting(head string, names []string, foot string) string {
	return layout.FirstLine(len(names), func(n int) string { return head + FirstN(names, n) + foot })
}

// Grids writes grids one behind the other.
func Grids(gs []parse.Grid) string { return strings.Join(Each(gs, parse.Grid.String), " ") }

func UpperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
