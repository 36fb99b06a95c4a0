package say

import (
	"fmt"
	"math"
	"strings"
	"time"

	"skyslate/predict"
)

// The radio's memories, and the dials of linear birds.

// NoPassKnown says that no pass is ahead.
const NoPassKnown = "No pass ahead that I know of: see\n/passes."

// Memories lists what to store, a row each; the tone is of the transmit side.
func Memories(p Pass, rows []predict.MemoryRow) string {
	say := func(mhz float64) string { return orNone(mhz, dialled, p.Radio.StepKHz) }
	lines := wrap(fmt.Sprintf("Memories for %s on %s:", p.Bird.Name, dayMonth(p.AOS)), "  ")
	lines = append(lines, "UTC, kHz: receive, transmit, its tone")
	for _, r := range rows {
		lines = append(lines, clip(fmt.Sprintf("%s: %s %s %s", r.Label(), say(r.DownlinkMHz), say(r.UplinkMHz), shortTone(r.ToneHz)), Columns))
	}
	return strings.Join(append(lines, armLines(p.Transponder())...), "\n")
}

// NoMemories says that a bird is no FM bird.
func NoMemories(bird string) string {
	return sentence("%s is no FM bird: its dials follow each other all the time. /dial tells how.", bird)
}

// NoLinear says that no pass of a linear bird, or of the one named, is ahead.
func NoLinear(bird string) string {
	if bird != "" {
		return sentence("No pass of a linear bird “%s” ahead. FM birds need no more than the reminder says.", Short(bird, 16))
	}
	return "No pass of a linear bird ahead: see\n/passes and /birds."
}

// OffBand says that a dial is in no passband of a linear bird.
func OffBand(b predict.Bird, mhz float64) string {
	t := b.Main()
	return strings.Join(append(hung(fmt.Sprintf("%.4f is no dial of %s:", mhz, b.Name)), passbands(t)...), "\n")
}

// Dials gives both dials on one spot of a linear transponder, and their shifts.
func Dials(p Pass, spot predict.Transponder, now time.Time) string {
	t := p.Transponder()
	off := (spot.DownlinkMHz - t.DownlinkMHz) * 1000
	where := "the middle"
	if math.Abs(off) >= 0.05 {
		where = fmt.Sprintf("%.1f kHz %s the middle", math.Abs(off), map[bool]string{true: "above", false: "below"}[off > 0])
	}
	lines := hung(fmt.Sprintf("%s on %s, %s, %s:", p.Bird.Name, dayMonth(p.AOS), modeOf(t), where),
		when(math.Abs(off) > t.DownlinkWidthKHz/2, "Outside its passband!"))
	lines = append(lines, "UTC      receive transmit kHz down, up")
	for _, at := range dialTimes(p.Pass, now) {
		d := p.Table.Tune(p.Place.Site, at, spot, 0)
		lines = append(lines, fmt.Sprintf("%s %s %s %+5.1f %+5.1f", Clock(at), fine(d.DownlinkMHz), fine(d.UplinkMHz), tenths(d.DownlinkHz), tenths(d.UplinkHz)))
	}
	way := "Tune up, and transmit goes up too."
	if t.Inverting {
		way = "Inverting: tune up, transmit goes down."
	}
	return strings.Join(append(lines, wrap(way, "  ")...), "\n")
}

// tenths is Hz as kHz to a tenth, never a negative zero.
func tenths(hz float64) float64 { return math.Round(hz/100)/10 + 0 }

// fine is a dial of SSB in eight characters: to 100 Hz, or to 1 kHz above a GHz.
func fine(mhz float64) string {
	switch {
	case mhz == 0:
		return "    none"
	case mhz >= 1000:
		return fmt.Sprintf("%8.3f", mhz)
	}
	return fmt.Sprintf("%8.4f", mhz)
}

// restingLines tells what the shift is on the side that stays put.
func restingLines(p Pass) []string {
	t := p.Transponder()
	if !p.Radio.Both || t.Kind == predict.Linear { // both dials of which are told
		return nil
	}
	side := func(name string, mhz, sign float64) string {
		rise, set := p.Look(p.AOS).ShiftHz(mhz), p.Look(p.LOS).ShiftHz(mhz)
		return when(mhz != 0 && mhz < steppedFromMHz,
			fmt.Sprintf("Left alone, %s: %+.1f to %+.1f kHz", name, sign*rise/1000, sign*set/1000))
	}
	// Up is what would have to be added, as on the dial.
	return footed(footed(nil, side("up", t.UplinkMHz, -1)), side("down", t.DownlinkMHz, 1))
}
