package bot

import (
	"fmt"
	"math"
	"strings"
	"time"

	"skyslate/predict"
	"skyslate/storage"
)

const (
	textRadioUsage = `Say /radio step 12.5, the raster of
your dial in kHz (1, 2.5, 5, 6.25, 10,
12.5), or /radio 2m on, to be told the
shift of the side that stays put too.`
	textNoneAhead = "No pass ahead that I know of: see\n/passes."
)

func radioText(r storage.Radio) string {
	text := fmt.Sprintf("Your dial goes in steps of %g kHz: all that I tell is a multiple of it.", rasterOf(r))
	change := "on"
	if r.Both {
		text += " I also tell the shift of the side that stays put."
		change = "off"
	}
	return strings.Join(append(wrap(text, ""), "/radio step 6.25 · /radio 2m "+change), "\n")
}

func badStepText(word string) string {
	return strings.Join(wrap("“"+noteText(word, 12)+"”: I expected a step of 1, 2.5, 5, 6.25, 10 or 12.5 kHz.", ""), "\n")
}

// memoriesText lists what to store, a row each, labelled by clock time and
// signed kHz; the tone is of the transmit side.
func memoriesText(p passing, rows []predict.MemoryRow) string {
	step := rasterOf(p.rig)
	say := func(mhz float64) string {
		if mhz == 0 {
			return "none"
		}
		return dialled(mhz, step)
	}
	lines := wrap(fmt.Sprintf("Memories for %s on %s:", p.bird.Name, dayMonth(p.pass.AOS)), "  ")
	lines = append(lines, "UTC, kHz: receive, transmit, its tone")
	for _, r := range rows {
		lines = append(lines, clip(fmt.Sprintf("%s: %s %s %s", r.Label(), say(r.DownlinkMHz), say(r.UplinkMHz), shortTone(r.ToneHz)), textColumns))
	}
	if arm := p.radio().ArmToneHz; arm > 0 {
		lines = append(lines, "To switch it on first: "+toneWord(arm))
	}
	return strings.Join(lines, "\n")
}

func noMemoriesText(b predict.Bird) string {
	return strings.Join(wrap(b.Name+" is no FM bird: its dials follow each other all the time. /dial tells how.", ""), "\n")
}

func noLinearText(bird string) string {
	if bird != "" {
		return strings.Join(wrap("No pass of a linear bird “"+noteText(bird, 16)+"” ahead. FM birds need no more than the reminder says.", ""), "\n")
	}
	return "No pass of a linear bird ahead: see\n/passes and /birds."
}

func offBandText(b predict.Bird, mhz float64) string {
	t := b.Main()
	lines := wrap(fmt.Sprintf("%.4f is no dial of %s:", mhz, b.Name), "  ")
	lines = append(lines, "Up "+passband(t.UplinkMHz, t.UplinkWidthKHz), "Down "+passband(t.DownlinkMHz, t.DownlinkWidthKHz))
	return strings.Join(lines, "\n")
}

// dialText gives both dials on one spot of a linear transponder along the pass,
// and how far each is from what the bird sends and hears.
func dialText(p passing, spot predict.Transponder, now time.Time) string {
	t := p.radio()
	off := (spot.DownlinkMHz - t.DownlinkMHz) * 1000
	where := "the middle"
	if math.Abs(off) >= 0.05 {
		where = fmt.Sprintf("%.1f kHz %s the middle", math.Abs(off), map[bool]string{true: "above", false: "below"}[off > 0])
	}
	lines := wrap(fmt.Sprintf("%s on %s, %s, %s:", p.bird.Name, dayMonth(p.pass.AOS), modeOf(t), where), "  ")
	if math.Abs(off) > t.DownlinkWidthKHz/2 {
		lines = append(lines, "Outside its passband!")
	}
	lines = append(lines, "UTC      receive transmit kHz down, up")
	for _, at := range dialTimes(p.pass, now) {
		d := p.table.Tune(siteOf(p.pass.Place), at, spot, 0)
		lines = append(lines, fmt.Sprintf("%s %s %s %+5.1f %+5.1f", clock(at), fine(d.DownlinkMHz), fine(d.UplinkMHz), tenths(d.DownlinkHz), tenths(d.UplinkHz)))
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
	if mhz == 0 {
		return "    none"
	}
	if mhz >= 1000 {
		return fmt.Sprintf("%8.3f", mhz)
	}
	return fmt.Sprintf("%8.4f", mhz)
}

// restingLines tells what the shift is on the side that stays put.
func restingLines(p passing) []string {
	t := p.radio()
	if !p.rig.Both || t.Kind == predict.Linear { // both dials of which are told

		return nil
	}
	var lines []string
	say := func(name string, mhz float64, sign float64) {
		if mhz == 0 || mhz >= steppedFromMHz {
			return
		}
		rise, set := p.look(p.pass.AOS).ShiftHz(mhz), p.look(p.pass.LOS).ShiftHz(mhz)
		lines = append(lines, fmt.Sprintf("Left alone, %s: %+.1f to %+.1f kHz", name, sign*rise/1000, sign*set/1000))
	}
	say("up", t.UplinkMHz, -1) // what would have to be added, as on the dial
	say("down", t.DownlinkMHz, 1)
	return lines
}
