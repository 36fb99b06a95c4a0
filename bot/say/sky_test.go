package say

import (
	"strings"
	"testing"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/say/saytest"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/predict/predicttest"
)

var (
	ownCall = parse.MustParseCallsign("OX9QZT")
	rasters = []float64{1, 2.5, 5, 6.25, 10, 12.5}
)

// testSky is birds with elements.
type testSky struct {
	birds []predict.Bird
	sets  []predict.Elements
}

func inventedSky(t testing.TB) testSky { return testSky{predicttest.Birds(), predicttest.Sets(t)} }

// agedSky has elements with an epoch so much earlier, as if the same orbits had
// been measured then.
func agedSky(t testing.TB, age time.Duration) testSky {
	s := inventedSky(t)
	for i := range s.sets {
		s.sets[i].Epoch = s.sets[i].Epoch.Add(-age)
	}
	return s
}

func (s testSky) bird(name string) Bird {
	var view Bird
	for _, b := range s.birds {
		if b.Name == name {
			view = Bird{Bird: b, Also: b.Aliases}
		}
	}
	for i, e := range s.sets {
		if e.Catalog == view.Catalog {
			view.Elements = &s.sets[i]
		}
	}
	return view
}

func (s testSky) list() []Bird {
	var all []Bird
	for _, b := range s.birds {
		all = append(all, s.bird(b.Name))
	}
	return all
}

// passesOf are all passes of a bird over a place in the two days of the
// reference predictions.
func passesOf(t testing.TB, s testSky, bird string, place Place) []Pass {
	t.Helper()
	b := s.bird(bird)
	from, to := utc("2026-09-01T00:00:00Z"), utc("2026-09-03T00:00:00Z")
	table, err := predict.NewEphemeris(*b.Elements, from, to)
	if err != nil {
		t.Fatal(err)
	}
	var all []Pass
	for _, p := range table.Passes(place.Site, from, to, 0) {
		if !p.AOS.IsZero() && !p.LOS.IsZero() { // without a beginning there is nothing to be reminded of
			p.Name = b.Name
			all = append(all, Pass{Pass: p, Bird: b.Bird, Table: table, Place: place, Radio: Radio{StepKHz: 5}})
		}
	}
	return all
}

func grids(text string) []parse.Grid {
	var all []parse.Grid
	for word := range strings.FieldsSeq(text) {
		all = append(all, parse.MustParseGrid(word))
	}
	return all
}

func placeAt(text string) Place {
	p := Place{Grids: grids(text)}
	p.Site = middle(p.Grids[0])
	return p
}

func utc(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return t.UTC()
}

// shown is a text with a sign before each line of a style.
var shown = strings.NewReplacer(layout.BoldLines("")[0], "* ", layout.TableRows("")[0], "| ").Replace

// checkFits fails if a text is wider or longer than a phone shows, or holds
// what no text should.
func checkFits(t *testing.T, text string, lines int) {
	t.Helper()
	all := strings.Split(text, "\n")
	if len(all) > lines {
		t.Errorf("%d lines, at most %d:\n%s", len(all), lines, text)
	}
	for _, line := range all {
		if is, most := saytest.WidthOf(line); is > most {
			t.Errorf("%d columns, at most %d: %q in\n%s", is, most, line, text)
		}
		if line := saytest.Unstyled(line); line == "" || strings.TrimRight(line, " ") != line {
			t.Errorf("a line that is empty or ends in a blank: %q in\n%s", line, text)
		}
	}
	for _, wrong := range []string{"NaN", "-0°", "-9223372036854775808", "00:00:00 UTC, 00:00:00 UTC", "%!"} {
		if strings.Contains(text, wrong) {
			t.Errorf("%q in\n%s", wrong, text)
		}
	}
}

func referenceGrids(t testing.TB) []string {
	t.Helper()
	var all []string
	for _, row := range predicttest.Rows(t, "sites.csv") {
		all = append(all, row["grid"])
	}
	return all
}
