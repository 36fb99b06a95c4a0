package say

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

const day = 24 * time.Hour

// listed is how many names a text has room for.
const listed = 8

// Clock is a moment to the second, in UTC.
func Clock(t time.Time) string { return t.UTC().Round(time.Second).Format("15:04:05") }

func shortClock(t time.Time) string { return t.UTC().Round(time.Second).Format("15:04") }

// typedClock is a moment as it was typed, with its second if it had one.
func typedClock(t time.Time) string { return strings.TrimSuffix(Clock(t), ":00") }

// span is two moments of the clock, to the minute.
func span(from, to time.Time) string { return shortClock(from) + "–" + shortClock(to) }

func dayMonth(t time.Time) string { return t.UTC().Round(time.Second).Format("2 Jan") }

// localClock is a time in the zone of the place, empty where that reads as UTC does.
func localClock(t time.Time, loc *time.Location) string {
	if loc == nil {
		return ""
	}
	local := t.In(loc).Round(time.Second)
	if _, offset := local.Zone(); offset == 0 {
		return ""
	}
	return local.Format("15:04:05") + " " + zoneName(t, loc)
}

// zoneName is the abbreviation of a zone as of a moment, or its offset where there
// is none.
func zoneName(t time.Time, loc *time.Location) string {
	local := t.In(loc)
	zone, _ := local.Zone()
	if zone == "" || zone[0] == '+' || zone[0] == '-' {
		return "UTC" + local.Format("-07:00")
	}
	return zone
}

// until says when something comes, as precisely as one can use it.
func until(at, now time.Time) string {
	left := at.Sub(now)
	minutes := int(left.Round(time.Minute) / time.Minute)
	switch {
	case left < 90*time.Second:
		return fmt.Sprintf("in %d s", int(left.Round(time.Second)/time.Second))
	case minutes < 90:
		return fmt.Sprintf("in %d min", minutes)
	case minutes < 24*60:
		return fmt.Sprintf("in %d h", minutes/60) + some(minutes%60, " %d min")
	}
	return "on " + dayMonth(at)
}

func minutes(d time.Duration) string { return fmt.Sprintf("%d min", int(d.Minutes())) }

// seconds is a duration as one says it: "12 s", "3 min".
func seconds(d time.Duration) string {
	if d < 2*time.Minute {
		return fmt.Sprintf("%.0f s", math.Max(1, d.Seconds()))
	}
	return fmt.Sprintf("%.0f min", d.Minutes())
}

func wholeDays(d time.Duration) int { return int(d / day) }

// degrees is an angle in whole degrees, never "-0°".
func degrees(deg float64) string { return fmt.Sprintf("%d°", int(math.Round(deg))) }

// heading is a true azimuth with its compass point, in a fixed width.
func heading(azDeg float64) string {
	return fmt.Sprintf("%03d %-3s", int(math.Round(azDeg))%360, predict.CompassPoint(azDeg))
}

// metres writes a distance for people.
func metres(m float64) string {
	if m < 950 {
		return fmt.Sprintf("%.0f m", m)
	}
	return fmt.Sprintf("%.1f km", m/1000)
}

// trimMHz writes a frequency as it was said.
func trimMHz(mhz float64) string { return strconv.FormatFloat(mhz, 'f', -1, 64) }

func count(n int, thing string) string {
	switch {
	case n == 1:
		return "1 " + thing
	case strings.HasSuffix(thing, "s"):
		thing += "e"
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

func nContacts(n int) string { return count(n, "contact") }

func nPasses(n int) string { return count(n, "pass") }

// Listed names as many of a list as a text has room for, and counts the rest.
func Listed(names []string) string { return firstN(names, listed) }

// firstN names the first of a list and counts the rest.
func firstN(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}

// fitting names as many of a list as a line holds between other words, and counts the
// rest: none of them is cut.
func fitting(head string, names []string, foot string) string {
	return layout.FirstLine(len(names), func(n int) string { return head + firstN(names, n) + foot })
}

// Grids writes grids one behind the other.
func Grids(gs []parse.Grid) string { return strings.Join(each(gs, parse.Grid.String), " ") }

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
