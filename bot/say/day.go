package say

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/phrase"
)

// PassCount is what a pass brought.
type PassCount struct {
	Pass       string // its name
	Contacts   int
	FarthestKm float64
}

// Day is what there is to tell of a day, or without a date of all: a date in its zone, the contacts that
// count, lines about what was new, and the passes in order.
type Day struct {
	Date     time.Time
	Span     string // in place of a date: what else it is
	Contacts []Contact
	News     []string
	Passes   []PassCount
}

// DayInAll sums a day up.
func DayInAll(d Day) string {
	head := cmp.Or(phrase.When(!d.Date.IsZero(), d.Date.Format("2 Jan 2006")), d.Span, "In all") + ": " + phrase.NContacts(len(d.Contacts))
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
		lines = append(lines, layout.Line(fmt.Sprintf("Farthest %s, %.0f km", farthest.name(), farthest.ReachKm())),
			fmt.Sprintf("On average %.0f km", sum/far))
	}
	for i, p := range d.Passes {
		if len(lines) == layout.Lines-1 && len(d.Passes) > i+1 {
			return strings.Join(append(lines, fmt.Sprintf("… and %d more passes", len(d.Passes)-i)), "\n")
		}
		lines = append(lines, layout.Line(fmt.Sprintf("%s: %d, up to %.0f km", p.Pass, p.Contacts, p.FarthestKm)))
	}
	return strings.Join(lines, "\n")
}

// BadDay refuses a day.
var BadDay = phrase.InLines(phrase.Typed(20), "“%s” is no day. Say /day, /day 2026-11-24 or /day all.")
