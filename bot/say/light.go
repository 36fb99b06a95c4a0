package say

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/predict"
)

// Light, sun and horizon of a pass.

// sunNearDeg is how near to the antenna's track the sun is worth a caution: who
// holds a hand-held antenna looks along it. Common practice, no source.
const sunNearDeg = 15

// clearLines says when the bird clears the operator's own horizon.
func clearLines(p Pass) []string {
	if len(p.Place.Horizon) == 0 {
		return nil
	}
	windows := p.Clear()
	if len(windows) == 0 {
		return []string{"Never above your trees and hills!"}
	}
	spans := each(windows, func(w predict.Window) string { return Clock(w.Start) + "–" + Clock(w.End) })
	return hung("Clear of trees " + strings.Join(spans, ", "))
}

// sunLine is a caution, empty where none is due.
func sunLine(p Pass) string {
	at, apart, up := p.Table.NearestSun(p.Place.Site, p.Pass)
	if !up || apart > sunNearDeg {
		return ""
	}
	return fmt.Sprintf("Sun %s off your track at %s!", degrees(apart), Clock(at))
}

// needsSun reports whether the list says that the bird works in sunlight only.
func needsSun(b predict.Bird) bool {
	return strings.Contains(strings.ToLower(b.Notes+" "+b.Status.Text), "sunlight")
}

// sunlight says whether the bird is sunlit along a pass.
func sunlight(p Pass) string {
	word := map[bool]string{true: "sunlit", false: "in shadow"}
	lights := p.Table.Sunlit(p.AOS, p.LOS)
	if len(lights) == 0 {
		return ""
	}
	var text strings.Builder
	text.WriteString("Bird " + word[lights[0].Lit] + when(len(lights) == 1, " all along"))
	for _, l := range lights[1:] {
		text.WriteString(", " + word[l.Lit] + " from " + Clock(l.At))
	}
	return text.String()
}

// sunsetDeg is the sun's elevation at which its upper limb is on the horizon, as
// almanacs define rise and set; twilightDeg the end of civil twilight.
const (
	sunsetDeg   = -0.833
	twilightDeg = -6
)

// daylight says how light it is where the operator stands.
func daylight(p Place, at time.Time) string {
	switch _, el := p.Site.Sun(at); {
	case el >= sunsetDeg:
		return "Daylight where you are"
	case el >= twilightDeg:
		return "Twilight where you are"
	}
	return "Dark where you are: bring a lamp"
}

// Light tells of a pass what its reminder has no room for.
func Light(p Pass) string {
	var sun []string
	if at, apart, up := p.Table.NearestSun(p.Place.Site, p.Pass); up {
		sun = hung(fmt.Sprintf("Sun %s off your track at %s", degrees(apart), Clock(at)),
			when(apart <= sunNearDeg, "Don't look along the antenna then."))
	}
	e := p.Table.Elements()
	return strings.Join(slices.Concat(
		hung(fmt.Sprintf("%s on %s, %s UTC, peak %s", p.Bird.Name, dayMonth(p.AOS), span(p.AOS, p.LOS), peak(p.Pass))),
		clearLines(p),
		wrap(sunlight(p), "  "),
		hung("(umbra of a round Earth, give or take 12 s)", daylight(p.Place, p.TCA)),
		sun,
		wantedLines(p),
		restingLines(p),
		hung(fmt.Sprintf("Elements %s old: times good to %s", count(wholeDays(e.Age(p.TCA)), "day"), seconds(e.Drift(p.TCA)))),
	), "\n")
}

// extraLines are what a reminder says beside the common: only what matters on
// this pass. Bare are those that can't be missed, a line each.
func extraLines(p Pass, bare bool) []string {
	lines := clearLines(p)
	if bare && len(lines) > 1 {
		lines = lines[:1]
	}
	lines = footed(lines, sunLine(p))
	if bare {
		return lines
	}
	if text := sunlight(p); needsSun(p.Bird) && !strings.HasSuffix(text, "sunlit all along") {
		lines = append(lines, wrap(text, "  ")...)
	}
	return slices.Concat(lines, wantedLines(p), restingLines(p))
}
