package bot

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"skyslate/predict"
	"skyslate/storage"
)

// rasterKHz is the step of the radio's dial: every frequency told is a multiple
// of it.
const rasterKHz = 5.0

// steppedFromMHz is where Doppler shift outgrows an FM channel: the side of 70 cm
// and above is stepped, the 2 m side (and short wave) is left alone. Common
// practice, no source; at 400 to 800 km the shift is ±3 kHz on 2 m and ±10 kHz
// on 70 cm.
const steppedFromMHz = 300

// radio is the way through the bird, or its beacon where there is no other.
func (p passing) radio() predict.Transponder { return radioOf(p.bird) }

func radioOf(b predict.Bird) predict.Transponder {
	if t := b.Main(); t.Kind != 0 || len(b.Transponders) == 0 {
		return t
	}
	return b.Transponders[0]
}

// tuningLines gives uplink, downlink, mode and tone as they are without shift,
// FM channels to the nearest that the radio can dial.
func tuningLines(t predict.Transponder) []string {
	switch {
	case t.Kind == predict.Linear:
		return linearLines(t)
	case t.Kind == predict.Beacon:
		return []string{"Beacon " + dial(t.DownlinkMHz) + " " + modeOf(t)}
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
	kind := "Linear, not inverting, "
	if t.Inverting {
		kind = "Linear, inverting, "
	}
	kind += modeOf(t)
	if t.ToneHz > 0 {
		kind += ", " + toneWord(t.ToneHz)
	}
	return slices.Concat(
		wrap(kind, "  "),
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
		steps[i] = p.steps(s)
	}
	var head strings.Builder
	head.WriteString("UTC      true az  el")
	for _, s := range sides {
		head.WriteString(fmt.Sprintf(" %8s", s.label))
	}
	lines := []string{head.String()}
	for _, at := range rowTimes(p.pass, steps, now, t) {
		lines = append(lines, timetableRow(p.look(at), at, steps))
	}
	return lines
}

// steps is how a dial moves during the pass.
func (p passing) steps(s steppedSide) []predict.Step {
	return p.table.Steps(siteOf(p.pass.Place), predict.Pass{
		Name: p.bird.Name, Catalog: p.bird.Catalog,
		AOS: p.pass.AOS, TCA: p.pass.TCA, LOS: p.pass.LOS,
	}, s.mhz, rasterKHz, s.side)
}

func timetableRow(l predict.Look, at time.Time, steps [][]predict.Step) string {
	var row strings.Builder
	row.WriteString(fmt.Sprintf("%s %s %3s", clock(at), heading(l.AzDeg), degrees(l.ElDeg)))
	for _, s := range steps {
		row.WriteString(fmt.Sprintf(" %8.3f", dialAt(s, at)))
	}
	return row.String()
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
	if len(steps) == 0 && t.others < othersNames {
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
	return "mode not known"
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
