package say

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"time"

	"skyslate/bot/along"
	"skyslate/bot/dial"
	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/predict"
)

// Frequencies, the timetable of a pass (where to point and what to dial, when), the
// radio's memories, and the dials of linear birds.

// tuningLines gives uplink, downlink, mode and tone as they are without shift,
// FM channels to the nearest that the radio can dial.
func tuningLines(t predict.Transponder, stepKHz float64) []string {
	switch {
	case t.Kind == predict.Linear:
		kind := "Linear, " + phrase.When(!t.Inverting, "not ") + "inverting, " + modeOf(t)
		return append(layout.Hang(kind+phrase.When(t.ToneHz > 0, ", "+toneWord(t.ToneHz))), passbands(t)...)
	case t.Kind == predict.Beacon:
		return []string{"Beacon " + dial.Nearest(t.DownlinkMHz, stepKHz) + " " + modeOf(t)}
	case t.UplinkMHz == 0 && t.DownlinkMHz == 0:
		return []string{"No frequencies known"}
	}
	pair := phrase.When(t.UplinkMHz > 0, ", up "+dial.Nearest(t.UplinkMHz, stepKHz)+" "+toneWord(t.ToneHz)) +
		phrase.When(t.DownlinkMHz > 0, ", down "+dial.Nearest(t.DownlinkMHz, stepKHz))
	return append(layout.Hang(phrase.UpperFirst(strings.TrimPrefix(pair, ", "))+" "+modeOf(t)), armLines(t)...)
}

func (p Pass) tuning() []string { return tuningLines(p.Transponder(), p.Radio.StepKHz) }

// armLines tell the tone that a bird is switched on with, if there is one.
func armLines(t predict.Transponder) []string {
	return layout.Hang(phrase.When(t.ArmToneHz > 0, "To switch it on first: "+toneWord(t.ArmToneHz)))
}

// passbands are both of a linear transponder; their middles belong together in an
// inverting one too.
func passbands(t predict.Transponder) []string {
	band := func(mhz, widthKHz float64) string {
		half := widthKHz / 2000
		return fmt.Sprintf("%.3f–%.3f, middle %.3f", mhz-half, mhz+half, mhz)
	}
	return []string{"Up " + band(t.UplinkMHz, t.UplinkWidthKHz), "Down " + band(t.DownlinkMHz, t.DownlinkWidthKHz)}
}

// sides are the words for the sides of a radio.
var sides = map[predict.Side]string{predict.Receive: "receive", predict.Transmit: "transmit"}

// dials are those that move during the pass.
func (p Pass) dials() []dial.Moving {
	return dial.Along(p.Table, p.Place.Site, p.Pass, p.Transponder(), p.Radio.StepKHz)
}

// timetable is where to point and what to dial, when; during the pass it begins at now.
func timetable(p Pass, now time.Time, t thrift) []string {
	if t.noTable {
		return nil
	}
	dials := p.dials()
	return p.tableAt(dial.Moments(p.Pass, dials, now, t.every, t.others < othersNames), dials)
}

// pointings say where to point at a moment, in widths that leave more and more room for
// dials. Beside two dials of a fine raster the hour is left out, and in the end the
// elevation.
var pointings = []struct {
	head string
	at   func(time.Time, predict.Look) string
}{
	{"UTC      true az  el", func(at time.Time, l predict.Look) string {
		return fmt.Sprintf("%s %s %3s", phrase.Clock(at), phrase.Heading(l.AzDeg), phrase.Degrees(l.ElDeg))
	}},
	{"UTC       az  el", func(at time.Time, l predict.Look) string {
		return fmt.Sprintf("%s %s %3s", phrase.Clock(at), phrase.Heading(l.AzDeg)[:3], phrase.Degrees(l.ElDeg))
	}},
	{"m:s   az el", func(at time.Time, l predict.Look) string {
		return fmt.Sprintf("%s %s %2.0f", phrase.Clock(at)[len("15:"):], phrase.Heading(l.AzDeg)[:3], math.Abs(l.ElDeg))
	}},
	{"m:s   az", func(at time.Time, l predict.Look) string {
		return phrase.Clock(at)[len("15:"):] + " " + phrase.Heading(l.AzDeg)[:3]
	}},
}

// tableAt is a timetable of these moments under its heading.
func (p Pass) tableAt(times []time.Time, dials []dial.Moving) []string {
	width := len("transmit")
	for _, d := range dials {
		width = max(width, len(d.At(p.AOS)))
	}
	row := func(start string, cell func(dial.Moving) string) string {
		cells := phrase.Each(dials, func(d dial.Moving) string { return fmt.Sprintf(" %*s", width, cell(d)) })
		return start + strings.Join(cells, "")
	}
	to := pointings[0]
	for _, to = range pointings {
		if len(to.head)+len(dials)*(1+width) <= layout.TableColumns {
			break
		}
	}
	lines := []string{row(to.head, func(d dial.Moving) string { return sides[d.Side] })}
	for _, at := range times {
		lines = append(lines, row(to.at(at, p.Look(at)), func(d dial.Moving) string { return d.At(at) }))
	}
	return layout.TableRows(lines...)
}

// Turns is how the dial that is told first moves along a pass, and its label; there are
// none where no dial moves.
func (p Pass) Turns() (label string, turns []dial.Turn) {
	dials := p.dials()
	if len(dials) == 0 {
		return "", nil
	}
	return sides[dials[0].Side], dials[0].Turns(p.Pass)
}

func modeOf(t predict.Transponder) string {
	return cmp.Or(t.Mode, phrase.When(t.Kind == predict.Linear, "SSB"), phrase.When(t.Kind == predict.FM, "FM"), "mode not known")
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

// Memories lists what to store, a row each; the tone is of the transmit side.
func Memories(p Pass, rows []predict.MemoryRow) string {
	head := fmt.Sprintf("Memories for %s on %s, transmit with %s:", p.Bird.Name, phrase.DayMonth(p.AOS), toneWord(p.Transponder().ToneHz))
	lines := []string{"UTC     receive  transmit"}
	for _, r := range rows {
		receive, transmit := dial.Written(r.DownlinkMHz, p.Radio.StepKHz), dial.Written(r.UplinkMHz, p.Radio.StepKHz)
		lines = append(lines, fmt.Sprintf("%s %9s %9s", phrase.ShortClock(r.At), receive, transmit))
	}
	return phrase.Lined(layout.Hang(head), layout.TableRows(lines...), armLines(p.Transponder()))
}

// NoMemories says that a bird is no FM bird.
var NoMemories = phrase.InLines(phrase.Whole, "%s is no FM bird: its dials follow each other all the time. /dial tells how.")

// NoLinear says that no pass of a linear bird, or of the one named, is ahead.
func NoLinear(bird string) string {
	if bird != "" {
		return phrase.Sentence("No pass of a linear bird “%s” ahead. FM birds need no more than the reminder says.", layout.Short(bird, 16))
	}
	return "No pass of a linear bird ahead: see\n/passes and /birds."
}

// OffBand says that a dial is in no passband of a linear bird.
func OffBand(b predict.Bird, mhz float64) string {
	return phrase.Lined(layout.Hang(fmt.Sprintf("%.4f is no dial of %s:", mhz, b.Name)), passbands(b.Main()))
}

// Dials gives both dials on one spot of a linear transponder, and their shifts.
func Dials(p Pass, spot predict.Transponder, now time.Time) string {
	t := p.Transponder()
	off := (spot.DownlinkMHz - t.DownlinkMHz) * 1000
	where := "the middle"
	if math.Abs(off) >= 0.05 {
		where = fmt.Sprintf("%.1f kHz %s the middle", math.Abs(off), map[bool]string{true: "above", false: "below"}[off > 0])
	}
	lines := layout.Hang(fmt.Sprintf("%s on %s, %s, %s:", p.Bird.Name, phrase.DayMonth(p.AOS), modeOf(t), where),
		phrase.When(math.Abs(off) > t.DownlinkWidthKHz/2, "Outside its passband!"))
	rows := []string{"UTC           dial MHz shift"}
	for _, at := range along.Five(p.Pass, now) {
		d := p.Table.Tune(p.Place.Site, at, spot, 0, predict.Receive)
		rows = append(rows, fmt.Sprintf("%s down %s %+5.1f", phrase.Clock(at), dial.Fine(d.DownlinkMHz), tenths(d.DownlinkHz)),
			fmt.Sprintf("%8s up   %s %+5.1f", "", dial.Fine(d.UplinkMHz), tenths(d.UplinkHz)))
	}
	way := "Tune up, and transmit goes up too."
	if t.Inverting {
		way = "Inverting: tune up, transmit down."
	}
	return phrase.Lined(lines, layout.TableRows(rows...), layout.Hang(way))
}

// tenths is Hz as kHz to a tenth, never a negative zero.
func tenths(hz float64) float64 { return math.Round(hz/100)/10 + 0 }

// restingLines tells what the shift is on the side that stays put.
func restingLines(p Pass) []string {
	t := p.Transponder()
	if !p.Radio.Both || t.Kind == predict.Linear { // both dials of which are told
		return nil
	}
	side := func(name string, mhz, sign float64) string {
		rise, set := p.Look(p.AOS).ShiftHz(mhz), p.Look(p.LOS).ShiftHz(mhz)
		return phrase.When(mhz != 0 && mhz < dial.SteppedFromMHz,
			fmt.Sprintf("Left alone, %s: %+.1f to %+.1f kHz", name, sign*rise/1000, sign*set/1000))
	}
	// Up is what would have to be added, as on the dial.
	return phrase.Footed(nil, side("up", t.UplinkMHz, -1), side("down", t.DownlinkMHz, 1))
}
