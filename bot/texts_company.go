package bot

import (
	"fmt"
	"strings"

	"skyslate/parse"
)

const (
	textOneGrid    = "One grid at a time, and a bird's name\nif only that one: /with KO24 AO-123"
	textWithUsage  = "With whom? Say their grid: /with KO24,\nand a bird's name if only that one:\n/with KO24 AO-123"
	textNoneWanted = "No grid is looked out for. Say which:\n/wanted KO24 JP71. Then reminders tell\nwhen a pass reaches them."
)

// windowsText lists common windows, as many as there is room for: when, and how
// high the bird stands at both ends in the middle of it.
func windowsText(grid parse.Grid, all []window, refused string) string {
	foot := strings.Split(refused, "\n")
	if refused == "" {
		foot = nil
	}
	if len(all) == 0 {
		none := wrap(fmt.Sprintf("No bird in common with %s in %d days.", grid, planDays), "")
		return strings.Join(append(none, foot...), "\n")
	}
	lines := wrap(fmt.Sprintf("Both you and %s see, UTC: height here/there in the middle", grid), "  ")
	room := max(textLines-len(lines)-len(foot), 1)
	if more := len(all) - room; more > 0 {
		room = max(room-1, 1)
		foot = append([]string{fmt.Sprintf("%d more in %d days: /with %s BIRD", len(all)-room, planDays, grid)}, foot...)
	}
	for _, w := range all[:min(len(all), room)] {
		lines = append(lines, clip(fmt.Sprintf("%6s %s–%s %s %s/%s", dayMonth(w.Start), shortClock(w.Start), shortClock(w.End),
			clip(w.bird, 11), degrees(w.AtMid.ElDeg), degrees(w.WithMid.ElDeg)), textColumns))
	}
	return strings.Join(append(lines, foot...), "\n")
}

func tooManyWantedText(n int) string {
	return strings.Join(wrap(fmt.Sprintf("%d grids are too many: %d at most.", n, mostLookedFor), ""), "\n")
}

// wantedText lists the passes that reach wanted grids, each with when, as many as
// there is room for.
func wantedText(wanted []parse.Grid, passes []passing) string {
	lines := wrap("Looked out for: "+gridList(wanted), "  ")
	head := len(lines)
	const foot = 2
	more := 0
	for _, p := range passes {
		found := reachedWords(p, wanted)
		if len(found) == 0 {
			continue
		}
		block := wrap(fmt.Sprintf("%s %s: %s", dayMonth(p.pass.AOS), passLabel(p.pass), strings.Join(found, ", ")), "  ")
		if more > 0 || len(lines)+len(block) > textLines-foot {
			more++
			continue
		}
		lines = append(lines, block...)
	}
	switch {
	case more > 0:
		lines = append(lines, "And "+countPasses(more)+" more")
	case len(lines) == head:
		lines = append(lines, wrap("None of your coming passes has them in view.", "")...)
	}
	return strings.Join(append(lines, "/wanted none forgets them"), "\n")
}

// reachedWords says which grids a pass has in view together with the operator,
// and when.
func reachedWords(p passing, grids []parse.Grid) []string {
	var words []string
	for _, g := range grids {
		if from, to, ok := p.reachedFor(g); ok {
			words = append(words, fmt.Sprintf("%s %s–%s", g, shortClock(from), shortClock(to)))
		}
	}
	return words
}

// wantedLines says in a reminder which wanted grids the pass reaches.
func wantedLines(p passing) []string {
	words := reachedWords(p, p.wanted)
	if len(words) == 0 {
		return nil
	}
	lines := wrap("Wanted: "+strings.Join(words, ", "), "  ")
	if len(lines) > 2 {
		lines = append(lines[:1], fmt.Sprintf("  and others, %d in all: /wanted", len(words)))
	}
	return lines
}
