package exchange

import (
	"testing"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/parse"
	"skyslate/predict/predicttest"
	"skyslate/storage"
)

// viewsOf are all passes of a bird over a place in the two days of the reference
// predictions, as they are shown.
func viewsOf(t testing.TB, s *sky.Sky, bird string, place storage.Place) []say.Pass {
	t.Helper()
	b, _ := s.Bird(bird)
	found, err := s.Passes(place, b.Catalog, utc("2026-09-01T00:00:00Z"), utc("2026-09-03T00:00:00Z"))
	if err != nil {
		t.Fatal(err)
	}
	var all []say.Pass
	for _, f := range found {
		if f.AOS.IsZero() || f.LOS.IsZero() {
			continue
		}
		pass := storage.Pass{Bird: sky.Ref(b), AOS: f.AOS, TCA: f.TCA, LOS: f.LOS, PeakElDeg: f.AtTCA.ElDeg, Place: place}
		if view, ok := shown.Pass(s, pass, storage.Operator{}); ok {
			all = append(all, view)
		}
	}
	return all
}

func inventedSky(t testing.TB) *sky.Sky { return sky.New(predicttest.Birds(), predicttest.Sets(t)) }

func placeAt(grids ...string) storage.Place {
	var p storage.Place
	for _, g := range grids {
		p.Grids = append(p.Grids, parse.MustParseGrid(g))
	}
	p.LatDeg, p.LonDeg = p.Grids[0].Center()
	return p
}

func utc(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return t.UTC()
}
