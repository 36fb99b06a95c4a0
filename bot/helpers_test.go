package bot

import (
	"testing"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/sky"
	"skyslate/parse"
	"skyslate/predict/predicttest"
	"skyslate/storage"
)

// checkFits fails if a text is wider or longer than a phone shows.
func checkFits(t *testing.T, text string) {
	t.Helper()
	if layout.Fit(text) != text {
		t.Errorf("too wide or too long:\n%s", text)
	}
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
