package parse

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"
)

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Source: exact rational arithmetic, agreeing with four libraries on all rows.
func TestGridAt(t *testing.T) {
	for _, row := range authority(t, "grids/encode_200.csv") {
		lat, lon := number(t, row["lat"]), number(t, row["lon"])
		for chars, column := range map[int]string{4: "loc4", 6: "loc6", 8: "loc8_exact"} {
			if got := GridAt(lat, lon, chars); got != MustParseGrid(row[column]) {
				t.Errorf("%v, %v: %v, want %s", lat, lon, got, row[column])
			}
		}
	}
	for _, row := range authority(t, "grids/edge_cases.csv") {
		lat, lon := number(t, row["lat"]), number(t, row["lon"])
		if got := GridAt(lat, lon, 8); got != MustParseGrid(row["exact_rational_clamped"]) {
			t.Errorf("edge %v, %v: %v, want %s", lat, lon, got, row["exact_rational_clamped"])
		}
	}
}

// Source: exact centres, agreeing with two libraries to 1e-9 degrees.
func TestGridCenter(t *testing.T) {
	for _, row := range authority(t, "grids/decode_200.csv") {
		lat, lon := MustParseGrid(row["locator"]).Center()
		if math.Abs(lat-number(t, row["center_lat"])) > 1e-9 || math.Abs(lon-number(t, row["center_lon"])) > 1e-9 {
			t.Errorf("%s: %v, %v", row["locator"], lat, lon)
		}
		if want := strings.ToUpper(row["locator"]); strings.ToUpper(GridAt(lat, lon, len(want)).String()) != want {
			t.Errorf("%s: the middle lies in %v", want, GridAt(lat, lon, len(want)))
		}
	}
}

func TestGridErrors(t *testing.T) {
	for _, tt := range []struct {
		in string
		at int
	}{
		{"", 0}, {"J", 1}, {"SO62", 0}, {"JS62", 1}, {"JO6", 3}, {"JOO2", 2}, {"JO62YM", 4}, {"JO62q", 5}, {"JO62qm123", 8}, {"JÖ62", 1},
	} {
		_, err := ParseGrid(tt.in)
		var se *SyntaxError
		if !errors.As(err, &se) || se.At != tt.at {
			t.Errorf("%q: %v, want position %d", tt.in, err, tt.at)
		}
	}
}

func TestCheckGrids(t *testing.T) {
	for _, tt := range []struct {
		grids string
		ok    bool
	}{
		{"JO31", true},
		{"JO31 JO32", true},  // above each other
		{"JO31 JO41", true},  // beside each other
		{"FN08 EN98", true},  // across a field
		{"AJ05 RJ95", true},  // across 180°
		{"JR09 JA00", false}, // not across a pole
		{"JO31 JO42", false}, // diagonal
		{"JO31 JO31", false}, // the same
		{"JO31qa JO31qb", false},
		{"JO31qx JO32qa", true},
		{"JO31 JO32 JO41", false},
		{"JO31 JO32 JO41 JO42", true},
		{"AJ05 RJ95 AJ06 RJ96", true},
		{"JO31 JO32 JO33 JO34", false},
		{"JO JO31", false},
		{"", false},
	} {
		var gs []Grid
		for s := range strings.FieldsSeq(tt.grids) {
			gs = append(gs, MustParseGrid(s))
		}
		if err := CheckGrids(gs); (err == nil) != tt.ok {
			t.Errorf("%s: %v", tt.grids, err)
		}
	}
}

func FuzzGrid(f *testing.F) {
	for _, s := range []string{"JO62qm", "rr99XX99", "JO", "jo6", "JÖ62", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		g, err := ParseGrid(s)
		if err != nil {
			var se *SyntaxError
			if !errors.As(err, &se) || se.At < 0 || se.At > len(s) {
				t.Fatalf("%q: %v", s, err)
			}
			return
		}
		if back, err := ParseGrid(g.String()); err != nil || back != g {
			t.Fatalf("%q prints as %q and reads back as %v, %v", s, g.String(), back, err)
		}
		lat, lon := g.Center()
		if at := GridAt(lat, lon, g.Chars()); at != g {
			t.Fatalf("the middle of %v lies in %v", g, at)
		}
	})
}
