package predict

import (
	"math"
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
	if !(mhz > 0) || !(stepKHz > 0) {
		return nil
	}
	f := s.frame()
	dial := func(t float64) float64 { return dialHz(p.look(&f, t), mhz, side) / (stepKHz * 1e3) }
	t, end := p.bounds(pass)
	wanted := dial(t)
	channel := math.Round(wanted)
	steps := []Step{p.dialled(t, channel, mhz, stepKHz)}
	for t < end {
		next := math.Min(t+stepSeconds, end)
		then := dial(next)
		for channel != math.Round(then) {
			way := math.Copysign(1, then-channel)
			edge := channel + way/2
			over := root(func(t float64) float64 { return dial(t) - edge }, t, wanted-edge, next, then-edge)
			channel += way
			steps = append(steps, p.dialled(over, channel, mhz, stepKHz))
		}
		t, wanted = next, then
	}
	return steps
}

// dialHz is where the dial ought to stand for a nominal frequency.
func dialHz(l Look, mhz float64, side Side) float64 {
	if side == Transmit {
		return mhz*1e6 - l.ShiftHz(mhz)
	}
	return mhz*1e6 + l.ShiftHz(mhz)
}

func (p *Ephemeris) dialled(t, channel, mhz, stepKHz float64) Step {
	khz := channel * stepKHz
	return Step{At: p.moment(t), OffsetKHz: tidy(khz - mhz*1e3), DialMHz: tidy(khz) / 1e3}
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
