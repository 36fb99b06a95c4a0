package say

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/dial"
	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/parse"
	"skyslate/predict"
)

// thrift is what a reminder leaves out to stay within Lines: first what the rows of the
// timetable say too, last the changes of the dial, and what the rows that are left say is
// still right at their own moment: on a hill without coverage no card tells the others.
// AOS, peak and LOS always have their rows. On 70 cm alone no pass needs the last.
type thrift struct {
	whole     bool     // nothing: a document has room
	noMoments bool     // the line of TCA and LOS
	others    othersAs // how the passes that overlap are told
	noSlate   bool     // without the sentence that opens a recording
	bare      bool     // without what is good to know, but no caution
	fewSkeds  bool     // one sked in a line, the others counted
	noTable   bool     // without the timetable: long names, many grids, cautions
	every     int      // changes of the dial told: each, every second, …; 0: each
}

type othersAs int

const (
	othersTable othersAs = iota // a line each under a line that says what is what
	othersRows                  // a line each, behind a sign
	othersNames                 // name, AOS and peak only
	othersLine                  // the same, in no more than one line
)

// thrifts leave out more and more: as little as it takes.
var thrifts = []thrift{
	{},
	{noMoments: true},
	{noMoments: true, others: othersRows},
	{noMoments: true, others: othersRows, noSlate: true},
	{noMoments: true, others: othersNames, noSlate: true},
	{noMoments: true, others: othersLine, noSlate: true},
	{noMoments: true, others: othersLine, noSlate: true, bare: true},
	{noMoments: true, others: othersLine, noSlate: true, bare: true, every: 2},
	{noMoments: true, others: othersLine, noSlate: true, bare: true, every: 4},
	{noMoments: true, others: othersLine, noSlate: true, bare: true, every: 8},
	{noMoments: true, others: othersLine, noSlate: true, bare: true, every: 16},
	{others: othersLine, bare: true, noTable: true},
	{others: othersLine, bare: true, noTable: true, fewSkeds: true},
	{others: othersLine, bare: true, noTable: true, fewSkeds: true, noSlate: true},
}

// Reminder tells of a pass so that nothing else is needed to work it, and
// in a line each of the others that overlap it. Before AOS it says how long it
// is until then, during the pass the timetable begins at now. The call is the
// operator's own, invalid if not known yet; loc is the zone of the place.
func Reminder(p Pass, others []Pass, call parse.Callsign, now time.Time, loc *time.Location) string {
	moments := momentLines(p, loc)
	return layout.FirstFit(thrifts, func(t thrift) []string {
		return slices.Concat(
			layout.BoldLines(headline(p, now)...),
			ageLines(p),
			phrase.Footed(moments[:1:1], phrase.When(!t.noMoments, moments[1])),
			skedLines(p, t),
			extraLines(p, t),
			p.tuning(),
			timetable(p, now, t),
			otherLines(others, t.others),
			slateLines(p, call, t),
		)
	})
}

// AsOf brings the headline of a reminder that was made earlier to the moment at
// which it goes out. One that was made during the pass stays right.
func AsOf(reminder string, aos, made, now time.Time) string {
	lines := strings.Split(reminder, "\n")
	head := lines[0]
	rest := lines[1:]
	if !strings.Contains(head, riseSide) && len(rest) > 0 {
		head, rest = head+" "+rest[0], rest[1:] // it takes two lines
	}
	before, after, ok := strings.Cut(head, " rises "+phrase.Until(aos, made))
	switch {
	case !ok:
		return reminder
	case now.Before(aos):
		head = before + " rises " + phrase.Until(aos, now) + after
	default:
		head = before + " rose at " + phrase.Clock(aos) + " UTC" + after
	}
	return strings.Join(slices.Concat(layout.Wrap(head), rest), "\n")
}

// riseSide is what stands before the side on which a bird rises.
const riseSide = " in the "

// headline opens with what matters most at the moment.
func headline(p Pass, now time.Time) []string {
	text := fmt.Sprintf("rises %s%s%s", phrase.Until(p.AOS, now), riseSide, predict.CompassPoint(p.Look(p.AOS).AzDeg))
	switch {
	case !now.Before(p.LOS):
		text = fmt.Sprintf("has set: LOS was %s UTC", phrase.Clock(p.LOS))
	case !now.Before(p.AOS):
		text = fmt.Sprintf("is up until %s UTC", phrase.Clock(p.LOS))
	}
	return layout.Wrap(p.Bird.Name + " " + text)
}

// ageLines says what the elements' age means for AOS, and warns of old ones.
func ageLines(p Pass) []string {
	e := p.Table.Elements()
	age, drift := e.Age(p.TCA), e.Drift(p.TCA)
	switch {
	case age > predict.WarnAge:
		return []string{fmt.Sprintf("Old elements (%d days): AOS ±%s", phrase.WholeDays(age), phrase.Seconds(drift))}
	case drift >= driftFrom:
		return []string{fmt.Sprintf("Elements %s old: AOS ±%s", phrase.Count(phrase.WholeDays(age), "day"), phrase.Seconds(drift))}
	}
	return nil
}

// driftFrom is from when on it is told how far off AOS may be: less can't be
// used by a hand (see package along), and straight overhead it is less than a
// fifth of a 5 kHz step.
const driftFrom = 5 * time.Second

// momentLines gives AOS, TCA and LOS in UTC, AOS also in local time.
func momentLines(p Pass, loc *time.Location) []string {
	aos := "AOS " + phrase.Clock(p.AOS) + " UTC" + phrase.Led(", ", phrase.LocalClock(p.AOS, loc))
	return []string{aos, fmt.Sprintf("TCA %s at %s, LOS %s", phrase.Clock(p.TCA), peak(p.Pass), phrase.Clock(p.LOS))}
}

// otherLines tells of the passes that overlap.
func otherLines(others []Pass, as othersAs) []string {
	brief := phrase.Each(others, func(o Pass) string { return o.Bird.Name + " " + phrase.ShortClock(o.AOS) + " " + peak(o.Pass) })
	also := phrase.Led("Also ", strings.Join(brief, ", "))
	switch {
	case as == othersNames:
		return layout.Hang(also)
	case as == othersLine:
		return phrase.Footed(nil, layout.Line(also))
	}
	lines := phrase.Footed(nil, phrase.When(as == othersTable && len(others) > 0, "Also: AOS, peak, up/down, tone or mode"))
	for i, o := range others {
		t := o.Transponder()
		row := phrase.When(as == othersRows, "+") + brief[i] + " " + pair(t, o.Radio.StepKHz) + " " + access(t)
		lines = append(lines, layout.Hang(row)...)
	}
	return lines
}

// access is what it takes to get into a channel, the tone or else the mode.
func access(t predict.Transponder) string {
	if t.Kind == predict.FM {
		return shortTone(t.ToneHz)
	}
	return modeOf(t)
}

// pair is the two frequencies as they are said: up, then down.
func pair(t predict.Transponder, stepKHz float64) string {
	return dial.Nearest(t.UplinkMHz, stepKHz) + "/" + dial.Nearest(t.DownlinkMHz, stepKHz)
}

// slateLines is the sentence that opens a recording: what the log needs to place
// everything after it, the time last, to be read off a clock while speaking.
func slateLines(p Pass, call parse.Callsign, t thrift) []string {
	if t.noSlate {
		return nil
	}
	who := "a station"
	if call.IsValid() {
		who = call.String()
	}
	return layout.Wrap(fmt.Sprintf("Recording? Begin: “%s in %s on %s, %s, UTC now …”",
		who, p.Place.name(), p.Name, p.AOS.UTC().Round(time.Second).Format("2 Jan 2006")))
}

// sunNearDeg is how near to the antenna's track the sun is worth a caution: who
// holds a hand-held antenna looks along it. Common practice, no source.
const sunNearDeg = 15

// clearLines says when the bird clears the operator's own horizon.
func clearLines(p Pass) []string {
	if len(p.Place.Horizon) == 0 {
		return nil
	}
	windows := p.Clear()
	if len(windows) == 0 {
		return []string{"Never above your trees and hills!"}
	}
	spans := phrase.Each(windows, func(w predict.Window) string { return phrase.Clock(w.Start) + "–" + phrase.Clock(w.End) })
	return layout.Hang("Clear of trees " + strings.Join(spans, ", "))
}

// sunlight says whether the bird is sunlit along a pass.
func sunlight(p Pass) string {
	word := map[bool]string{true: "sunlit", false: "in shadow"}
	lights := p.Table.Sunlit(p.AOS, p.LOS)
	if len(lights) == 0 {
		return ""
	}
	var text strings.Builder
	text.WriteString("Bird " + word[lights[0].Lit] + phrase.When(len(lights) == 1, " all along"))
	for _, l := range lights[1:] {
		text.WriteString(", " + word[l.Lit] + " from " + phrase.Clock(l.At))
	}
	return text.String()
}

// sunsetDeg is the sun's elevation at which its upper limb is on the horizon, as
// almanacs define rise and set; twilightDeg the end of civil twilight.
const (
	sunsetDeg   = -0.833
	twilightDeg = -6
)

// daylight says how light it is where the operator stands.
func daylight(p Place, at time.Time) string {
	switch _, el := p.Site.Sun(at); {
	case el >= sunsetDeg:
		return "Daylight where you are"
	case el >= twilightDeg:
		return "Twilight where you are"
	}
	return "Dark where you are: bring a lamp"
}

// Light tells of a pass what its reminder has no room for.
func Light(p Pass) string {
	var sun []string
	if at, apart, up := p.Table.NearestSun(p.Place.Site, p.Pass); up {
		sun = layout.Hang(fmt.Sprintf("Sun %s off your track at %s", phrase.Degrees(apart), phrase.Clock(at)),
			phrase.When(apart <= sunNearDeg, "Don't look along the antenna then."))
	}
	e := p.Table.Elements()
	return phrase.Lined(
		layout.Hang(fmt.Sprintf("%s on %s, %s UTC, peak %s",
			p.Bird.Name, phrase.DayMonth(p.AOS), phrase.Span(p.AOS, p.LOS), peak(p.Pass))),
		clearLines(p),
		layout.Hang(sunlight(p)),
		layout.Hang("Sun and shadow are good to 12 s.", daylight(p.Place, p.TCA)),
		sun,
		wantedLines(p, thrift{whole: true}),
		restingLines(p),
		layout.Hang(fmt.Sprintf("Elements %s old: times good to %s",
			phrase.Count(phrase.WholeDays(e.Age(p.TCA)), "day"), phrase.Seconds(e.Drift(p.TCA)))),
	)
}

// extraLines are what a reminder says beside the common: only what matters on
// this pass. Bare are those that can't be missed, a line each.
func extraLines(p Pass, t thrift) []string {
	lines := clearLines(p)
	if t.bare && len(lines) > 1 {
		lines = lines[:1]
	}
	if at, apart, up := p.Table.NearestSun(p.Place.Site, p.Pass); up && apart <= sunNearDeg {
		lines = append(lines, fmt.Sprintf("Sun %s off your track at %s!", phrase.Degrees(apart), phrase.Clock(at)))
	}
	if t.bare {
		return lines
	}
	sunNeeded := strings.Contains(strings.ToLower(p.Bird.Notes+" "+p.Bird.Status.Text), "sunlight")
	if text := sunlight(p); sunNeeded && !strings.HasSuffix(text, "sunlit all along") {
		lines = append(lines, layout.Hang(text)...)
	}
	return slices.Concat(lines, wantedLines(p, t), restingLines(p))
}
