package bot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/predict"
	"skyslate/storage"
)

// newsLine says below a contact what it brings, or how often the station was
// worked before.
func newsLine(c storage.Contact, n news) string {
	var ever, onBird []string
	add := func(everNew, birdNew bool, what string) {
		switch {
		case everNew:
			ever = append(ever, what)
		case birdNew:
			onBird = append(onBird, what)
		}
	}
	add(n.grid, n.gridOnBird, "grid")
	add(n.station, n.stationOnBird, "station")
	var parts []string
	if n.name != "" {
		parts = append(parts, noteText(n.name, 12))
	}
	if n.before > 0 {
		parts = append(parts, fmt.Sprintf("%d× before", n.before))
	}
	if len(ever) > 0 {
		parts = append(parts, "new "+strings.Join(ever, ", "))
	}
	switch {
	case len(onBird) == 0:
	case slices.Contains(onBird, "station"):
		parts = append(parts, "first on "+c.Bird.Name)
	default:
		parts = append(parts, "first grid on "+c.Bird.Name)
	}
	return clip("   "+strings.Join(parts, "; "), textColumns)
}

func newsTallyLines(grids, onBird []string, stations int) []string {
	const most = 5
	var lines []string
	if len(grids) > 0 {
		lines = append(lines, clip("New grids: "+some(grids, most), textColumns))
	}
	if len(onBird) > 0 {
		lines = append(lines, clip("First with the bird: "+some(onBird, 2), textColumns))
	}
	if stations > 0 {
		lines = append(lines, fmt.Sprintf("New stations: %d", stations))
	}
	return lines
}

// passCount is what a pass brought.
type passCount struct {
	name       string
	contacts   int
	farthestKm float64
}

// dayTold is what there is to tell of a day.
type dayTold struct {
	date     time.Time
	contacts []storage.Contact
	news     []string
	passes   []passCount
	place    storage.Place
}

// reachKm is how far the station was from where the contact was made, 0 where
// either is not known.
func reachKm(c storage.Contact) float64 {
	if len(c.Grids) == 0 || len(c.OwnGrids) == 0 {
		return 0
	}
	return predict.DistanceKm(siteOfGrid(c.OwnGrids[0]), siteOfGrid(c.Grids[0]))
}

func dayText(d dayTold) string {
	head := d.date.Format("2 Jan 2006") + ": " + count(len(d.contacts), "contact")
	if len(d.contacts) == 0 {
		return head
	}
	stations, grids := map[string]bool{}, map[string]bool{}
	var farthest storage.Contact
	var sum float64
	far := 0
	for _, c := range d.contacts {
		stations[c.Call.String()] = true
		for _, g := range c.Grids {
			grids[g.Square().String()] = true
		}
		if km := reachKm(c); km > 0 {
			sum += km
			far++
		}
		if farthest.ID == 0 || reachKm(c) > reachKm(farthest) {
			farthest = c
		}
	}
	lines := append([]string{head, fmt.Sprintf("Stations %d, grids %d", len(stations), len(grids))}, d.news...)
	if far > 0 {
		lines = append(lines, clip(fmt.Sprintf("Farthest %s, %.0f km", contactName(farthest), reachKm(farthest)), textColumns),
			fmt.Sprintf("On average %.0f km", sum/float64(far)))
	}
	for i, pass := range d.passes {
		if len(lines) == textLines-1 && len(d.passes) > i+1 {
			return strings.Join(append(lines, fmt.Sprintf("… and %d more passes", len(d.passes)-i)), "\n")
		}
		lines = append(lines, clip(fmt.Sprintf("%s: %d, up to %.0f km", pass.name, pass.contacts, pass.farthestKm), textColumns))
	}
	return strings.Join(lines, "\n")
}

func badDayText(word string) string {
	return strings.Join(wrap("“"+noteText(word, 20)+"” is no day. Say /day, or /day 2026-11-24.", ""), "\n")
}
