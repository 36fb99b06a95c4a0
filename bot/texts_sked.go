package bot

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/parse"
	"skyslate/storage"
)

const (
	textSkedHow = `A sked: call, grid, then if you like a
day, time (UTC), bird, MHz and a note:
/sked di4zab jo43 10:47 145.93 card?
/sked 2z0vek jo22 tomorrow wicket
/sked alone lists them.`
	textSkedRange = `That day is over, or so far ahead that
no pass can be worked out yet.`
	textNoSkeds = "No sked is noted.\n" + textSkedHow
)

// skedLines tell of the skeds of a pass: the first in full, the others a line
// each, three at most. Few is the first alone, without what else was said.
func skedLines(p passing, few bool) []string {
	if few && len(p.pass.Skeds) > 0 {
		lines := narrowed(skedLine(p, p.pass.Skeds[0]))
		if more := len(p.pass.Skeds) - 1; more > 0 {
			lines = append(lines, fmt.Sprintf("and %d more: /sked", more))
		}
		return lines
	}
	var lines []string
	for i, s := range p.pass.Skeds {
		switch {
		case i == 0:
			lines = append(lines, skedInFull(p, s)...)
		case i < 3:
			lines = append(lines, narrowed(skedLine(p, s))...)
		case i == 3:
			lines = append(lines, fmt.Sprintf("and %d more: /sked", len(p.pass.Skeds)-3))
		}
	}
	return lines
}

// skedLine is a sked in a line, which may be too wide: who, where, and when both
// see the bird.
func skedLine(p passing, s storage.Sked) string {
	text := fmt.Sprintf("Sked %s %s", s.Call, s.Grid)
	if w, ok := p.windowWith(s.Grid); ok {
		return fmt.Sprintf("%s both %s–%s", text, shortClock(w.Start), shortClock(w.End))
	}
	return text + ": never both"
}

// skedInFull adds where to point, at the moment agreed or in the middle of the
// common window, and what else was said.
func skedInFull(p passing, s storage.Sked) []string {
	lines := narrowed(skedLine(p, s))
	at, when := s.At, "at"
	if w, ok := p.windowWith(s.Grid); ok && at.IsZero() {
		at, when = w.Start.Add(w.End.Sub(w.Start)/2), "mid"
	}
	if !at.IsZero() {
		look := p.look(at)
		line := fmt.Sprintf("  %s %s point %s %s", when, shortClock(at), strings.TrimSpace(heading(look.AzDeg)), degrees(look.ElDeg))
		if s.MHz > 0 {
			line += fmt.Sprintf(" on %s", trimMHz(s.MHz))
		}
		lines = append(lines, narrowed(line)...)
	}
	if s.Note != "" {
		lines = append(lines, clip("  "+s.Note, textColumns))
	}
	return lines
}

// skedOutcome says after the pass what became of a sked.
func skedOutcome(p passing, s storage.Sked, worked bool) []string {
	if worked {
		return []string{clip("Sked "+s.Call.String()+": worked", textColumns)}
	}
	lines := skedInFull(p, s)
	return append(lines[:min(len(lines), 2)], "  not logged")
}

func arrangedText(p passing, call parse.Callsign) string {
	i := slices.IndexFunc(p.pass.Skeds, func(s storage.Sked) bool { return s.Call == call })
	label := passLabel(p.pass)
	if s := p.pass.Skeds[i]; dayOf(s.Since, time.UTC) != dayOf(p.pass.AOS, time.UTC) {
		label = dayMonth(p.pass.AOS) + " " + label
	}
	lines := append([]string{"Noted and armed: " + label}, skedInFull(p, p.pass.Skeds[i])...)
	return strings.Join(lines, "\n")
}

func chanceLabel(c chance) string {
	return fmt.Sprintf("%s %s, %d min both", dayMonth(c.pass.AOS), passLabel(c.pass), int(c.window.End.Sub(c.window.Start).Minutes()))
}

func whichChanceText(w wish, n int) string {
	text := fmt.Sprintf("On which pass with %s in %s?", w.sked.Call, w.sked.Grid)
	if n > maxChoices {
		text += fmt.Sprintf(" The first %d of %d: a day, a time or a bird with it picks others.", maxChoices, n)
	}
	return strings.Join(wrap(text, ""), "\n")
}

func noChanceText(w wish) string {
	what := "the birds you follow"
	if w.bird != "" {
		what = w.bird
	}
	when, days := "", "In the next days"
	if !w.to.IsZero() {
		days = "On " + dayMonth(w.from.Add(day/2))
	}
	if w.clock.IsSet() {
		when = " at " + w.clock.String()
	}
	return strings.Join(wrap(fmt.Sprintf("%s no pass of %s%s reaches you and %s at once. /with %s shows what does.",
		days, what, when, w.sked.Grid, w.sked.Grid), ""), "\n")
}

func skedsText(told []passing) string {
	if len(told) == 0 {
		return textNoSkeds
	}
	var lines []string
	for _, p := range told {
		lines = append(lines, dayMonth(p.pass.AOS)+" "+passLabel(p.pass))
		for _, s := range p.pass.Skeds {
			lines = append(lines, narrowed("  "+skedLine(p, s))...)
		}
	}
	return strings.Join(lines, "\n")
}

func dropSkedLabel(pass storage.Pass, s storage.Sked) string {
	return "Drop " + s.Call.String() + " " + passLabel(pass)
}

func skedDroppedText(pass storage.Pass, call parse.Callsign) string {
	return strings.Join(wrap("No sked with "+call.String()+" on "+passLabel(pass)+" any more. The pass stays armed.", ""), "\n")
}

func skedLostText(pass storage.Pass, s storage.Sked) string {
	return strings.Join(wrap(fmt.Sprintf("Sked with %s: %s %s no longer takes place where you are. Arrange it anew: /sked",
		s.Call, dayMonth(pass.AOS), passLabel(pass)), ""), "\n")
}

// trimMHz writes a frequency as it was said.
func trimMHz(mhz float64) string { return strconv.FormatFloat(mhz, 'f', -1, 64) }
