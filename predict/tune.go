package predict

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// A Side is the side of the radio that is tuned.
type Side int

// The sides of a radio.
const (
	Receive  Side = iota + 1 // the dial follows what arrives
	Transmit                 // the dial is moved so that the bird hears the nominal frequency
)

// A Step is a moment from which the nearest frequency that the radio can dial
// is DialMHz, a whole multiple of the step; OffsetKHz is dial less nominal.
type Step struct {
	At        time.Time
	OffsetKHz float64
	DialMHz   float64
}

// Bounds of what is dialled: no radio is tuned beyond them, and between them there are
// steps that numbers can tell apart, a countable few in a pass.
const (
	mostMHz      = 1e6
	leastStepKHz = 0.001
)

// stepSeconds is how far apart the changes of dial are looked for; over it the
// shift moves one way only.
const stepSeconds = 15

// Steps is how to dial the nominal frequency mhz through a pass over s: the
// nearest multiple of stepKHz at AOS, then each change of it until LOS. Where
// a bird never rises or sets it goes to the end of the table's span. The
// transmit correction has the opposite sign of the receive correction.
//
// Common practice, no source: the 70 cm side is stepped, the 2 m side is left
// alone, because FM tolerates its 3 kHz.
func (p *Ephemeris) Steps(s Site, pass Pass, mhz, stepKHz float64, side Side) []Step {
	if !(mhz > 0 && mhz < mostMHz) || !(stepKHz >= leastStepKHz && stepKHz < mostMHz*1e3) {
		return nil
	}
	f := s.frame()
	sign := 1.0
	if side == Transmit {
		sign = -1
	}
	dial := func(t float64) float64 { return (mhz*1e6 + sign*p.look(&f, t).ShiftHz(mhz)) / (stepKHz * 1e3) }
	t, end := p.bounds(pass)
	wanted := dial(t)
	if math.IsNaN(wanted) {
		return nil // a site, or elements, of no numbers
	}
	channel := math.Round(wanted)
	var steps []Step
	add := func(t float64) {
		khz := channel * stepKHz
		steps = append(steps, Step{At: p.moment(t), OffsetKHz: tidy(khz - mhz*1e3), DialMHz: tidy(khz) / 1e3})
	}
	add(t)
	for t < end {
		next := math.Min(t+stepSeconds, end)
		then := dial(next)
		for math.Abs(math.Round(then)-channel) >= 1 { // never for what is no number
			way := math.Copysign(1, then-channel)
			edge := channel + way/2
			over := root(func(t float64) float64 { return dial(t) - edge }, t, wanted-edge, next, then-edge)
			channel += way
			add(over)
		}
		t, wanted = next, then
	}
	return steps
}

// tidy takes the noise of binary fractions off a number of kHz: radios step by
// 10 Hz at the finest, nominal frequencies are known to 1 Hz.
func tidy(khz float64) float64 { return math.Round(khz*1e6) / 1e6 }

// bounds is the pass on the table's axis, cut to the span where it has no end.
func (p *Ephemeris) bounds(pass Pass) (lo, hi float64) {
	lo, hi = p.seconds(p.from), p.seconds(p.to)
	if !pass.AOS.IsZero() {
		lo = p.seconds(pass.AOS)
	}
	if !pass.LOS.IsZero() {
		hi = p.seconds(pass.LOS)
	}
	return lo, hi
}

// A MemoryRow is one row of a plan for the radio's memories: what both dials
// stand on from At on. Step says it for the side that is stepped.
type MemoryRow struct {
	Step
	DownlinkMHz float64
	UplinkMHz   float64 // 0: none
	ToneHz      float64 // on the transmit side; 0: none
}

// MemoryPlan is the pairs of frequencies to store for a pass, in its order, at
// most so many rows: if the radio's step gives more, a multiple of it is taken.
// The other side stands on the frequency nearest to its nominal.
func (p *Ephemeris) MemoryPlan(s Site, pass Pass, t Transponder, stepKHz float64, rows int) []MemoryRow {
	side, mhz := Receive, t.DownlinkMHz
	if t.UplinkMHz > t.DownlinkMHz { // the larger shift is the one that is stepped
		side, mhz = Transmit, t.UplinkMHz
	}
	steps := p.Steps(s, pass, mhz, stepKHz, side)
	for coarser := 2.0; len(steps) > max(rows, 1) && coarser < 100; coarser++ {
		steps = p.Steps(s, pass, mhz, coarser*stepKHz, side)
	}
	nearest := func(mhz float64) float64 { return tidy(math.Round(mhz*1e3/stepKHz)*stepKHz) / 1e3 }
	plan := make([]MemoryRow, len(steps))
	for i, step := range steps {
		plan[i] = MemoryRow{step, nearest(t.DownlinkMHz), nearest(t.UplinkMHz), t.ToneHz}
		if side == Transmit {
			plan[i].UplinkMHz = step.DialMHz
		} else {
			plan[i].DownlinkMHz = step.DialMHz
		}
	}
	return plan
}

// A Tuning is how to set both dials at a moment. The corrections are dial less
// what the bird sends or hears.
type Tuning struct {
	DownlinkMHz float64 // receive dial
	UplinkMHz   float64 // transmit dial that is heard on it; 0: none
	DownlinkHz  float64 // correction of the receive dial
	UplinkHz    float64 // correction of the transmit dial, of opposite sign
}

// Tune is how both dials stand where the dial of a side stands at dialMHz; 0 is the
// middle of the passband. On an inverting transponder the two move opposite ways.
func (p *Ephemeris) Tune(s Site, at time.Time, t Transponder, dialMHz float64, side Side) Tuning {
	beta := p.Look(s, at).RangeRateKmS / lightSpeed
	way := 1.0
	if t.Inverting {
		way = -1
	}
	sent, heard := t.DownlinkMHz, t.UplinkMHz // by the bird
	switch {
	case !(dialMHz > 0):
	case side == Transmit:
		heard = dialMHz / (1 + beta)
		sent += way * (heard - t.UplinkMHz)
	default:
		sent = dialMHz / (1 - beta)
		heard += way * (sent - t.DownlinkMHz)
	}
	tuning := Tuning{DownlinkMHz: sent * (1 - beta), DownlinkHz: -sent * beta * 1e6}
	if t.UplinkMHz > 0 {
		tuning.UplinkMHz, tuning.UplinkHz = heard*(1+beta), heard*beta*1e6
	}
	return tuning
}

// statedMHz is a frequency as it is typed, with a decimal at least.
var statedMHz = regexp.MustCompile(`^[0-9]{2,5}[.,][0-9]{2,6}$`)

// outsideKHz is how far outside its passband a dial may stand and still be of a
// transponder: the Doppler shift on 70 cm is 10 kHz.
const outsideKHz = 15

// Stated finds in a text a dial frequency, in MHz, of a linear transponder, and
// the side it is of.
func (t Transponder) Stated(text string) (mhz float64, side Side, ok bool) {
	if t.Kind != Linear {
		return 0, 0, false
	}
	between := func(r rune) bool { return (r < '0' || r > '9') && r != '.' && r != ',' }
	for number := range strings.FieldsFuncSeq(text, between) {
		number = strings.TrimRight(number, ".,") // the end of a sentence
		if !statedMHz.MatchString(number) {
			continue
		}
		mhz, err := strconv.ParseFloat(strings.ReplaceAll(number, ",", "."), 64)
		if side, ok := t.SideOf(mhz); err == nil && ok {
			return mhz, side, true
		}
	}
	return 0, 0, false
}

// SideOf is the side of a linear transponder that a dial frequency in MHz is of.
func (t Transponder) SideOf(mhz float64) (side Side, ok bool) {
	switch {
	case t.Kind != Linear:
	case math.Abs(mhz-t.DownlinkMHz)*1000 <= t.DownlinkWidthKHz/2+outsideKHz:
		return Receive, true
	case math.Abs(mhz-t.UplinkMHz)*1000 <= t.UplinkWidthKHz/2+outsideKHz:
		return Transmit, true
	}
	return Receive, false
}
