package say

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/along"
	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/parse"
	"skyslate/predict"
)

// Contacts that are arranged beforehand.

// What is shown or refused of a sked.
const (
	SkedHow = `A sked: call, grid, then if you like a
day, time (UTC, or 11:55 local), bird,
MHz and a note:
/sked di4zab jo43 10:47 145.93 card?
/sked 2z0vek jo22 tomorrow wicket
/sked alone lists them,
/sked di4zab off drops one.`
	SkedRange = `That day is over, or so far ahead that
no pass can be worked out yet.`
)

// skedLines tell of the skeds of a pass: the first in full, the others a line
// each, three at most; where there is room, all in full. A few are the first alone,
// without what else was said.
func skedLines(p Pass, t thrift) []string {
	told := min(len(p.Skeds), 3)
	switch {
	case t.whole:
		told = len(p.Skeds)
	case t.fewSkeds:
		told = min(told, 1)
	}
	var lines []string
	for i, s := range p.Skeds[:told] {
		if t.whole || i == 0 && !t.fewSkeds {
			lines = append(lines, skedInFull(p, s)...)
		} else {
			lines = append(lines, layout.Narrow(skedLine(p, s))...)
		}
	}
	return phrase.Footed(lines, phrase.Some(len(p.Skeds)-told, "and %d more: /sked"))
}

// skedLine is a sked in a line, which may be too wide.
func skedLine(p Pass, s Sked) string {
	text := fmt.Sprintf("Sked %s %s", s.Call, s.Grid)
	if w, ok := p.With(s.Grid); ok {
		return fmt.Sprintf("%s both %s", text, phrase.Span(w.Start, w.End))
	}
	return text + ": never both"
}

// skedInFull adds where to point and what else was said.
func skedInFull(p Pass, s Sked) []string {
	lines := layout.Narrow(skedLine(p, s))
	at, by := s.At, "at"
	if w, ok := p.With(s.Grid); ok && at.IsZero() {
		at, by = along.Halfway(w.Start, w.End), "mid"
	}
	if !at.IsZero() {
		look, when := p.Look(p.nearest(at)), phrase.ShortClock(at)
		if at.Before(p.AOS) { // of the minute in which it rises
			by, when = "rises", phrase.Clock(p.AOS)
		}
		line := fmt.Sprintf("  %s %s point %s %s", by, when, strings.TrimSpace(phrase.Heading(look.AzDeg)), phrase.Degrees(look.ElDeg))
		lines = append(lines, layout.Narrow(line+phrase.When(s.MHz > 0, " on "+phrase.TrimMHz(s.MHz)))...)
	}
	before := phrase.Led("  ", p.Past.of(s))
	if both := before + phrase.Led("; ", s.Note); before != "" && layout.Fits(both) {
		return append(lines, both)
	}
	return phrase.Footed(lines, before, layout.Line(phrase.Led("  ", s.Note)))
}

// nearest is the moment of a pass that is nearest to another: of a pass that has seconds a
// sked says minutes, and outside it nothing is above the horizon.
func (p Pass) nearest(at time.Time) time.Time {
	switch {
	case at.Before(p.AOS):
		return p.AOS
	case at.After(p.LOS):
		return p.LOS
	}
	return at
}

// of says whether the station of a sked, and its grid, were worked before.
func (p Past) of(s Sked) string {
	if p.Stations == nil {
		return ""
	}
	n := p.Stations[s.Call]
	return cmp.Or(phrase.Some(n, "worked %d×"), "new station") + phrase.When(!p.Squares[s.Grid.Square()], ", new grid")
}

// SkedOutcome says after the pass what became of a sked.
func SkedOutcome(p Pass, s Sked, worked bool) []string {
	if worked {
		return []string{layout.Line("Sked " + s.Call.String() + ": worked")}
	}
	lines := skedInFull(p, s)
	return append(lines[:min(len(lines), 2)], "  not logged")
}

// Arranged says that a sked with a station is noted.
func Arranged(p Pass, call parse.Callsign) string {
	s := p.Skeds[slices.IndexFunc(p.Skeds, func(s Sked) bool { return s.Call == call })]
	otherDay := !s.Since.Truncate(phrase.Day).Equal(p.AOS.Truncate(phrase.Day))
	head := "Noted and armed: " + phrase.When(otherDay, phrase.DayMonth(p.AOS)+" ") + PassName(p.Pass)
	return phrase.Lined([]string{head}, skedInFull(p, s))
}

// ChanceLabel is the button of a pass on which a sked can be kept, in a window.
func ChanceLabel(p predict.Pass, w predict.Window) string {
	return fmt.Sprintf("%s, %s both", DatedName(p), phrase.Minutes(w.End.Sub(w.Start)))
}

// WhichChance asks on which of n passes, of which so many are shown at most.
func WhichChance(s Sked, n, most int) string {
	text := fmt.Sprintf("On which pass with %s in %s%s?", s.Call, s.Grid, phrase.Led(", noted with it: ", s.Note))
	if n > most {
		text += fmt.Sprintf(" The first %d of %d: a day, a time or a bird with it picks others.", most, n)
	}
	return phrase.Paragraph(text)
}

// NoChance says that no pass serves: of a bird, if one is named, on the day around
// a noon, zero if none was said, at a time of day, if one was said.
func NoChance(grid parse.Grid, bird string, noon time.Time, clock string) string {
	days := cmp.Or(phrase.When(!noon.IsZero(), "On "+phrase.DayMonth(noon)), "In the next days")
	return phrase.Sentence("%s no pass of %s%s reaches you and %s at once. /with %s shows what does.",
		days, cmp.Or(bird, "the birds you follow"), phrase.Led(" at ", clock), grid, grid)
}

// UnclearZone refuses a time in a zone that could be several, or is not known.
var UnclearZone = phrase.InLines(phrase.Typed(16), "“%s”: I don't know which zone that is. Say it in UTC, as 10:47 local, or as 10:47 UTC+2.")

// SkedDropped says that a sked is off its pass.
func SkedDropped(p predict.Pass, call parse.Callsign, armed bool) string {
	return phrase.Sentence("No sked with %s on %s any more.%s", call, PassName(p), phrase.When(armed, " The pass stays armed."))
}

// Skeds lists what is arranged, by pass, and which of them was skipped.
func Skeds(passes []Pass) string {
	if len(passes) == 0 {
		return "No sked is noted.\n" + SkedHow
	}
	var lines []string
	for _, p := range passes {
		lines = append(lines, DatedName(p.Pass)+phrase.When(p.Skipped, ", skipped"))
		for _, s := range p.Skeds {
			lines = append(lines, layout.Narrow("  "+skedLine(p, s))...)
			at, on := phrase.When(!s.At.IsZero(), "at "+phrase.ShortClock(s.At)+" "), phrase.When(s.MHz > 0, "on "+phrase.TrimMHz(s.MHz)+" ")
			more := strings.TrimSpace(at + on + layout.Short(s.Note, layout.Columns)) // the reminder has all of it
			lines = append(lines, layout.Narrow(phrase.Footed(nil, phrase.Led("    ", more))...)...)
		}
	}
	return strings.Join(lines, "\n")
}

// The button that takes a sked off its pass, what is said then, and where the pass
// itself is off.
var (
	skedGridless  = phrase.InLines2(phrase.Whole, phrase.Typed(40), "Which grid will %[1]s be in? Your log has none of it. Send /sked %[1]s, the grid, then %[2]s.")
	NoSkedWith    = phrase.InLines(phrase.Whole, "No sked with %s is noted. /sked lists those that are.")
	DropSkedLabel = phrase.InLine2(PassName, parse.Callsign.String, "Drop %[2]s %[1]s")
	SkedsSkipped  = phrase.InLines(phrase.Listed, "Your sked with %s is on it.")
	SkedLost      = phrase.InLines2(DatedName, parse.Callsign.String,
		"Sked with %[2]s: %[1]s no longer takes place where you are. Arrange it anew: /sked")
)

// SkedGridless asks for the grid, with the words that stood behind the call.
func SkedGridless(call, words string) string {
	return skedGridless(call, cmp.Or(words, "day, time and bird as you like"))
}
