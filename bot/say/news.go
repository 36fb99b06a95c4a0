package say

import (
	"fmt"
	"strings"
	"time"
)

// News is what a contact brings that nothing earlier did, ever or with its bird.
type News struct {
	Station, Grid             bool
	StationOnBird, GridOnBird bool
	Before                    int    // contacts with the station, earlier passes
	Name                      string // that the station gave last, where this contact has none
}

// NewsLine says below a contact what it brings, or how often the station was worked before.
func NewsLine(bird string, n News) string {
	ever := when(n.Grid, ", grid") + when(n.Station, ", station")
	onBird := ""
	switch {
	case n.StationOnBird && !n.Station:
		onBird = "; first on " + bird
	case n.GridOnBird && !n.Grid:
		onBird = "; first grid on " + bird
	}
	news := led("; ", Short(n.Name, 12)) + some(n.Before, "; %d× before") + led("; new ", strings.TrimPrefix(ever, ", ")) + onBird
	return led("   ", clip(strings.TrimPrefix(news, "; "), Columns-3))
}

// NewsTally says in a few lines what contacts bring together.
func NewsTally(grids, onBird []string, stations int) []string {
	lines := footed(nil, clip(led("New grids: ", firstN(grids, 5)), Columns))
	lines = footed(lines, clip(led("First with the bird: ", firstN(onBird, 2)), Columns))
	return footed(lines, some(stations, "New stations: %d"))
}

// PassCount is what a pass brought.
type PassCount struct {
	Pass       string // its name
	Contacts   int
	FarthestKm float64
}

// Day is what there is to tell of a day: a date in its zone, the contacts that
// count, lines about what was new, and the passes in order.
type Day struct {
	Date     time.Time
	Contacts []Contact
	News     []string
	Passes   []PassCount
}

// DayInAll sums a day up.
func DayInAll(d Day) string {
	head := d.Date.Format("2 Jan 2006") + ": " + count(len(d.Contacts), "contact")
	if len(d.Contacts) == 0 {
		return head
	}
	stations, grids := map[string]bool{}, map[string]bool{}
	farthest := d.Contacts[0]
	var sum, far float64
	for _, c := range d.Contacts {
		stations[c.Call.String()] = true
		for _, g := range c.Grids {
			grids[g.Square().String()] = true
		}
		km := c.ReachKm()
		if sum += km; km > 0 {
			far++
		}
		if km > farthest.ReachKm() {
			farthest = c
		}
	}
	lines := append([]string{head, fmt.Sprintf("Stations %d, grids %d", len(stations), len(grids))}, d.News...)
	if far > 0 {
		lines = append(lines, clip(fmt.Sprintf("Farthest %s, %.0f km", farthest.name(), farthest.ReachKm()), Columns),
			fmt.Sprintf("On average %.0f km", sum/far))
	}
	for i, p := range d.Passes {
		if len(lines) == Lines-1 && len(d.Passes) > i+1 {
			return strings.Join(append(lines, fmt.Sprintf("… and %d more passes", len(d.Passes)-i)), "\n")
		}
		lines = append(lines, clip(fmt.Sprintf("%s: %d, up to %.0f km", p.Pass, p.Contacts, p.FarthestKm), Columns))
	}
	return strings.Join(lines, "\n")
}

// BadDay refuses a day.
func BadDay(word string) string {
	return sentence("“%s” is no day. Say /day, or /day 2026-11-24.", Short(word, 20))
}
