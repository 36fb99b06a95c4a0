package dial

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"skyslate/predict"
	"skyslate/predict/predicttest"
)

// Dials are multiples of the raster, in every form.
func TestDialsAreOfTheRaster(t *testing.T) {
	from := time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC)
	to := from.Add(24 * time.Hour)
	here := predict.Site{LatDeg: 52.52, LonDeg: 13.375} // JO62qm
	sets, told := predicttest.Sets(t), 0
	for _, b := range predicttest.Birds() {
		i := slices.IndexFunc(sets, func(e predict.Elements) bool { return e.Catalog == b.Catalog })
		if i < 0 {
			continue
		}
		table, err := predict.NewEphemeris(sets[i], from, to)
		if err != nil {
			t.Fatal(err)
		}
		passes := slices.DeleteFunc(table.Passes(here, from, to, 0), func(p predict.Pass) bool { return p.AOS.IsZero() || p.LOS.IsZero() })
		if len(passes) == 0 {
			continue
		}
		for _, step := range []float64{1, 2.5, 5, 6.25, 10, 12.5} {
			for _, d := range Along(table, here, passes[0], b.Main(), step) {
				for _, s := range d.Steps {
					for _, text := range []string{Written(s.DialMHz, step), d.At(s.At)} {
						mhz, err := strconv.ParseFloat(text, 64)
						if n := mhz * 1000 / step; err != nil || math.Abs(n-math.Round(n)) > 1e-6 {
							t.Fatalf("%s at %g kHz: %s is no multiple", b.Name, step, text)
						}
						told++
					}
				}
				turns := d.Turns(passes[0])
				if len(turns) == 0 || len(d.Steps) > 0 && len(turns) != len(d.Steps) {
					t.Errorf("%s at %g kHz: %d turns, %d steps", b.Name, step, len(turns), len(d.Steps))
				}
			}
		}
	}
	if told == 0 {
		t.Error("no dial is stepped")
	}
}

func TestSmallNumbers(t *testing.T) {
	for _, tt := range []struct{ what, got, want string }{
		{"a dial between channels", Nearest(145.8666, 5), "145.865"},
		{"a dial at half a channel goes up", Nearest(436.6625, 5), "436.665"},
		{"a dial on a channel", Nearest(436.795, 5), "436.795"},
		{"three decimals at least", Nearest(436.7, 6.25), "436.700"},
		{"a fine raster", Written(436.79375, 6.25), "436.79375"},
		{"the same above a GHz", Written(1267.35625, 6.25), "1267.3563"},
		{"no frequency", strings.TrimSpace(Fine(0)), Written(0, 5)},
		{"SSB", Fine(435.61234), "435.6123"},
		{"SSB above a GHz", Fine(1267.35625), "1267.356"},
	} {
		if tt.got != tt.want {
			t.Errorf("%s: %q, want %q", tt.what, tt.got, tt.want)
		}
	}
}
