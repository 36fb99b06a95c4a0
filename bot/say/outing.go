package say

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/parse"
	"skyslate/predict"
)

// Days in the field that are prepared ahead, and their timetables.

const outingHow = `A day out? Say where, when, and if you
like which birds and wanted grids:
/outing IP73 29 May 9-15 JO43
Hours are local there. You see what
passes and arm it with one tap.`

// What is asked or refused of an outing.
const (
	OutingWhere       = "Where to? Name the grid of the place\nfirst: /outing IP73 29 May 9-15"
	OutingWhen        = "Which day? Such as 29 May, 2027-05-29,\nsat or tomorrow."
	TooManyOutings    = "You have planned enough days out.\nCall one off first."
	LabelCalendarAnew = "Calendar file anew"
)

// Outing is a day in the field: a place, its time zone, and a span of time.
type Outing struct {
	Place       Place
	Zone        *time.Location
	From, Until time.Time
	Armed       bool
}

// BadOuting refuses a word.
var BadOuting = inLines(typed(16),
	"“%s” says neither where nor when. Say a grid, a day, hours or a bird, such as /outing IP73 29 May 9-15")

// OutingRange refuses an outing that is over, or more than so many days ahead.
func OutingRange(o Outing, days int) string {
	return sentence("%s is not within %d days from now: no elements serve for that.", o.From.In(o.Zone).Format("2 Jan 2006 15:04"), days)
}

// name names an outing by day and place.
func (o Outing) name() string {
	return o.From.In(o.Zone).Format("Mon 2 Jan") + " " + o.Place.name()
}

func (o Outing) head() []string {
	hour := func(t time.Time) string { return strings.TrimSuffix(t.In(o.Zone).Format("15:04"), ":00") }
	until := hour(o.Until)
	if until == "00" {
		until = "24"
	}
	return hung(fmt.Sprintf("%s%s, %s–%s h %s", when(o.Armed, "Armed: "), o.name(), hour(o.From), until, zoneName(o.From, o.Zone)))
}

// Buttons: an outing's passes are armed, or it is called off; and where one is, at
// the outing's place or the one set, and the answer to the latter.
var (
	CallOffLabel  = inLine(Outing.name, "Call off %s")
	ThereLabel    = inLine(Place.name, "I am in %s")
	NotThereLabel = inLine(Place.name, "No, in %s")
	NotThere      = inLine(Place.name, "Passes and log for %s.")

	ArmOutingLabel = inLine2(func(o Outing) string { return o.Place.name() }, nPasses, "Arm %[2]s at %[1]s")
)

// CalledOff says that an outing is off.
func CalledOff(o Outing) string { return clip("Called off: "+o.name()+".", Columns) }

// Outings lists the outings that are armed.
func Outings(all []Outing) string {
	var lines []string
	for _, o := range all {
		lines = append(lines, o.head()...)
	}
	return strings.Join(append(lines, outingHow), "\n")
}

// OutingPasses lists an outing's passes in their order: UTC and local AOS, peak,
// directions, and when a grid wanted is in common view, where there is room.
func OutingPasses(o Outing, passes []Pass, refused string) string {
	head := o.head()
	if len(passes) == 0 {
		return Fit(lined(head, footed(wrap("No pass of these birds then, not even a low one.", ""), refused)))
	}
	head = append(head, "UTC   local bird, peak, from–to")
	var foot []string
	rows := outingRows(passes, o.Zone, true)
	if slices.ContainsFunc(rows, func(row string) bool { return strings.HasPrefix(row, "=") }) {
		foot = []string{"= overlaps the one before"}
	}
	foot = footed(foot, refused)
	over := func() int { return len(head) + len(rows) + len(foot) - Lines }
	if over() > 0 && len(passes[0].Wanted) > 0 {
		rows = outingRows(passes, o.Zone, false)
	}
	if n := over(); n > 0 {
		keep := max(len(rows)-n-1, 0)
		rows = append(rows[:keep], fmt.Sprintf("… and %d more", len(passes)-keep))
	}
	return Fit(lined(head, rows, foot))
}

// outingRows are the passes, a line each, those that overlap the one before with
// a sign, and if wished below each when the grids wanted are in common view.
func outingRows(passes []Pass, loc *time.Location, windows bool) []string {
	var lines []string
	width := widest(passes, 12, Pass.birdName)
	for i, p := range passes {
		sign := " "
		if i > 0 && p.AOS.Before(passes[i-1].LOS) {
			sign = "="
		}
		lines = append(lines, fmt.Sprintf("%s%s %s %s %3s %s", sign, shortClock(p.AOS),
			p.AOS.In(loc).Round(time.Second).Format("15:04"), padded(p.Bird.Name, width), peak(p.Pass), p.way("–")))
		if words := reached(p, p.Wanted); windows && len(words) > 0 {
			lines = append(lines, each(wrap(strings.Join(words, ", "), ""), func(s string) string { return clip("   "+s, Columns) })...)
		}
	}
	return lines
}

// SheetHead is the head of a pass's timetable as it is sent first, one of so many.
func SheetHead(p predict.Pass, n, of int) string {
	return fmt.Sprintf("%s, %d of %d", sheetName(p), n, of)
}

// SheetMovedHead is the head of one whose AOS has moved.
func SheetMovedHead(p predict.Pass, later time.Duration) string {
	word, by := "later", later.Round(time.Second)
	if by < 0 {
		word, by = "earlier", -by
	}
	text := fmt.Sprintf("%d s", int(by/time.Second))
	if by >= 2*time.Minute {
		text = minutes(by.Round(time.Minute))
	}
	return fmt.Sprintf("New timetable, %s %s: %s", text, word, sheetName(p))
}

// SheetNewHead is the head of one for a pass that was not known before, MoreSheets
// says how many timetables were left out.
var (
	SheetNewHead = inLine(sheetName, "One more: %s")
	MoreSheets   = inLines(nPasses, "%s more, in the calendar file alone.")
)

func sheetName(p predict.Pass) string { return p.AOS.UTC().Format("Mon 2 Jan") + " " + p.Name }

// SheetGone says that the pass of a timetable is off.
func SheetGone(p predict.Pass, place Place) string {
	return sentence("No longer takes place at %s: %s, AOS %s UTC.", place.name(), sheetName(p), shortClock(p.AOS))
}

// Sheet is a pass of an outing under its head so that nothing else is needed
// to work it, whenever it is read; loc is the zone of the place.
func Sheet(p Pass, head string, call parse.Callsign, loc *time.Location) string {
	return thrifty(func(t thrift) []string {
		return slices.Concat(
			wrap(head, "  "),
			ageLines(p),
			momentLines(p, loc),
			extraLines(p, t.bare),
			tuningLines(p.Transponder(), p.Radio.StepKHz),
			timetable(p, p.AOS.Add(-time.Hour), t),
			slateLines(p, call, t),
		)
	})
}

// Early is the reminder well ahead; loc is the zone of the place.
func Early(p Pass, now time.Time, loc *time.Location) string {
	return lined(
		wrap(fmt.Sprintf("%s: %s rises %s in the %s, peak %s", p.Place.name(), p.Bird.Name, until(p.AOS, now),
			predict.CompassPoint(p.Look(p.AOS).AzDeg), peak(p.Pass)), ""),
		momentLines(p, loc),
		tuningLines(p.Transponder(), p.Radio.StepKHz),
		wantedLines(p),
	)
}

// AskThere asks where one is, when contacts come in under another grid than the outing's.
var AskThere = inLines2(Place.name, Place.name,
	"Logged as from %s, but your outing is at %s. Where are you?")

// Arrived says that one is at the outing's place, and how many contacts were put right.
func Arrived(p Place, moved int) string {
	return paragraph("You are in " + p.name() + "." + when(moved > 0, " "+nContacts(moved)+" put right."))
}
