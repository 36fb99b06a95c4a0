package bot

import (
	"fmt"
	"strings"
	"time"

	"skyslate/predict"
	"skyslate/storage"
)

const textLevelAgain = "Your horizon is level again: /horizon"

func horizonText(p storage.Place) string {
	if len(p.Horizon) == 0 {
		return `Your horizon is level. Trees or hills?
/horizon 10 (all round, degrees)
/horizon 270-330 25, 20-60 15
(from azimuth to azimuth, clockwise,
so many degrees high)`
	}
	lines := wrap("At "+gridList(p.Grids)+" nothing is seen below", "")
	for _, h := range p.Horizon {
		if h.ToDeg-h.FromDeg >= 360 {
			lines = append(lines, degrees(h.ElDeg)+" all round")
			continue
		}
		lines = append(lines, fmt.Sprintf("%s from %03.0f to %03.0f (%s to %s)", degrees(h.ElDeg), h.FromDeg, h.ToDeg,
			predict.CompassPoint(h.FromDeg), predict.CompassPoint(h.ToDeg)))
	}
	return strings.Join(append(lines, "until you move. /horizon level"), "\n")
}

func badHorizon(text string) error {
	return sayable(strings.Join(wrap(fmt.Sprintf("“%s”: I expected degrees from 0 to 89, alone (/horizon 10) or behind two azimuths (/horizon 270-330 25), at most %d of them.",
		noteText(text, 20), mostHidden), ""), "\n"))
}

// ageLines says what the elements' age means for AOS, where it means something,
// and warns of old ones.
func ageLines(e predict.Elements, at time.Time) []string {
	age, drift := e.Age(at), e.Drift(at)
	switch {
	case age > predict.WarnAge:
		return []string{fmt.Sprintf("Old elements (%d days): AOS ±%s", wholeDays(age), seconds(drift))}
	case drift >= driftFrom:
		return []string{fmt.Sprintf("Elements %s old: AOS ±%s", count(wholeDays(age), "day"), seconds(drift))}
	}
	return nil
}

// warningText tells in a list of passes of elements that are getting old.
func warningText(names []string, age, drift time.Duration) string {
	return strings.Join(wrap(fmt.Sprintf("Old elements (%d days, AOS ±%s): %s", wholeDays(age), seconds(drift), someNames(names)), "  "), "\n")
}

// staleText lists passes from elements past their time.
func staleText(rows []passing, age, drift time.Duration) string {
	if len(rows) == 0 {
		return "No followed bird has elements past\ntheir time, or none of them rises in\na day: see /passes."
	}
	lines := wrap(fmt.Sprintf("Elements up to %d days old: AOS ±%s and more. No reminders.", wholeDays(age), seconds(drift)), "")
	lines = append(lines, wrap("AOS UTC, peak, from–to:", "  ")...)
	rows = rows[:min(len(rows), listedPasses)]
	width := nameWidth(rows)
	for _, p := range rows {
		lines = append(lines, passRow(p, width))
	}
	return strings.Join(lines, "\n")
}

// clearLines says when the bird clears the operator's own horizon.
func clearLines(p passing) []string {
	if len(p.pass.Place.Horizon) == 0 {
		return nil
	}
	windows := p.clearOf()
	if len(windows) == 0 {
		return []string{"Never above your trees and hills!"}
	}
	var spans []string
	for _, w := range windows {
		spans = append(spans, clock(w.Start)+"–"+clock(w.End))
	}
	return wrap("Clear of trees "+strings.Join(spans, ", "), "  ")
}

// sunLine is a caution, empty where none is due.
func sunLine(p passing) string {
	at, apart, up := p.table.NearestSun(siteOf(p.pass.Place), p.predicted())
	if !up || apart > sunNearDeg {
		return ""
	}
	return fmt.Sprintf("Sun %s off your track at %s!", degrees(apart), clock(at))
}

// lightText says whether the bird is sunlit along a pass.
func lightText(p passing) string {
	word := func(lit bool) string {
		if lit {
			return "sunlit"
		}
		return "in shadow"
	}
	lights := p.lights()
	if len(lights) == 0 {
		return ""
	}
	text := "Bird " + word(lights[0].Lit)
	if len(lights) == 1 {
		return text + " all along"
	}
	for _, l := range lights[1:] {
		text += ", " + word(l.Lit) + " from " + clock(l.At)
	}
	return text
}

// sunsetDeg is the sun's elevation at which its upper limb is on the horizon, as
// almanacs define rise and set; twilightDeg the end of civil twilight.
const (
	sunsetDeg   = -0.833
	twilightDeg = -6
)

// daylight says how light it is where the operator stands.
func daylight(p storage.Place, at time.Time) string {
	switch _, el := siteOf(p).Sun(at); {
	case el >= sunsetDeg:
		return "Daylight where you are"
	case el >= twilightDeg:
		return "Twilight where you are"
	}
	return "Dark where you are: bring a lamp"
}

// lightsText tells of a pass what its reminder has no room for.
func lightsText(p passing) string {
	lines := wrap(fmt.Sprintf("%s on %s, %s–%s UTC, peak %s", p.bird.Name, dayMonth(p.pass.AOS),
		shortClock(p.pass.AOS), shortClock(p.pass.LOS), degrees(p.pass.PeakElDeg)), "  ")
	lines = append(lines, clearLines(p)...)
	lines = append(lines, wrap(lightText(p), "  ")...)
	lines = append(lines, "(umbra of a round Earth, give or take", "  12 s)", daylight(p.pass.Place, p.pass.TCA))
	site := siteOf(p.pass.Place)
	if at, apart, up := p.table.NearestSun(site, p.predicted()); up {
		lines = append(lines, fmt.Sprintf("Sun %s off your track at %s", degrees(apart), clock(at)))
		if apart <= sunNearDeg {
			lines = append(lines, "Don't look along the antenna then.")
		}
	}
	lines = append(lines, wantedLines(p)...)
	lines = append(lines, restingLines(p)...)
	e := p.table.Elements()
	lines = append(lines, wrap(fmt.Sprintf("Elements %s old: times good to %s", count(wholeDays(e.Age(p.pass.TCA)), "day"), seconds(e.Drift(p.pass.TCA))), "  ")...)
	return strings.Join(lines, "\n")
}

// extraLines are what a reminder says beside the common: only what matters on
// this pass. Bare are those that can't be missed, a line each.
func extraLines(p passing, bare bool) []string {
	lines := clearLines(p)
	if bare && len(lines) > 1 {
		lines = lines[:1]
	}
	if sun := sunLine(p); sun != "" {
		lines = append(lines, sun)
	}
	if bare {
		return lines
	}
	if text := lightText(p); needsSun(p.bird) && !strings.HasSuffix(text, "sunlit all along") {
		lines = append(lines, wrap(text, "  ")...)
	}
	lines = append(lines, wantedLines(p)...)
	return append(lines, restingLines(p)...)
}
