package bot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/draw"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// The words around pictures and calendar files.

const (
	textNoPassAhead     = "No pass ahead to draw. /passes says\nwhat comes."
	textNothingFollowed = "No pass ahead that you are reminded\nof. Arm some in /passes first."
	textEver            = "ever"

	labelSky   = "Picture of the sky"
	labelReach = "Who is in reach"
)

// shortName leaves room in a line for what follows a bird's name.
func shortName(p storage.Pass) string { return clip(p.Bird.Name, 12) }

func skyCaption(p storage.Pass) string {
	return fmt.Sprintf("%s %s–%s UTC, peak %s", shortName(p), shortClock(p.AOS), shortClock(p.LOS), degrees(p.PeakElDeg))
}

// reachCaption says when the grids wanted can be worked, a line each.
func reachCaption(p storage.Pass, wanted []draw.Window) string {
	lines := []string{fmt.Sprintf("%s %s–%s UTC reaches", shortName(p), shortClock(p.AOS), shortClock(p.LOS))}
	for _, w := range wanted {
		if w.To.IsZero() {
			lines = append(lines, w.Grid.String()+" never on this pass")
			continue
		}
		lines = append(lines, fmt.Sprintf("%s %s–%s", w.Grid, clock(w.From), clock(w.To)))
	}
	return strings.Join(lines, "\n")
}

func workedCaption(span string, newest []parse.Grid) string {
	return strings.Join(wrap(fmt.Sprintf("Grids worked, %s. Newest: %s.", span, gridList(newest)), ""), "\n")
}

func nothingWorkedText(span string) string {
	return strings.Join(wrap("No grid worked, "+span+": there is nothing to draw yet.", ""), "\n")
}

func unknownSpanText(word string, s *Sky) string {
	return strings.Join(wrap(fmt.Sprintf("“%s”: I can draw /worked all, /worked year, /worked today or one bird: %s.",
		noteText(word, 20), someNames(s.names())), ""), "\n")
}

func calendarCaption(passes []storage.Pass) string {
	return strings.Join(wrap(fmt.Sprintf("%s for your calendar, first %s on %s UTC. Open it on the phone: it rings by itself.",
		countPasses(len(passes)), passLabel(passes[0]), dayMonth(passes[0].AOS)), ""), "\n")
}

func countPasses(n int) string {
	if n == 1 {
		return "1 pass"
	}
	return fmt.Sprintf("%d passes", n)
}

// calendarSummary is what a calendar shows of a pass at a glance.
func calendarSummary(p passing) string {
	return fmt.Sprintf("%s, peak %s, %s to %s", p.bird.Name, degrees(p.pass.PeakElDeg),
		predict.CompassPoint(p.look(p.pass.AOS).AzDeg), predict.CompassPoint(p.look(p.pass.LOS).AzDeg))
}

// calendarText tells of a pass so that nothing else is needed to work it.
func calendarText(p passing, call parse.Callsign, loc *time.Location) string {
	return strings.Join(slices.Concat(
		ageLines(p.table.Elements(), p.pass.TCA),
		momentLines(p.pass, loc),
		tuningLines(p.radio(), rasterOf(p.rig)),
		timetable(p, p.pass.AOS.Add(-time.Hour), thrift{}),
		wrap(slate(p.pass, call), ""),
	), "\n")
}
