package say

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/parse"
	"skyslate/predict"
)

// Days in the field that are prepared ahead, and their timetables.

const outingHow = `A day out? Say where, when, and if you
like which birds, how high, and for
which grids:
/outing JO62+JO72 29 May 9-15 above 20
/outing IP73 sat WICKET wanted JO43
Hours are local there. You choose the
passes and arm them with one tap.`

// What is asked or refused of an outing.
const (
	OutingWhere       = "Where to? Name the grid of the place\nfirst: /outing IP73 29 May 9-15"
	OutingWhen        = "Which day? Such as 29 May, 2027-05-29,\nsat or tomorrow."
	OutingAbove       = "Above how many degrees? Such as\nabove 20."
	LabelCalendarAnew = "Calendar file anew"
)

// Outing is a day in the field: a place, its time zone, and a span of time.
type Outing struct {
	Place       Place
	Zone        *time.Location
	From, Until time.Time
	PeakDeg     float64 // the lowest asked for, 0: none
	Wanted      []parse.Grid
	Armed       bool
}

// BadOuting refuses a word.
var BadOuting = phrase.InLines(phrase.Typed(16),
	"“%s” says neither where nor when. Say a grid, a day, hours or a bird, such as /outing IP73 29 May 9-15")

// OutingTwice refuses a second day, or second hours.
var OutingTwice = phrase.InLines(phrase.Typed(16),
	"“%s” makes it two outings, and I plan one at a time: a place, a day, its hours. Send the first alone, then the other.")

// OutingRange refuses an outing that is over, or more than so many days ahead.
func OutingRange(o Outing, days int) string {
	return phrase.Sentence("%s is not within %d days from now: no elements serve for that.", o.From.In(o.Zone).Format("2 Jan 2006 15:04"), days)
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
	from := hour(o.From)
	if zone := phrase.ZoneName(o.From, o.Zone); zone != phrase.ZoneName(o.Until, o.Zone) { // the clocks are changed on the way
		from += " h " + zone
	}
	return layout.Hang(fmt.Sprintf("%s%s, %s–%s h %s%s", phrase.When(o.Armed, "Armed: "), o.name(), from, until,
		phrase.ZoneName(o.Until, o.Zone), phrase.When(o.PeakDeg > 0, fmt.Sprintf(", above %.0f°", o.PeakDeg))))
}

// Buttons: an outing's passes are left out or taken, armed, told to others, or it is
// called off, which is said, with the passes that ring all the same, or offered where so many are to come; and where one is, at the outing's place or the one set, and
// the answer to the latter.
var (
	CalledOff     = phrase.InLines(Outing.name, "Called off: %s.")
	StillRing     = phrase.InLines(phrase.Listed, "With a reminder all the same: %s.")
	ArmedWith     = phrase.InLines2(phrase.Listed, Outing.name, "Not offered: %s, armed with your outing %s. Its hours overlap these: call one off, or tell other hours.")
	OutingLeft    = phrase.InLines2(Outing.name, phrase.NPasses, "%s: %s to come, with reminders. Over for you? Call it off, and /at home once you are there.")
	CallOffLabel  = phrase.InLine(Outing.name, "Call off %s")
	SheetsLabel   = phrase.InLine(Outing.name, "Timetables %s")
	AnnounceLabel = phrase.InLine(Outing.name, "Announce %s")
	WithoutLabel  = phrase.InLine(PassName, "Without %s")
	WithLabel     = phrase.InLine(PassName, "With %s")
	ThereLabel    = phrase.InLine(Place.name, "I am in %s")
	NotThereLabel = phrase.InLine(Place.name, "No, in %s")
	NotThere      = phrase.InLine(Place.name, "Passes and log for %s.")
)

// Outings lists the outings that are armed.
func Outings(all []Outing) string {
	var lines []string
	for _, o := range all {
		lines = append(lines, o.head()...)
	}
	return strings.Join(append(lines, outingHow), "\n")
}

// OutingPass is a pass of an outing: taken, or left out.
type OutingPass struct {
	Pass
	Left bool
}

// OutingPage is a part of an outing's passes that a phone shows, the first of which is
// that number of all.
type OutingPage struct {
	Text        string
	First, Last int
}

// ArmOutingLabel arms so many of an outing's passes, those of other pages too.
func ArmOutingLabel(o Outing, n, of int, paged bool) string {
	some := ""
	if paged {
		some, n = cmp.Or(phrase.When(n == of, "all "), fmt.Sprintf("%d of ", n)), of
	}
	return "Arm " + some + phrase.NPasses(n) + " at " + o.Place.name()
}

// OtherPageLabel turns to another part of the list.
func OtherPageLabel(p OutingPage, of int) string {
	if p.Last == p.First+1 {
		return fmt.Sprintf("Pass %d of %d", p.Last, of)
	}
	return fmt.Sprintf("Passes %d–%d of %d", p.First+1, p.Last, of)
}

// OutingPages lists an outing's passes in their order: AOS, peak, directions, and when
// a station or a grid wanted is in common view.
func OutingPages(o Outing, passes []OutingPass, refused string) []OutingPage {
	head := o.head()
	if len(passes) == 0 {
		none := layout.Wrap("No pass of these birds then, not even a low one.")
		return []OutingPage{{Text: layout.Fit(phrase.Lined(head, phrase.Footed(none, refused)))}}
	}
	signs := outingSigns(passes)
	legend := strings.Trim(phrase.When(slices.Contains(signs, "="), "= overlaps the one before")+
		phrase.When(slices.Contains(signs, "x"), ", x left out"), ", ")
	foot := phrase.Footed(nil, legend, refused)
	if len(o.Wanted) > 0 {
		head = append(head, layout.Hang("Wanted: "+phrase.Grids(o.Wanted))...)
	}
	head = append(head, layout.Hang("AOS UTC"+phrase.AheadOfUTC(o.From, o.Until, o.Zone)+", peak, from–to")...)
	days := outingDays(o, passes)
	blocks, room := outingBlocks(passes, signs, days), layout.Lines-len(head)-len(foot)-min(len(days), 1)
	var pages []OutingPage
	first := 0
	for _, page := range layout.Group(blocks, room) {
		var day []string
		if first > 0 && days != nil && days[first] == days[first-1] {
			day = layout.TableRows(days[first])
		}
		text := phrase.Lined(head, day, slices.Concat(page...), foot)
		pages = append(pages, OutingPage{layout.Fit(text), first, first + len(page)})
		first += len(page)
	}
	return pages
}

// outingDays are the days of passes, by UTC as their times; none where all are on the day
// that names the outing, which is a local one.
func outingDays(o Outing, passes []OutingPass) []string {
	days := phrase.Each(passes, func(p OutingPass) string { return p.AOS.UTC().Format("Mon 2 Jan") })
	if slices.ContainsFunc(days, func(day string) bool { return day != o.From.In(o.Zone).Format("Mon 2 Jan") }) {
		return days
	}
	return nil
}

// outingSigns tell, by pass, those left out and those that overlap the one before.
func outingSigns(passes []OutingPass) []string {
	signs := slices.Repeat([]string{" "}, len(passes))
	for i, p := range passes {
		switch {
		case p.Left:
			signs[i] = "x"
		case i > 0 && p.AOS.Before(passes[i-1].LOS):
			signs[i] = "="
		}
	}
	return signs
}

// outingBlocks are the passes, each a line that begins with its sign, below its day where
// that is another one, and below it the skeds and the common windows.
func outingBlocks(passes []OutingPass, signs, days []string) (blocks [][]string) {
	bird := layout.Column(passes, layout.TableColumns-len("=17:42  65o WSW-ENE "), OutingPass.birdName)
	for i, p := range passes {
		var rows []string
		if days != nil && (i == 0 || days[i] != days[i-1]) {
			rows = append(rows, days[i])
		}
		rows = append(rows, fmt.Sprintf("%s%s %s %3s %s", signs[i], phrase.ShortClock(p.AOS), bird(p), peak(p.Pass.Pass), p.way("–")))
		for _, s := range p.Skeds {
			rows = append(rows, "   "+skedLine(p.Pass, s))
		}
		windows, _ := reached(p.Pass, p.Wanted)
		for _, window := range windows {
			rows = append(rows, "   "+window)
		}
		blocks = append(blocks, layout.Narrow(layout.TableRows(rows...)...))
	}
	return blocks
}

// Sheets are the timetables of an outing's passes as one document, so that nothing
// else is needed to work them, whenever it is read; loc is the zone of the place.
func Sheets(passes []Pass, call parse.Callsign, loc *time.Location) string {
	lines := []string{fmt.Sprintf("%s in %s, %s", call, passes[0].Place.name(), phrase.NPasses(len(passes)))}
	all := thrift{whole: true}
	for i, p := range passes {
		lines = slices.Concat(lines,
			[]string{strings.Repeat("-", layout.Columns)},
			[]string{fmt.Sprintf("%s, %d of %d", sheetName(p.Pass), i+1, len(passes))},
			ageLines(p), momentLines(p, loc), skedLines(p, all), extraLines(p, all),
			p.tuning(),
			timetable(p, p.AOS.Add(-time.Hour), all),
			slateLines(p, call, all),
		)
	}
	read, _ := layout.Styled(phrase.Lined(lines, []string{""}))
	return read
}

// What is said of timetables: how many there are, beside the document, and of one
// that is new since.
var (
	SheetsCaption = phrase.InLines2(phrase.NPasses, Outing.name, "Timetables of %s, %s. Open the document once now: "+
		"then the phone has it where there is no coverage.")
	SheetNew = phrase.InLine(sheetName, "One more: %s")
)

// SheetMoved says that AOS of a timetable has moved.
func SheetMoved(p predict.Pass, later time.Duration) string {
	word, by := "later", later.Round(time.Second)
	if by < 0 {
		word, by = "earlier", -by
	}
	text := fmt.Sprintf("%d s", int(by/time.Second))
	if by >= 2*time.Minute {
		text = phrase.Minutes(by.Round(time.Minute))
	}
	return sheetName(p) + ": " + text + " " + word
}

// SheetsAnew goes with timetables that are sent anew, or says why there are none. Without
// news it is the operator who has changed something.
func SheetsAnew(o Outing, news []string) string {
	if len(news) == 0 {
		news = []string{"What you have arranged or changed since is in them."}
	}
	return layout.Clip(phrase.Paragraphs(append([]string{"New timetables, " + o.name() + ":"}, news...)...), maxCaption)
}

func sheetName(p predict.Pass) string {
	return fmt.Sprintf("%s %s %s", p.AOS.UTC().Format("Mon 2 Jan"), p.Name, phrase.ShortClock(p.AOS))
}

// SheetGone says that the pass of a timetable is off.
var SheetGone = phrase.InLine(sheetName, "No longer takes place: %s")

// Early calls for a pass well ahead of its reminder; loc is the zone of the place.
func Early(p Pass, lead time.Duration, now time.Time, loc *time.Location) string {
	return phrase.Lined(
		layout.BoldLines(layout.Wrap(fmt.Sprintf("%s: %s rises %s in the %s, peak %s", p.Place.name(), p.Bird.Name,
			phrase.Until(p.AOS, now), predict.CompassPoint(p.Look(p.AOS).AzDeg), peak(p.Pass)))...),
		momentLines(p, loc),
		p.tuning(),
		wantedLines(p, thrift{}),
		layout.Wrap("The timetable comes "+phrase.Minutes(lead)+" ahead, silently."),
	)
}

// AskThere asks where one is, when contacts come in under another grid than the outing's.
var AskThere = phrase.InLines2(Place.name, Place.name,
	"Logged as from %s, but your outing is at %s. Where are you?")

// Arrived says that one is at the outing's place, and how many contacts were put right.
func Arrived(p Place, moved int) string {
	return phrase.Paragraph("You are in " + p.name() + "." + phrase.When(moved > 0, " "+phrase.NContacts(moved)+" put right."))
}

// LoggedThere says that contacts were made from the place that is told now.
func LoggedThere(p Place, contacts int) string {
	return phrase.Sentence("%s logged meanwhile: from %s now. /undo takes that back.", phrase.NContacts(contacts), p.name())
}
