package bot

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// What a phone shows at arm's length without scrolling or breaking lines.
const (
	textColumns = 38
	textLines   = 15
)

// passing is a pass with what it takes to tell of it. The pass has an AOS and a
// LOS, and the table covers it.
type passing struct {
	pass   storage.Pass
	bird   predict.Bird
	table  *predict.Ephemeris
	rig    storage.Radio
	wanted []parse.Grid
}

// predicted is the pass as package predict knows it.
func (p passing) predicted() predict.Pass {
	return predict.Pass{
		Name: p.bird.Name, Catalog: p.bird.Catalog, AOS: p.pass.AOS, TCA: p.pass.TCA, LOS: p.pass.LOS,
	}
}

func (p passing) look(at time.Time) predict.Look { return p.table.Look(siteOf(p.pass.Place), at) }

// fullFirst orders overlapping passes by which one is shown in full: one armed
// by hand, then the highest, then the earliest.
func fullFirst(ps []passing) []passing {
	byHand := func(p passing) int {
		if p.pass.Arm == storage.ArmHand {
			return 0
		}
		return 1
	}
	ps = slices.Clone(ps)
	slices.SortFunc(ps, func(a, b passing) int {
		return cmp.Or(cmp.Compare(byHand(a), byHand(b)), better(a.pass, b.pass))
	})
	return ps
}

// thrift is what a reminder leaves out to stay within textLines: first what the
// lines above the timetable say too, last the changes of the dial, and what the
// rows that are left say is still right at their own moment. On 70 cm alone no
// pass needs that last.
type thrift struct {
	noTCA, noLOS bool     // rows of the timetable
	others       othersAs // how the passes that overlap are told
	bare         bool     // without what is good to know, but no caution
	fewSkeds     bool     // one sked in a line, the others counted
	noSlate      bool     // without the sentence that opens a recording
	noTable      bool     // without the timetable: long names, many grids, cautions
	every        int      // changes of the dial told: each, every second, …; 0: each
}

type othersAs int

const (
	othersTable othersAs = iota // a line each under a line that says what is what
	othersRows                  // a line each
	othersNames                 // name and AOS only
	othersLine                  // the same, in no more than one line
)

var thrifts = []thrift{
	{},
	{noTCA: true},
	{noTCA: true, noLOS: true},
	{noTCA: true, noLOS: true, others: othersRows},
	{noTCA: true, noLOS: true, others: othersNames},
	{noTCA: true, noLOS: true, others: othersLine},
	{noTCA: true, noLOS: true, others: othersLine, bare: true},
	{noTCA: true, noLOS: true, others: othersLine, bare: true, every: 2},
	{noTCA: true, noLOS: true, others: othersLine, bare: true, every: 4},
	{noTCA: true, noLOS: true, others: othersLine, bare: true, every: 8},
	{noTCA: true, noLOS: true, others: othersLine, bare: true, every: 16},
	{noTCA: true, noLOS: true, others: othersLine, bare: true, noTable: true},
	{noTCA: true, noLOS: true, others: othersLine, bare: true, noTable: true, fewSkeds: true},
	{noTCA: true, noLOS: true, others: othersLine, bare: true, noTable: true, fewSkeds: true, noSlate: true},
}

// reminderText tells of a pass so that nothing else is needed to work it, and
// in a line each of the others that overlap it. Before AOS it says how long it
// is until then, during the pass the timetable begins at now. The call is the
// operator's own, invalid if not known yet; loc is the zone of the place.
func reminderText(p passing, others []passing, call parse.Callsign, now time.Time, loc *time.Location) string {
	var lines []string
	for _, t := range thrifts {
		lines = reminderLines(p, others, call, now, loc, t)
		if len(lines) <= textLines {
			break
		}
	}
	return strings.Join(lines, "\n")
}

func reminderLines(p passing, others []passing, call parse.Callsign, now time.Time, loc *time.Location, t thrift) []string {
	return slices.Concat(
		wrap(headline(p, now), ""),
		ageLines(p.table.Elements(), p.pass.TCA),
		momentLines(p.pass, loc),
		skedLines(p, t.fewSkeds),
		extraLines(p, t.bare),
		tuningLines(p.radio(), rasterOf(p.rig)),
		timetable(p, now, t),
		otherLines(others, t.others),
		slateLines(p.pass, call, t),
	)
}

func slateLines(p storage.Pass, call parse.Callsign, t thrift) []string {
	if t.noSlate {
		return nil
	}
	return wrap(slate(p, call), "")
}

// headline opens with what matters most at the moment.
func headline(p passing, now time.Time) string {
	name := p.bird.Name
	switch {
	case !now.Before(p.pass.LOS):
		return fmt.Sprintf("%s has set: LOS was %s UTC", name, clock(p.pass.LOS))
	case !now.Before(p.pass.AOS):
		return fmt.Sprintf("%s is up until %s UTC", name, clock(p.pass.LOS))
	}
	return fmt.Sprintf("%s rises %s in the %s", name, until(p.pass.AOS, now),
		predict.CompassPoint(p.look(p.pass.AOS).AzDeg))
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
	case minutes < 24*60 && minutes%60 == 0:
		return fmt.Sprintf("in %d h", minutes/60)
	case minutes < 24*60:
		return fmt.Sprintf("in %d h %d min", minutes/60, minutes%60)
	}
	return "on " + dayMonth(at)
}

// momentLines gives AOS, TCA and LOS in UTC, AOS also in local time.
func momentLines(p storage.Pass, loc *time.Location) []string {
	aos := "AOS " + clock(p.AOS) + " UTC"
	if local := localClock(p.AOS, loc); local != "" {
		aos += ", " + local
	}
	return []string{
		aos,
		fmt.Sprintf("TCA %s at %s, LOS %s", clock(p.TCA), degrees(p.PeakElDeg), clock(p.LOS)),
	}
}

// otherLines tells of the passes that overlap.
func otherLines(others []passing, as othersAs) []string {
	switch {
	case len(others) == 0:
		return nil
	case as == othersTable:
		return append([]string{"Also: AOS, peak, up/down, tone or mode"}, otherRows(others, "")...)
	case as == othersRows:
		return otherRows(others, "+")
	}
	var names []string
	for _, o := range others {
		names = append(names, o.bird.Name+" "+shortClock(o.pass.AOS))
	}
	also := "Also " + strings.Join(names, ", ")
	if as == othersNames {
		return wrap(also, "")
	}
	return []string{clip(also, textColumns)}
}

func otherRows(others []passing, sign string) []string {
	var lines []string
	for _, o := range others {
		lines = append(lines, otherLine(o, sign))
	}
	return lines
}

// otherLine tells of a pass in one line. Where that is too narrow the peak goes
// first, then the end of the name.
func otherLine(p passing, sign string) string {
	t := p.radio()
	access := modeOf(t)
	if t.Kind == predict.FM {
		access = shortTone(t.ToneHz)
	}
	name, rest := sign+p.bird.Name, " "+pair(t, rasterOf(p.rig))+" "+access
	aos, peak := " "+shortClock(p.pass.AOS), " "+degrees(p.pass.PeakElDeg)
	if utf8.RuneCountInString(name+aos+peak+rest) <= textColumns {
		return name + aos + peak + rest
	}
	rest = aos + rest
	return clip(name, textColumns-utf8.RuneCountInString(rest)) + rest
}

// pair is the two frequencies as they are said: up, then down.
func pair(t predict.Transponder, stepKHz float64) string {
	say := func(mhz float64) string {
		if mhz == 0 {
			return "none"
		}
		return dial(mhz, stepKHz)
	}
	return say(t.UplinkMHz) + "/" + say(t.DownlinkMHz)
}

// slate is the sentence that opens a recording: what the log needs to place
// everything after it, the time last, to be read off a clock while speaking.
func slate(p storage.Pass, call parse.Callsign) string {
	who := "This is a station"
	if call.IsValid() {
		who = "This is " + call.String()
	}
	return fmt.Sprintf("Slate: “%s in %s on %s, %s, UTC now …”",
		who, gridList(p.Place.Grids), p.Bird.Name, p.AOS.UTC().Format("2 January 2006"))
}

// passesText lists the next passes, as many as there is room for; place is the one
// set, refused what is said about birds without passes, empty if nothing is.
func passesText(next []passing, place storage.Place, refused string) string {
	next = next[:min(len(next), listedPasses)]
	for {
		lines := passesLines(next, place)
		if refused != "" {
			lines = append(lines, strings.Split(refused, "\n")...)
		}
		if len(lines) <= textLines || len(next) < 2 {
			return strings.Join(lines, "\n")
		}
		next = next[:len(next)-1]
	}
}

func passesLines(next []passing, place storage.Place) []string {
	if len(next) == 0 {
		return wrap("No pass ahead at "+gridList(place.Grids)+". Look at /birds: do your birds have elements?", "")
	}
	lines := wrap("Next at "+gridList(place.Grids)+": AOS UTC, peak, from–to", "  ")
	width := nameWidth(next)
	for _, p := range next {
		lines = append(lines, passRow(p, width))
	}
	lines = append(lines, otherPlaceLines(next, place)...)
	lines = append(lines, "+ you are reminded, x skipped by you")
	if slices.ContainsFunc(next, func(p passing) bool { return signOf(p.pass) == signHidden }) {
		lines = append(lines, signHidden+" never above your trees and hills")
	}
	return lines
}

// otherPlaceLines says which passes of a list are those of an outing, at another
// place: from which on until which.
func otherPlaceLines(rows []passing, place storage.Place) []string {
	var lines []string
	for i := 0; i < len(rows); i++ {
		first := rows[i].pass
		if samePlace(first.Place, place) {
			continue
		}
		for i+1 < len(rows) && samePlace(rows[i+1].pass.Place, first.Place) {
			i++
		}
		span := dayMonth(first.AOS) + " " + shortClock(first.AOS)
		if last := rows[i].pass; last.ID != first.ID {
			span += " to " + shortClock(last.AOS)
		}
		lines = append(lines, wrap(span+": at "+gridList(first.Place.Grids), "  ")...)
	}
	return lines
}

// passRow is one line of the list: the sign of its arming first.
func passRow(p passing, width int) string {
	name := clip(p.bird.Name, width)
	name += strings.Repeat(" ", width-utf8.RuneCountInString(name))
	return fmt.Sprintf("%s %6s %s %s %3s %s–%s", signOf(p.pass), dayMonth(p.pass.AOS), shortClock(p.pass.AOS),
		name, degrees(p.pass.PeakElDeg),
		predict.CompassPoint(p.look(p.pass.AOS).AzDeg), predict.CompassPoint(p.look(p.pass.LOS).AzDeg))
}

// signHidden marks a pass that never clears the own horizon.
const signHidden = "-"

func signOf(p storage.Pass) string {
	switch {
	case p.Followed():
		return "+"
	case p.Arm == storage.ArmSkipped:
		return "x"
	case p.Hidden:
		return signHidden
	}
	return " "
}

// nameWidth is the width of the column of names, at most what a line has left.
func nameWidth(ps []passing) int {
	const rest = len("+ 12 Sep 17:42  65o WSW-ENE ")
	width := 0
	for _, p := range ps {
		width = max(width, utf8.RuneCountInString(p.bird.Name))
	}
	return min(width, textColumns-rest)
}

// The small words.

func clock(t time.Time) string      { return t.UTC().Round(time.Second).Format("15:04:05") }
func shortClock(t time.Time) string { return t.UTC().Round(time.Second).Format("15:04") }
func dayMonth(t time.Time) string   { return t.UTC().Format("2 Jan") }

// localClock is a time in the zone of the place, empty where that is UTC. A
// zone without an abbreviation is named by its offset.
func localClock(t time.Time, loc *time.Location) string {
	if loc == nil {
		return ""
	}
	local := t.In(loc).Round(time.Second)
	zone, offset := local.Zone()
	if zone == "UTC" && offset == 0 {
		return ""
	}
	if zone == "" || zone[0] == '+' || zone[0] == '-' {
		zone = "UTC" + local.Format("-07:00")
	}
	return local.Format("15:04:05") + " " + zone
}

// degrees is an angle in whole degrees, never "-0°".
func degrees(deg float64) string { return fmt.Sprintf("%d°", int(math.Round(deg))) }

// heading is a true azimuth in whole degrees with its compass point, in a fixed
// width.
func heading(azDeg float64) string {
	return fmt.Sprintf("%03d %-3s", int(math.Round(azDeg))%360, predict.CompassPoint(azDeg))
}

func gridList(gs []parse.Grid) string {
	words := make([]string, len(gs))
	for i, g := range gs {
		words[i] = g.String()
	}
	return strings.Join(words, " ")
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// clip cuts a text to a width and shows that it did.
func clip(s string, width int) string {
	if utf8.RuneCountInString(s) <= width {
		return s
	}
	return string([]rune(s)[:max(width-1, 0)]) + "…"
}

// wrap breaks a text between words into lines of textColumns, the second and
// later ones indented. A single word that is wider stays whole.
func wrap(s, indent string) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(s) {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= textColumns:
			line += " " + word
		default:
			lines = append(lines, line)
			line = indent + word
		}
	}
	return append(lines, line)
}
