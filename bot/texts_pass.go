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

// rasterKHz is the step of the radio's dial: every frequency told is a multiple
// of it.
const rasterKHz = 5.0

// steppedFromMHz is where Doppler shift outgrows an FM channel: the side of 70 cm
// and above is stepped, the 2 m side (and short wave) is left alone. Common
// practice, no source; at 400 to 800 km the shift is ±3 kHz on 2 m and ±10 kHz
// on 70 cm.
const steppedFromMHz = 300

// passing is a pass with what it takes to tell of it. The pass has an AOS and a
// LOS, and the table covers it.
type passing struct {
	pass  storage.Pass
	bird  predict.Bird
	table *predict.Ephemeris
}

// radio is the way through the bird, or its beacon where there is no other.
func (p passing) radio() predict.Transponder { return radioOf(p.bird) }

func radioOf(b predict.Bird) predict.Transponder {
	if t := b.Main(); t.Kind != 0 || len(b.Transponders) == 0 {
		return t
	}
	return b.Transponders[0]
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

// thrift is what a reminder leaves out to stay within textLines. Nothing is
// lost that doesn't stand elsewhere in it, until changes of the dial go too: what
// the rows that are left say is still right at their own moment. No bird on 70 cm
// needs that.
type thrift struct {
	noTCA, noLOS bool    // rows of the timetable
	brief        bool    // the other passes in one line, no rows to help the antenna
	every        int // changes of the dial told: each, every second, …; 0: each
}

var thrifts = []thrift{
	{},
	{noTCA: true},
	{noTCA: true, noLOS: true},
	{noTCA: true, noLOS: true, brief: true},
	{noTCA: true, noLOS: true, brief: true, every: 2},
	{noTCA: true, noLOS: true, brief: true, every: 4},
	{noTCA: true, noLOS: true, brief: true, every: 8},
	{noTCA: true, noLOS: true, brief: true, every: 16},
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
		tuningLines(p.radio()),
		timetable(p, now, t),
		otherLines(others, t),
		wrap(slate(p.pass, call), ""),
	)
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
	case minutes < 24*60:
		return fmt.Sprintf("in %d h %d min", minutes/60, minutes%60)
	}
	return "on " + dayMonth(at)
}

// ageLines warns of old elements; there are no lines while they are fresh.
func ageLines(e predict.Elements, at time.Time) []string {
	age := e.Age(at)
	if age <= predict.WarnAge {
		return nil
	}
	return wrap(fmt.Sprintf("Elements %d days old: times may be off", wholeDays(age)), "")
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

// tuningLines gives uplink, downlink, mode and tone as they are without shift.
func tuningLines(t predict.Transponder) []string {
	switch {
	case t.Kind == predict.Linear:
		return linearLines(t)
	case t.UplinkMHz == 0 && t.DownlinkMHz == 0:
		return []string{"No frequencies known"}
	}
	var parts []string
	if t.UplinkMHz > 0 {
		parts = append(parts, "Up "+dial(t.UplinkMHz)+" "+toneWord(t.ToneHz))
	}
	if t.DownlinkMHz > 0 {
		parts = append(parts, "down "+dial(t.DownlinkMHz))
	}
	lines := wrap(upperFirst(strings.Join(parts, ", "))+" "+modeOf(t), "  ")
	if t.ArmToneHz > 0 {
		lines = append(lines, fmt.Sprintf("To switch it on first: %s", toneWord(t.ArmToneHz)))
	}
	return lines
}

// linearLines gives both passbands with the pair of their middles. In an
// inverting one the middles still belong together.
func linearLines(t predict.Transponder) []string {
	kind := "not inverting"
	if t.Inverting {
		kind = "inverting"
	}
	return slices.Concat(
		wrap(fmt.Sprintf("Linear, %s, %s, %s", kind, modeOf(t), toneWord(t.ToneHz)), "  "),
		[]string{
			"Up " + passband(t.UplinkMHz, t.UplinkWidthKHz),
			"Down " + passband(t.DownlinkMHz, t.DownlinkWidthKHz),
		},
	)
}

func passband(mhz, widthKHz float64) string {
	half := widthKHz / 2000
	return fmt.Sprintf("%.3f–%.3f, middle %.3f", mhz-half, mhz+half, mhz)
}

// steppedSide is a side of the radio whose dial moves during the pass.
type steppedSide struct {
	side  predict.Side
	mhz   float64
	label string
}

func steppedSides(t predict.Transponder) []steppedSide {
	var sides []steppedSide
	if t.DownlinkMHz >= steppedFromMHz {
		sides = append(sides, steppedSide{predict.Receive, t.DownlinkMHz, "receive"})
	}
	if t.UplinkMHz >= steppedFromMHz {
		sides = append(sides, steppedSide{predict.Transmit, t.UplinkMHz, "transmit"})
	}
	return sides
}

// timetable is where to point and what to dial, when: at AOS, at each change of
// the dial, at TCA and at LOS. During the pass it begins at now.
func timetable(p passing, now time.Time, t thrift) []string {
	sides := steppedSides(p.radio())
	steps := make([][]predict.Step, len(sides))
	for i, s := range sides {
		steps[i] = p.table.Steps(siteOf(p.pass.Place), predict.Pass{
			Name: p.bird.Name, Catalog: p.bird.Catalog,
			AOS: p.pass.AOS, TCA: p.pass.TCA, LOS: p.pass.LOS,
		}, s.mhz, rasterKHz, s.side)
	}
	head := "UTC      true az  el"
	for _, s := range sides {
		head += fmt.Sprintf(" %8s", s.label)
	}
	lines := []string{head}
	for _, at := range rowTimes(p.pass, steps, now, t) {
		lines = append(lines, timetableRow(p.look(at), at, steps))
	}
	return lines
}

func timetableRow(l predict.Look, at time.Time, steps [][]predict.Step) string {
	row := fmt.Sprintf("%s %s %3s", clock(at), heading(l.AzDeg), degrees(l.ElDeg))
	for _, s := range steps {
		row += fmt.Sprintf(" %8.3f", dialAt(s, at))
	}
	return row
}

// togetherWithin is how close two changes on different sides of the radio may be
// to be told as one: a hand can't make them apart, and straight overhead at
// 420 km the earlier one is 0.9 kHz further off by then (175 Hz/s on 70 cm).
const togetherWithin = 5 * time.Second

// rowTimes are the moments of the timetable, no two in the same second. Where
// no dial moves, two more help the antenna along.
func rowTimes(p storage.Pass, steps [][]predict.Step, now time.Time, t thrift) []time.Time {
	times := []time.Time{p.AOS}
	for _, side := range steps {
		for _, s := range side {
			times = append(times, s.At)
		}
	}
	times = thinned(times, t.every)
	if len(steps) == 0 && !t.brief {
		times = append(times, p.AOS.Add(p.TCA.Sub(p.AOS)/2), p.TCA.Add(p.LOS.Sub(p.TCA)/2))
	}
	if !t.noTCA {
		times = append(times, p.TCA)
	}
	if !t.noLOS {
		times = append(times, p.LOS)
	}
	if p.Up(now) {
		times = slices.DeleteFunc(times, func(at time.Time) bool { return at.Before(now) })
		times = append(times, now)
	}
	slices.SortFunc(times, time.Time.Compare)
	if len(steps) > 1 {
		return latestOf(times, togetherWithin)
	}
	return latestOf(times, time.Second)
}

// thinned keeps AOS and of the changes after it every so many.
func thinned(times []time.Time, every int) []time.Time {
	slices.SortFunc(times, time.Time.Compare)
	var kept []time.Time
	for i, at := range times {
		if every < 2 || i%every == 0 {
			kept = append(kept, at)
		}
	}
	return kept
}

// latestOf keeps of moments that are told as one the last, at which the dials
// have changed already.
func latestOf(times []time.Time, within time.Duration) []time.Time {
	var kept []time.Time
	for _, at := range times {
		if n := len(kept); n > 0 && at.Round(time.Second).Sub(kept[n-1].Round(time.Second)) < within {
			kept[n-1] = at
			continue
		}
		kept = append(kept, at)
	}
	return kept
}

// dialAt is what the dial shows at a moment of the pass.
func dialAt(steps []predict.Step, at time.Time) float64 {
	var mhz float64
	for i, s := range steps {
		if i == 0 || !s.At.After(at) {
			mhz = s.DialMHz
		}
	}
	return mhz
}

// otherLines gives the passes that overlap a line each, or all of them in one.
func otherLines(others []passing, t thrift) []string {
	if len(others) == 0 {
		return nil
	}
	if t.brief {
		var names []string
		for _, o := range others {
			names = append(names, o.bird.Name+" "+shortClock(o.pass.AOS))
		}
		return []string{clip("Also "+strings.Join(names, ", "), textColumns)}
	}
	lines := []string{"Also: AOS, peak, up/down, tone or mode"}
	for _, o := range others {
		lines = append(lines, otherLine(o))
	}
	return lines
}

// otherLine tells of a pass in one line. A name too long for it is cut.
func otherLine(p passing) string {
	t := p.radio()
	access := modeOf(t)
	if t.Kind == predict.FM {
		access = shortTone(t.ToneHz)
	}
	rest := fmt.Sprintf(" %s %s %s %s", shortClock(p.pass.AOS), degrees(p.pass.PeakElDeg), pair(t), access)
	return clip(p.bird.Name, textColumns-utf8.RuneCountInString(rest)) + rest
}

// pair is the two frequencies as they are said: up, then down.
func pair(t predict.Transponder) string {
	say := func(mhz float64) string {
		if mhz == 0 {
			return "none"
		}
		return dial(mhz)
	}
	return say(t.UplinkMHz) + "/" + say(t.DownlinkMHz)
}

// slate is the sentence that opens a recording: what the log needs to place
// everything after it, the time last, to be read off a clock while speaking.
func slate(p storage.Pass, call parse.Callsign) string {
	who := "This is"
	if call.IsValid() {
		who += " " + call.String()
	}
	if grids := gridList(p.Place.Grids); grids != "" {
		who += " in " + grids
	}
	return fmt.Sprintf("Slate: “%s on %s, %s, UTC now …”", who, p.Bird.Name, p.AOS.UTC().Format("2 January 2006"))
}

// passesText lists the next passes, at most ten of them; place is where.
func passesText(next []passing, place storage.Place) string {
	if len(next) == 0 {
		return strings.Join(wrap("No pass ahead at "+gridList(place.Grids)+
			". Look at /birds: do your birds have elements?", ""), "\n")
	}
	const most = 10
	lines := wrap("Next at "+gridList(place.Grids)+": AOS UTC, peak, from–to", "  ")
	shown := next[:min(len(next), most)]
	width := nameWidth(shown)
	for _, p := range shown {
		lines = append(lines, passRow(p, width))
	}
	lines = append(lines, "+ you are reminded, x skipped by you")
	return strings.Join(lines, "\n")
}

// passRow is one line of the list: the sign of its arming first.
func passRow(p passing, width int) string {
	sign := " "
	switch {
	case p.pass.Followed():
		sign = "+"
	case p.pass.Arm == storage.ArmSkipped:
		sign = "x"
	}
	name := clip(p.bird.Name, width)
	name += strings.Repeat(" ", width-utf8.RuneCountInString(name))
	return fmt.Sprintf("%s %6s %s %s %3s %s–%s", sign, dayMonth(p.pass.AOS), shortClock(p.pass.AOS),
		name, degrees(p.pass.PeakElDeg),
		predict.CompassPoint(p.look(p.pass.AOS).AzDeg), predict.CompassPoint(p.look(p.pass.LOS).AzDeg))
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
func shortClock(t time.Time) string { return t.UTC().Format("15:04") }
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

// dial is the nearest frequency that the radio can dial, in MHz.
func dial(mhz float64) string {
	return fmt.Sprintf("%.3f", math.Round(mhz*1000/rasterKHz)*rasterKHz/1000)
}

func modeOf(t predict.Transponder) string {
	switch {
	case t.Mode != "":
		return t.Mode
	case t.Kind == predict.Linear:
		return "SSB"
	case t.Kind == predict.FM:
		return "FM"
	}
	return "beacon"
}

func toneWord(hz float64) string {
	if hz == 0 {
		return "no tone"
	}
	return fmt.Sprintf("tone %.1f", hz)
}

func shortTone(hz float64) string {
	if hz == 0 {
		return "none"
	}
	return fmt.Sprintf("%.1f", hz)
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
