// Package settings says what an operator sets: call, place, reminders, radio, horizon. It
// is a room of package say, whose rules hold here.
package settings

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/bot/say"
	"skyslate/parse"
	"skyslate/predict"
)

// LevelAgain says that a horizon drawn for another place was given up.
const LevelAgain = "Your horizon is level again: /horizon"

// RadioHow shows how the radio is set.
const RadioHow = `Say /radio step 12.5, the raster of
your dial in kHz (1, 2.5, 5, 6.25, 10,
12.5), or /radio 2m on, to be told the
shift of the side that stays put too.`

// CallSet repeats the own call.
func CallSet(call parse.Callsign) string {
	return phrase.Paragraph("You are " + call.String() + phrase.When(call.Country() != "", " (series: "+call.Country()+")") +
		phrase.When(call.Class() == parse.Unusual, ". An unusual call: /call corrects it") + ".")
}

// OwnCall says how the own call is changed; an invalid one is asked.
func OwnCall(call parse.Callsign) string {
	if !call.IsValid() {
		return say.AskCall
	}
	return "You are " + call.String() + ". Change it with /call\nand the new call."
}

// TwoCalls refuses more than the own call.
var TwoCalls = phrase.InLines(firstTwo, "Two calls: %s. Send yours alone.")

// PlaceSet repeats the place and names its time zone: one at sea as of a moment, since the sign
// in its own name is the opposite of what is meant.
func PlaceSet(p say.Place, loc *time.Location, now time.Time) string {
	zone := loc.String()
	if strings.HasPrefix(zone, "Etc/") {
		zone = phrase.ZoneName(now, loc)
	}
	return phrase.Sentence("Your grid: %s (%.2f°, %.2f°), time zone %s.", phrase.Grids(p.Grids), p.Site.LatDeg, p.Site.LonDeg, zone)
}

// NoHome asks for a home, FirstThings leads over to the questions of setting up.
const (
	NoHome      = "Where is home? Say /at home and its\ngrid, such as /at home JO33."
	NoNames     = "I know no names of places. Type your\ngrid (JO33) or coordinates, north and\neast (53.52 7.03), or share your\nlocation."
	FirstThings = "I remind you of passes where you\nstand, and keep your log. First tell\nme:"
)

// HomeToo says that the place is home, NoCallYet what may be done without a call.
const (
	HomeToo   = "It is your home, too."
	NoCallYet = "What I keep and remind of goes by a\ncall sign, and who transmits needs a\nlicence. Listening needs neither: ask\nwhat you like, and send me the call\nwhen you have one."
)

// What is said of one's own call, of home, and of grids that may be meant.
var (
	// AskOwnCall asks whether a call is one's own now, OwnCallLabel is the answer.
	AskOwnCall = phrase.InLines2(parse.Callsign.String, parse.Callsign.String, "Is %[1]s your own call now? You are %[2]s still. "+
		"A station that you worked: send its call and grid, no more.")
	OwnCallLabel = phrase.InLine(parse.Callsign.String, "I am %s")
	GridNotCall  = phrase.InLines(parse.Callsign.String, "%[1]s is a grid: I take it as your place. Is it your call? /call %[1]s")

	HomeIs    = phrase.InLines2(phrase.Grids, phrase.Grids, "Your home: %s. I have you in %s: /at home when you are back.")
	HomeStays = phrase.InLines(phrase.Grids, "Home is %s still.")
	HomeLabel = phrase.InLine(phrase.Grids, "%s is home")
)

// AskWhich asks in which of several grids one is; meet: one may stand in all of them.
func AskWhich(grids []parse.Grid, meet bool) string {
	all := phrase.Grids(grids)
	return phrase.Paragraph("Which of them? " + all + "." + phrase.When(meet, " On the line between them, or where they meet: /at "+all))
}

// AskMove asks whether one is in these grids now, MoveLabel is the answer; WasLabel is that of
// AskWas, to which WasThere says that it is so already.
var (
	AskMove = phrase.InLines2(phrase.Grids, placeName, "In %[1]s now? I have you in %[2]s still. For another day: "+
		"/outing %[1]s tomorrow 9-15")
	MoveLabel = phrase.InLine(phrase.Grids, "I am in %s")
	WasThere  = phrase.InLines(phrase.Grids, "The log of the last day has you in %s.")
	WasLabel  = phrase.InLine(phrase.Grids, "I was in %s")
)

// AskWas asks whether contacts were made from grids that were told of the past, and not from
// those that they count for.
func AskWas(told, have []parse.Grid, contacts int) string {
	return phrase.Sentence("Were you in %s? The log of the last day has you in %s: %s.", phrase.Grids(told), phrase.Grids(have), phrase.NContacts(contacts))
}

func placeName(p say.Place) string { return phrase.Grids(p.Grids) }

// OwnPlace says how the place is changed, in its time zone; none is asked.
func OwnPlace(p say.Place, loc *time.Location) string {
	if len(p.Grids) == 0 {
		return say.AskPlace
	}
	return phrase.Sentence("Your grid: %s, since %s %s. Change it with /at and the new one, or share your location.",
		phrase.Grids(p.Grids), p.Set.In(loc).Format("2 Jan 15:04"), phrase.ZoneName(p.Set, loc))
}

// Border is the nearest side or corner of a square: how far, where, and what is beyond.
type Border struct {
	Metres float64
	Point  string
	Beyond parse.Grid
}

// lineMetres is how well a place must be known to be claimed for the line
// between two squares. Common practice, no source: about what a phone under a
// clear sky knows.
const lineMetres = 20

// Borders says how far the nearest line and corner of a square are, and what the
// accuracy allows to claim; accuracy 0 is not known.
func Borders(square parse.Grid, side, corner Border, accuracyM float64) string {
	near := fmt.Sprintf("Nearest grid line: %s %s (%s). Corner: %s %s.", phrase.Metres(side.Metres), side.Point, side.Beyond, phrase.Metres(corner.Metres), corner.Point)
	sure := phrase.Metres(accuracyM)
	switch {
	case accuracyM == 0:
		return phrase.Paragraphs(near)
	case side.Metres > accuracyM:
		return phrase.Paragraphs(near, fmt.Sprintf("Sure to %s: you are in %s alone.", sure, square))
	case accuracyM <= lineMetres:
		return phrase.Paragraphs(near, fmt.Sprintf("Sure to %s: you may stand on the line. To claim both: /at %s %s", sure, square, side.Beyond))
	}
	return phrase.Paragraphs(near, fmt.Sprintf("Sure to %s only: which side you are on is not certain. Wait for a better fix, or say it: /at %s", sure, square))
}

// Ready greets who has set all up, with the help.
func Ready(call parse.Callsign, p say.Place) string {
	return fmt.Sprintf("You are %s in %s.\n%s", call, phrase.Grids(p.Grids), say.Help)
}

// WhatNext ends the set-up: what will come, reminded of so long before, and how to
// log. Without a name no pass is ahead.
func WhatNext(next predict.Pass, lead time.Duration) string {
	ahead := "No pass ahead that I would remind you of: see /passes and /remind."
	if next.Name != "" {
		ahead = fmt.Sprintf("Next: %s on %s %s UTC, peak %s. I remind you %s before.",
			next.Name, phrase.DayMonth(next.AOS), phrase.ShortClock(next.AOS), phrase.Degrees(next.AtTCA.ElDeg), phrase.Minutes(lead))
	}
	return phrase.Paragraphs(ahead, "During a pass just type call and grid: ox9qzt jo33. /help says the rest.")
}

// Remind is what an operator wants to be reminded of.
type Remind struct {
	Off     bool
	Lead    time.Duration // before AOS
	PeakDeg float64       // lowest peak elevation
	Week    [7]Hours      // in which such a pass rises, by time.Weekday
	PerDay  int           // most reminders a local day
	Birds   []string      // names; empty: FM birds known to be on
	Picture bool          // of the sky, with each reminder
	Evening int           // local hour at which the next day is told; 0: not told
}

// Hours are local hours of a day, the zero value none.
type Hours struct{ From, Until int }

func (h Hours) String() string {
	if h.From == h.Until || h.From == 0 && h.Until == 24 {
		return "at any hour"
	}
	return fmt.Sprintf("from %d to %d h", h.From, h.Until)
}

// hours tells a week's hours, those that are the same of several days together.
func (r Remind) hours() string {
	days := map[Hours][]string{}
	var kinds []Hours // from Monday on
	for i := range r.Week {
		day := (i + 1) % 7
		h := r.Week[day]
		if h != (Hours{}) && days[h] == nil {
			kinds = append(kinds, h)
		}
		days[h] = append(days[h], time.Weekday(day).String()[:3])
	}
	if len(kinds) == 1 && len(days) == 1 {
		return kinds[0].String()
	}
	return "on " + strings.Join(phrase.Each(kinds, func(h Hours) string { return strings.Join(days[h], " ") + " " + h.String() }), ", ")
}

// Reminders shows what an operator is reminded of, and how to change it.
func Reminders(r Remind, birds []string, loc *time.Location) string {
	if r.Off {
		return remindersOff
	}
	more := phrase.When(r.Picture, " A picture of the sky comes along.") + phrase.Some(r.Evening, " At %d h I tell what the next day brings.")
	lines := layout.Wrap(fmt.Sprintf("I remind you %s before AOS, %s, of passes of at least %s that rise %s. Birds: %s.%s",
		phrase.Minutes(r.Lead), r.often(), phrase.Degrees(r.PeakDeg), r.hoursIn(loc), r.followed(), more))
	return strings.Join(append(lines,
		"Change any, such as /remind ahead 15:",
		"ahead 15 · peak 20 · daily 6",
		"hours 6-23 · evening 21, or off",
		"sat sun · mon-fri after 17 · every day",
		layout.Clip("birds "+firstTwo(birds), layout.Columns-len(", or birds on"))+", or birds on",
		"picture on, or off · on · off"), "\n")
}

const remindersOff = "Reminders are off, but for passes that\nyou arm: /passes, /outing.\n/remind on"

// followed are the birds, often how many reminders come, and hoursIn when, in a zone.
func (r Remind) followed() string {
	return cmp.Or(strings.Join(r.Birds, " "), "FM birds known to be on")
}

func (r Remind) often() string {
	return cmp.Or(map[int]string{0: "only if you arm a pass", 1: "at most once a day"}[r.PerDay], fmt.Sprintf("at most %d times a day", r.PerDay))
}

func (r Remind) hoursIn(loc *time.Location) string {
	return r.hours() + phrase.When(r.hours() != (Hours{0, 24}).String(), fmt.Sprintf(" (%s)", loc))
}

// RemindChanged says what is new of reminders, and nothing of what is as it was.
func RemindChanged(before, now Remind, loc *time.Location) string {
	if now.Off {
		return remindersOff
	}
	news := phrase.Footed(nil,
		phrase.When(before.Off, "reminders are on"),
		phrase.When(before.Lead != now.Lead, "I remind you "+phrase.Minutes(now.Lead)+" before AOS"),
		phrase.When(before.PeakDeg != now.PeakDeg, "reminders of passes of at least "+phrase.Degrees(now.PeakDeg)),
		phrase.When(before.PerDay != now.PerDay, "reminders "+now.often()),
		phrase.When(before.Week != now.Week, "reminders of passes that rise "+now.hoursIn(loc)),
		phrase.When(before.followed() != now.followed(), "reminders of passes of "+now.followed()),
		phrase.When(before.Picture != now.Picture, cmp.Or(phrase.When(now.Picture, "a"), "no")+" picture of the sky comes along"),
		phrase.When(before.Evening != now.Evening, cmp.Or(phrase.Some(now.Evening, "at %d h I tell what the next day brings"), "I tell nothing in the evening")),
	)
	if len(news) == 0 {
		return "It is so already: /remind shows all."
	}
	return phrase.Sentence("From now on: %s. /remind shows all.", strings.Join(news, ", "))
}

func firstTwo(names []string) string { return strings.Join(names[:min(2, len(names))], " ") }

// BadPicture refuses a setting of the picture.
const BadPicture = "Say /remind picture on, or\n/remind picture off."

// What is refused of a setting, and asked of the birds of reminders.
var (
	UnknownSetting = phrase.InLines(phrase.Typed(16), "I can't change “%s”. Say ahead, peak, hours, daily, birds, picture, evening, "+
		"days such as sat sun, on or off: /remind shows how.")
	BadHours   = phrase.InLines(phrase.Typed(12), "“%s” are no full hours. Say two local hours, such as /remind hours 6-23.")
	BadStep    = phrase.InLines(phrase.Typed(12), "“%s” is no step that I know: 1, 2.5, 5, 6.25, 10 or 12.5 kHz.")
	NameBirds  = phrase.InLines(firstTwo, "Name the birds: /remind birds %s")
	BadHorizon = phrase.InLines2(phrase.Typed(20), strconv.Itoa, "“%s” is no horizon that I can read. Say degrees from 0 to 89, alone (/horizon 10) or "+
		"behind two azimuths (/horizon 270-330 25), at most %s of them.")
)

// BadNumber refuses a number of a setting, which has a unit and bounds.
func BadNumber(text, setting, unit string, least, most int) string {
	return phrase.Sentence("“%s” won't do: %s from %d to %d, such as /remind %s %d.",
		layout.Short(text, 12), unit, least, most, setting, max(least, min(most, 10)))
}

// The units of settings, as BadNumber says them.
const (
	UnitEvening = "a local hour, or off,"
	UnitDaily   = "reminders a day"
	UnitHours   = "a local hour,"
)

// RadioSet shows how the radio is dialled, and how to change it.
func RadioSet(r say.Radio) string {
	return phrase.Sentence("Your dial goes in steps of %g kHz: all that I tell is a multiple of it.%s", r.StepKHz,
		phrase.When(r.Both, " I also tell the shift of the side that stays put.")) +
		"\n/radio step 6.25 · /radio 2m " + cmp.Or(phrase.When(r.Both, "off"), "on")
}

// Horizon shows what hides the sky at a place.
func Horizon(p say.Place) string {
	if len(p.Horizon) == 0 {
		return `Your horizon is level. Trees or hills?
/horizon 10 (all round, degrees)
/horizon 270-330 25, 20-60 15
(from azimuth to azimuth, clockwise,
so many degrees high)`
	}
	lines := layout.Wrap("At " + phrase.Grids(p.Grids) + " nothing is seen below")
	for _, h := range p.Horizon {
		span := fmt.Sprintf("from %03.0f to %03.0f (%s to %s)", h.FromDeg, h.ToDeg,
			predict.CompassPoint(h.FromDeg), predict.CompassPoint(h.ToDeg))
		lines = append(lines, phrase.Degrees(h.MinElDeg)+" "+cmp.Or(phrase.When(h.ToDeg-h.FromDeg >= 360, "all round"), span))
	}
	return strings.Join(append(lines, "This holds until you move.", "/horizon level gives it up."), "\n")
}

// SetStep says what a step set.
func SetStep(before, now say.Settings) string {
	var set []string
	if before.Call != now.Call {
		set = append(set, now.Call.String()+" as your call")
	}
	if phrase.Grids(before.Grids) != phrase.Grids(now.Grids) {
		set = append(set, phrase.Grids(now.Grids)+" as your place")
	} else if phrase.Grids(before.Home) != phrase.Grids(now.Home) {
		set = append(set, phrase.Grids(now.Home)+" as your home")
	}
	if phrase.Grids(before.Wanted) != phrase.Grids(now.Wanted) {
		set = append(set, "the grids wanted")
	}
	if before.Radio != now.Radio {
		set = append(set, "the settings of your radio")
	}
	return cmp.Or(phrase.Listed(set), "what you are reminded of")
}

// SetBack says below what was taken back which call and place hold again.
func SetBack(undone, now say.Settings) string {
	if undone.Call == now.Call && phrase.Grids(undone.Grids) == phrase.Grids(now.Grids) {
		return ""
	}
	return "\n" + phrase.Sentence("You are %s in %s.", now.Call, phrase.Grids(now.Grids))
}
