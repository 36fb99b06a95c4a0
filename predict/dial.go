package predict

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// statedMHz finds a frequency in a line: "435.640", with a decimal at least.
var statedMHz = regexp.MustCompile(`(?:^|[^0-9.,])([0-9]{2,5}[.,][0-9]{2,6})(?:$|[^0-9.,])`)

// outsideKHz is how far outside its passband a dial may stand and still be of a
// transponder: the Doppler shift on 70 cm is 10 kHz.
const outsideKHz = 15

// Stated finds in a text a dial frequency, in MHz, of a linear transponder, and
// the side it is of.
func (t Transponder) Stated(text string) (mhz float64, side Side, ok bool) {
	if t.Kind != Linear {
		return 0, 0, false
	}
	for _, m := range statedMHz.FindAllStringSubmatch(text, -1) {
		mhz, err := strconv.ParseFloat(strings.ReplaceAll(m[1], ",", "."), 64)
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

// TuneTo is how both dials stand where the one of a side stands at mhz; 0 is the
// middle of the passband.
func (p *Ephemeris) TuneTo(at Site, when time.Time, t Transponder, mhz float64, side Side) Tuning {
	if side == Receive || mhz == 0 {
		return p.Tune(at, when, t, mhz)
	}
	// Which receive dial belongs to a transmit dial: the middles belong
	// together, and from there the two move by as much, the same way or the
	// opposite one. Doppler makes "as much" wrong by a millionth: one more
	// step settles it to a hundredth of a Hz.
	way := 1.0
	if t.Inverting {
		way = -1
	}
	tuning := p.Tune(at, when, t, 0)
	for range 2 {
		tuning = p.Tune(at, when, t, tuning.DownlinkMHz+way*(mhz-tuning.UplinkMHz))
	}
	return tuning
}
