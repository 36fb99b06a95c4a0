package say

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/lists"
	"skyslate/bot/phrase"
	"skyslate/parse"
	"skyslate/predict"
)

// Lists of passes, and of when both ends see a bird.

// ListedPasses is how many passes a list shows.
const ListedPasses = 10

// listFoot explains the signs before a pass.
const listFoot = "+ you are reminded, x skipped by you"

// Passes lists the next passes, and what was refused, as many as there is room for; of a
// day, so many lower ones are left out.
func Passes(next []Pass, place Place, refused string, lower int) string {
	if len(next) == 0 {
		none := "No pass ahead at " + place.name() + ". Look at /birds: do your birds have elements?"
		return phrase.Lined(phrase.Footed(layout.Wrap(none), refused))
	}
	head := layout.Hang("Next at " + place.name() + ": AOS UTC, peak, from–to")
	for n := min(len(next), ListedPasses); ; n-- {
		rows := next[:n]
		hidden := slices.ContainsFunc(rows, func(p Pass) bool { return signOf(p) == "-" })
		foot := layout.Hang(listFoot, phrase.When(hidden, "- never above your trees and hills"),
			phrase.When(refused == "", phrase.Some(lower, "%d lower ones are left out")))
		lines := phrase.Footed(slices.Concat(head, passRows(rows), otherPlaceLines(rows, place), foot), refused)
		if len(lines) <= layout.Lines || n == 1 {
			return phrase.Lined(lines)
		}
	}
}

// Evening tells of the best passes of a day in their order, and how many more are armed.
func Evening(date time.Time, rows []Pass, place Place, loc *time.Location, more int) string {
	places := slices.Compact(slices.Sorted(slices.Values(phrase.Each(rows, func(p Pass) string { return p.Place.name() }))))
	head := layout.Hang(fmt.Sprintf("%s, the best at %s: AOS UTC, peak, from–to", date.In(loc).Format("Monday"), phrase.FirstN(places, 3)))
	return phrase.Lined(head, passRows(rows), otherPlaceLines(rows, place),
		phrase.Footed(nil, phrase.Some(more, "%d more armed: /passes tomorrow"), listFoot))
}

// Stale lists passes from elements past their time; age and drift are the worst.
func Stale(rows []Pass, age, drift time.Duration) string {
	if len(rows) == 0 {
		return "No followed bird has elements past\ntheir time, or none of them rises in\na day: see /passes."
	}
	head := layout.Wrap(fmt.Sprintf("Elements up to %d days old: AOS ±%s and more. No reminders.",
		phrase.WholeDays(age), phrase.Seconds(drift)))
	return phrase.Lined(head, layout.Hang("AOS UTC, peak, from–to:"), passRows(rows[:min(len(rows), ListedPasses)]))
}

// otherPlaceLines says which passes of a list are those of an outing, at another place.
func otherPlaceLines(rows []Pass, place Place) []string {
	var lines []string
	for i := 0; i < len(rows); i++ {
		first, from := rows[i], i
		if first.Place.same(place) {
			continue
		}
		for i+1 < len(rows) && rows[i+1].Place.same(first.Place) {
			i++
		}
		until := phrase.When(i > from, " to "+phrase.ShortClock(rows[i].AOS))
		span := phrase.DayMonth(first.AOS) + " " + phrase.ShortClock(first.AOS) + until
		lines = append(lines, layout.Hang(span+": at "+first.Place.name())...)
	}
	return lines
}

// passRows are passes, a line each: the sign of its arming first.
func passRows(ps []Pass) []string {
	bird := layout.Column(ps, layout.TableColumns-len("+ 17:42  65o WSW-ENE "), Pass.birdName)
	return layout.ByDay(ps, func(p Pass) time.Time { return p.AOS }, func(p Pass) string {
		return fmt.Sprintf("%s %s %s %3s %s", signOf(p), phrase.ShortClock(p.AOS), bird(p), peak(p.Pass), p.way("–"))
	})
}

// signOf is "-" for a pass that never clears the own horizon.
func signOf(p Pass) string {
	switch {
	case p.Followed:
		return "+"
	case p.Skipped:
		return "x"
	case p.Hidden():
		return "-"
	}
	return " "
}

// What is said where grids are looked out for.
const (
	OneGrid    = "One grid at a time, and a bird's name\nif only that one: /with KO24 AO-123"
	WithHow    = "With whom? Say their grid: /with KO24,\nand a bird's name if only that one:\n/with KO24 AO-123"
	NoneWanted = "No grid is looked out for. Say which:\n/wanted KO24 JP71. Then reminders tell\nwhen a pass reaches them."
)

// Window is when both ends see a bird at once.
type Window struct {
	Bird string
	predict.Window
}

// WindowSpan names the day around a noon or, of a zero one, so many days.
func WindowSpan(noon time.Time, days int) string {
	if noon.IsZero() {
		return "in " + phrase.Count(days, "day")
	}
	return "on " + phrase.DayMonth(noon)
}

// Windows lists the common windows within a span, as many as there is room for: when,
// and how high the bird stands at both ends in the middle of it.
func Windows(grid parse.Grid, all []Window, refused, within string) string {
	if len(all) == 0 {
		return phrase.Lined(phrase.Footed(layout.Wrap(fmt.Sprintf("No bird in common with %s %s.", grid, within)), refused))
	}
	head := layout.Hang(fmt.Sprintf("Both you and %s see, UTC: height here/there in the middle", grid))
	const room = layout.TableColumns - len("17:42-17:53  12o/65o")
	bird := layout.Column(all, room, func(w Window) string { return w.Bird })
	row := func(w Window) string {
		return fmt.Sprintf("%s %s %3s/%s", phrase.Span(w.Start, w.End), bird(w), phrase.Degrees(w.AtMid.ElDeg), phrase.Degrees(w.WithMid.ElDeg))
	}
	for n := len(all); ; n-- {
		lines := slices.Concat(head, layout.ByDay(all[:n], func(w Window) time.Time { return w.Start }, row))
		foot := phrase.Footed(nil, phrase.When(n < len(all), fmt.Sprintf("%d more %s: /with %s BIRD", len(all)-n, within, grid)), refused)
		if len(lines)+len(foot) <= layout.Lines || n == 1 {
			return phrase.Lined(lines, foot)
		}
	}
}

// TooManyWanted refuses more grids than are looked out for.
var TooManyWanted = phrase.InLines2(strconv.Itoa, strconv.Itoa, "%s grids are too many: %s at most.")

// Wanted lists the passes that reach wanted grids, as many as there is room for.
func Wanted(wanted []parse.Grid, passes []Pass) string {
	const foot = 2
	head := layout.Hang("Looked out for: " + phrase.Grids(wanted))
	var blocks [][]string
	for _, p := range passes {
		if found, _ := reached(p, wanted); len(found) > 0 {
			blocks = append(blocks, layout.Enumerate(DatedName(p.Pass)+":", found))
		}
	}
	rows, more := layout.Wrap("None of your coming passes has them in view."), 0
	if len(blocks) > 0 {
		first := layout.Group(blocks, layout.Lines-len(head)-foot)[0]
		rows, more = slices.Concat(first...), len(blocks)-len(first)
	}
	return phrase.Lined(head, rows, phrase.Footed(nil, phrase.When(more > 0, "And "+phrase.NPasses(more)+" more"), "/wanted none forgets them"))
}

// reached are the grids of some that a pass has in view together with the operator,
// those not worked yet first: when, and their names alone.
func reached(p Pass, grids []parse.Grid) (words, names []string) {
	worked := func(g parse.Grid) bool { return p.Past.Squares[g.Square()] }
	for _, g := range slices.Concat(lists.Filter(grids, func(g parse.Grid) bool { return !worked(g) }), lists.Filter(grids, worked)) {
		if w, ok := p.With(g); ok {
			name := g.String() + phrase.When(worked(g), " (worked)")
			words, names = append(words, name+" "+phrase.Span(w.Start, w.End)), append(names, name)
		}
	}
	return words, names
}

// wantedLines says which wanted grids the pass reaches: where there is no room for all
// of them the first with its time, and of the others as many names as a line holds.
func wantedLines(p Pass, t thrift) []string {
	words, names := reached(p, p.Wanted)
	lines := layout.Enumerate("Wanted:", words)
	switch {
	case len(words) == 0:
		return nil
	case len(lines) <= 2 || t.whole:
		return lines
	}
	return []string{lines[0], phrase.Fitting("  and ", names[1:], ": /wanted")}
}
