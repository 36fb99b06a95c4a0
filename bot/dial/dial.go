// Package dial is what the dials of a radio show along a pass, as numbers are read off
// them: in the raster that the radio has, or turning all the time where there is none.
package dial

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/along"
	"skyslate/predict"
)

// SteppedFromMHz is where Doppler shift outgrows an FM channel: the side of 70 cm
// and above is stepped, the 2 m side (and short wave) is left alone. Common
// practice, no source; at 400 to 800 km the shift is ±3 kHz on 2 m and ±10 kHz
// on 70 cm.
const SteppedFromMHz = 300

// A Moving dial is a side of the radio that is dialled anew during a pass.
type Moving struct {
	Side  predict.Side
	Steps []predict.Step         // none: it moves all the time
	At    func(time.Time) string // what it shows at a moment
}

// Along are the dials that move along a pass, as a place sees it: the stepped sides of
// an FM channel or a beacon, or both sides of a linear transponder in the middle of its
// passband, which turn all the time.
func Along(
	table *predict.Ephemeris, from predict.Site, p predict.Pass, t predict.Transponder, stepKHz float64,
) []Moving {
	if t.Kind == predict.Linear {
		tune := func(at time.Time) predict.Tuning { return table.Tune(from, at, t, 0, predict.Receive) }
		return []Moving{
			{Side: predict.Receive, At: func(at time.Time) string { return Fine(tune(at).DownlinkMHz) }},
			{Side: predict.Transmit, At: func(at time.Time) string { return Fine(tune(at).UplinkMHz) }},
		}
	}
	var dials []Moving
	step := func(side predict.Side, mhz float64) {
		if mhz < SteppedFromMHz {
			return
		}
		steps := table.Steps(from, p, mhz, stepKHz, side)
		dials = append(dials, Moving{side, steps, func(at time.Time) string {
			return Written(along.Dial(steps, at), stepKHz)
		}})
	}
	step(predict.Receive, t.DownlinkMHz)
	step(predict.Transmit, t.UplinkMHz)
	return dials
}

// Moments are those of a timetable from now on: AOS, of the changes of the dials every so
// many (0: each), TCA and LOS. Where no dial is stepped, two more help along if there is
// room.
func Moments(p predict.Pass, dials []Moving, now time.Time, every int, room bool) []time.Time {
	times, stepped := []time.Time{p.AOS}, 0
	for _, d := range dials {
		for _, s := range d.Steps {
			times = append(times, s.At)
		}
		stepped += min(len(d.Steps), 1)
	}
	times = along.Thinned(times, every)
	if stepped == 0 && room {
		times = append(times, along.Halfway(p.AOS, p.TCA), along.Halfway(p.TCA, p.LOS))
	}
	times = append(times, p.TCA, p.LOS)
	within := time.Second
	if stepped > 1 {
		within = along.Together
	}
	return along.LatestOf(along.FromNow(times, p, now), within)
}

// A Turn is what a dial shows from a moment on.
type Turn struct {
	At   time.Time
	Dial string
}

// Turns are the steps of a dial along its pass, or a few moments of one that moves all
// the time.
func (m Moving) Turns(p predict.Pass) (turns []Turn) {
	var times []time.Time
	for _, s := range m.Steps {
		times = append(times, s.At)
	}
	if len(times) == 0 {
		times = along.Five(p, time.Time{})
	}
	for _, at := range times {
		turns = append(turns, Turn{at, strings.TrimSpace(m.At(at))})
	}
	return turns
}

// Nearest is the nearest frequency that the radio can dial, with three decimals or more.
func Nearest(mhz, stepKHz float64) string {
	text := Written(math.Round(mhz*1000/stepKHz)*stepKHz/1000, stepKHz)
	least := strings.IndexByte(text, '.') + 4
	return text[:least] + strings.TrimRight(text[least:], "0")
}

// Written is a frequency of the raster with as many decimals as that has; above a GHz,
// where two such dials would be too wide for a table, with four at most.
func Written(mhz, stepKHz float64) string {
	decimals := 3
	switch {
	case mhz == 0:
		return "none"
	case stepKHz == 6.25 && mhz < 1000:
		decimals = 5
	case stepKHz == 6.25 || stepKHz == 2.5 || stepKHz == 12.5:
		decimals = 4
	}
	return strconv.FormatFloat(mhz, 'f', decimals, 64)
}

// Fine is a dial of SSB in eight characters: to 100 Hz, or to 1 kHz above a GHz.
func Fine(mhz float64) string {
	switch {
	case mhz == 0:
		return "    none"
	case mhz >= 1000:
		return fmt.Sprintf("%8.3f", mhz)
	}
	return fmt.Sprintf("%8.4f", mhz)
}
