package say

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/predict"
)

// Frequencies, and the timetable of a pass: where to point and what to dial, when.

// steppedFromMHz is where Doppler shift outgrows an FM channel: the side of 70 cm
// and above is stepped, the 2 m side (and short wave) is left alone. Common
// practice, no source; at 400 to 800 km the shift is ±3 kHz on 2 m and ±10 kHz
// on 70 cm.
const steppedFromMHz = 300

// tuningLines gives uplink, downlink, mode and tone as they are without shift,
// FM channels to the nearest that the radio can dial.
func tuningLines(t predict.Transponder, stepKHz float64) []string {
	switch {
	case t.Kind == predict.Linear:
		return linearLines(t)
	case t.Kind == predict.Beacon:
		return []string{"Beacon " + dial(t.DownlinkMHz, stepKHz) + " " + modeOf(t)}
	case t.UplinkMHz == 0 && t.DownlinkMHz == 0:
		return []string{"No frequencies known"}
	}
	pair := when(t.UplinkMHz > 0, ", up "+dial(t.UplinkMHz, stepKHz)+" "+toneWord(t.ToneHz)) +
		when(t.DownlinkMHz > 0, ", down "+dial(t.DownlinkMHz, stepKHz))
	return append(hung(upperFirst(strings.TrimPrefix(pair, ", "))+" "+modeOf(t)), armLines(t)...)
}

// armLines tell the tone that a bird is switched on with, if there is one.
func armLines(t predict.Transponder) []string {
	return hung(when(t.ArmToneHz > 0, "To switch it on first: "+toneWord(t.ArmToneHz)))
}

// linearLines gives both passbands; their middles belong together in an inverting one too.
func linearLines(t predict.Transponder) []string {
	kind := "Linear, " + when(!t.Inverting, "not ") + "inverting, " + modeOf(t) + when(t.ToneHz > 0, ", "+toneWord(t.ToneHz))
	return append(hung(kind), passbands(t)...)
}

func passbands(t predict.Transponder) []string {
	return []string{"Up " + passband(t.UplinkMHz, t.UplinkWidthKHz), "Down " + passband(t.DownlinkMHz, t.DownlinkWidthKHz)}
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

// steppedSides are those of an FM channel or a beacon. On a linear transponder both
// dials turn all the time, without steps.
func steppedSides(t predict.Transponder) []steppedSide {
	var sides []steppedSide
	if t.Kind == predict.Linear {
		return nil
	}
	if t.DownlinkMHz >= steppedFromMHz {
		sides = append(sides, steppedSide{predict.Receive, t.DownlinkMHz, "receive"})
	}
	if t.UplinkMHz >= steppedFromMHz {
		sides = append(sides, steppedSide{predict.Transmit, t.UplinkMHz, "transmit"})
	}
	return sides
}

// timetable is where to point and what to dial, when; during the pass it begins at now.
func timetable(p Pass, now time.Time, t thrift) []string {
	if t.noTable {
		return nil
	}
	return p.tableAt(rowTimes(p, p.allSteps(), now, t))
}

// tableAt is a timetable of these moments under its heading.
func (p Pass) tableAt(times []time.Time) []string {
	sides, dials := p.dials()
	step := p.Radio.StepKHz
	if p.Transponder().Kind == predict.Linear {
		step = fineKHz
	}
	c := columnsFor(sides, step)
	lines := []string{c.head(sides)}
	for _, at := range times {
		lines = append(lines, c.row(p.Look(at), at, dials(at)))
	}
	return lines
}

// dials are the sides that a timetable shows, and what they show at a moment: the
// stepped ones, or both of a linear transponder in the middle of its passband.
func (p Pass) dials() (sides []steppedSide, at func(time.Time) []string) {
	t := p.Transponder()
	if t.Kind != predict.Linear {
		steps := p.allSteps()
		return steppedSides(t), func(at time.Time) (all []string) {
			for _, s := range steps {
				all = append(all, dialled(dialAt(s, at), p.Radio.StepKHz))
			}
			return all
		}
	}
	sides = []steppedSide{{predict.Receive, t.DownlinkMHz, "receive"}, {predict.Transmit, t.UplinkMHz, "transmit"}}
	return sides, func(at time.Time) []string {
		d := p.Table.Tune(p.Place.Site, at, t, 0)
		return []string{fine(d.DownlinkMHz), fine(d.UplinkMHz)}
	}
}

// Turn is what a dial shows from a moment on.
type Turn struct {
	At   time.Time
	Dial string
}

// Turns is how the one dial moves along a pass that is told first, and its label:
// the stepped one, or the receive dial of a linear transponder at a few moments.
// There are none where no dial moves.
func (p Pass) Turns() (label string, turns []Turn) {
	sides, at := p.dials()
	if len(sides) == 0 {
		return "", nil
	}
	if p.Transponder().Kind == predict.Linear {
		for _, t := range dialTimes(p.Pass, time.Time{}) {
			turns = append(turns, Turn{t, strings.TrimSpace(at(t)[0])})
		}
		return sides[0].label, turns
	}
	for _, s := range p.steps(sides[0]) {
		turns = append(turns, Turn{s.At, dialled(s.DialMHz, p.Radio.StepKHz)})
	}
	return sides[0].label, turns
}

// dialTimes are five moments along the pass, and now during it.
func dialTimes(p predict.Pass, now time.Time) []time.Time {
	times := []time.Time{p.AOS, p.AOS.Add(p.TCA.Sub(p.AOS) / 2), p.TCA, p.TCA.Add(p.LOS.Sub(p.TCA) / 2), p.LOS}
	if isUp(p, now) {
		times = append(slices.DeleteFunc(times, func(at time.Time) bool { return !now.Before(at) }), now)
	}
	slices.SortFunc(times, time.Time.Compare)
	return times
}

// allSteps is how the dials of the stepped sides move during the pass.
func (p Pass) allSteps() [][]predict.Step {
	return each(steppedSides(p.Transponder()), p.steps)
}

// steps is how a dial moves during the pass.
func (p Pass) steps(s steppedSide) []predict.Step {
	return p.Table.Steps(p.Place.Site, p.Pass, s.mhz, p.Radio.StepKHz, s.side)
}

// columns is how wide the timetable is: fine rasters need wider columns, and
// where two of them stand there is no room for the compass points.
type columns struct {
	width  int // of a dial
	narrow bool
}

// fineKHz is the step of an SSB dial as it is told.
const fineKHz = 0.1

const fullHead = "UTC      true az  el"

func columnsFor(sides []steppedSide, stepKHz float64) columns {
	width := len("transmit")
	for _, s := range sides {
		width = max(width, len(dialled(s.mhz, stepKHz)))
	}
	return columns{width, len(fullHead)+len(sides)*(1+width) > Columns}
}

func (c columns) head(sides []steppedSide) string {
	var head strings.Builder
	head.WriteString(cmp.Or(when(c.narrow, "UTC       az  el"), fullHead))
	for _, s := range sides {
		head.WriteString(fmt.Sprintf(" %*s", c.width, s.label))
	}
	return head.String()
}

func (c columns) row(l predict.Look, at time.Time, dials []string) string {
	towards := heading(l.AzDeg)
	if c.narrow {
		towards = towards[:len("000")]
	}
	row := fmt.Sprintf("%s %s %3s", Clock(at), towards, degrees(l.ElDeg))
	return row + strings.Join(each(dials, func(dial string) string { return fmt.Sprintf(" %*s", c.width, dial) }), "")
}

// togetherWithin is how close two changes on different sides of the radio may be
// to be told as one: a hand can't make them apart, and straight overhead at
// 420 km the earlier one is 0.9 kHz further off by then (175 Hz/s on 70 cm).
const togetherWithin = 5 * time.Second

// rowTimes are the moments of the timetable; where no dial moves, two more help along.
func rowTimes(p Pass, steps [][]predict.Step, now time.Time, t thrift) []time.Time {
	times := []time.Time{p.AOS}
	for _, side := range steps {
		for _, s := range side {
			times = append(times, s.At)
		}
	}
	times = thinned(times, t.every)
	if len(steps) == 0 && t.others < othersNames {
		times = append(times, p.AOS.Add(p.TCA.Sub(p.AOS)/2), p.TCA.Add(p.LOS.Sub(p.TCA)/2))
	}
	if !t.noTCA {
		times = append(times, p.TCA)
	}
	if !t.noLOS {
		times = append(times, p.LOS)
	}
	if isUp(p.Pass, now) {
		times = slices.DeleteFunc(times, func(at time.Time) bool { return at.Before(now) })
		times = append(times, now)
	}
	slices.SortFunc(times, time.Time.Compare)
	if len(steps) > 1 {
		return latestOf(times, togetherWithin)
	}
	return latestOf(times, time.Second)
}

// thinned keeps AOS, of the changes after it every so many, and the last.
func thinned(times []time.Time, every int) []time.Time {
	slices.SortFunc(times, time.Time.Compare)
	times = slices.CompactFunc(times, time.Time.Equal)
	var kept []time.Time
	for i, at := range times {
		if every < 2 || i%every == 0 || i == len(times)-1 {
			kept = append(kept, at)
		}
	}
	return kept
}

// latestOf keeps the last of moments that are told as one: the dials have changed by then.
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

// dial is the nearest frequency that the radio can dial, with three decimals or more.
func dial(mhz, stepKHz float64) string {
	text := dialled(math.Round(mhz*1000/stepKHz)*stepKHz/1000, stepKHz)
	least := strings.IndexByte(text, '.') + 4
	for len(text) > least && text[len(text)-1] == '0' {
		text = text[:len(text)-1]
	}
	return text
}

// dialled writes a frequency of the raster with as many decimals as that has.
func dialled(mhz, stepKHz float64) string {
	return strconv.FormatFloat(mhz, 'f', decimals(stepKHz), 64)
}

// orNone writes a frequency in one of these ways, if there is one.
func orNone(mhz float64, write func(mhz, stepKHz float64) string, stepKHz float64) string {
	if mhz == 0 {
		return "none"
	}
	return write(mhz, stepKHz)
}

// decimals is how many decimals of MHz the frequencies of a raster have.
func decimals(stepKHz float64) int {
	switch stepKHz {
	case 6.25:
		return 5
	case 2.5, 12.5:
		return 4
	}
	return 3
}

func modeOf(t predict.Transponder) string {
	return cmp.Or(t.Mode, when(t.Kind == predict.Linear, "SSB"), when(t.Kind == predict.FM, "FM"), "mode not known")
}

func toneWord(hz float64) string {
	if hz == 0 {
		return "no tone"
	}
	return "tone " + shortTone(hz)
}

func shortTone(hz float64) string {
	if hz == 0 {
		return "none"
	}
	return fmt.Sprintf("%.1f", hz)
}
