package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"
)

// reference is where independent predictions lie; its README says how they were
// made.
const reference = "../../testdata/authorities/passes/"

var (
	tableFrom = time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC)
	tableTo   = tableFrom.Add(48 * time.Hour)
)

// table reads a table, each row keyed by the names of the columns.
func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(reference + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, record := range records[1:] {
		row := make(map[string]string)
		for i, v := range record {
			row[records[0][i]] = v
		}
		rows = append(rows, row)
	}
	return rows
}

// passesJSON runs the verb over the time of the tables.
func passesJSON[T any](t *testing.T, args ...string) []T {
	t.Helper()
	args = append([]string{
		"passes", "-json", "-elements", reference + "sats.tle", "-from", "2026-09-01T00:00:00Z", "-hours", "48",
	}, args...)
	var out, errOut bytes.Buffer
	if code := run(args, stdio{strings.NewReader(""), &out, &errOut}); code != 0 || errOut.Len() > 0 {
		t.Fatalf("exit %d: %s", code, &errOut)
	}
	var all []T
	for dec := json.NewDecoder(&out); dec.More(); {
		var v T
		if err := dec.Decode(&v); err != nil {
			t.Fatal(err)
		}
		all = append(all, v)
	}
	return all
}

// A worst keeps the greatest difference of each kind.
type worst map[string]float64

func (w worst) see(t *testing.T, where, kind string, got, want, tolerance float64) {
	t.Helper()
	d := math.Abs(got - want)
	if kind == "azimuth" {
		d = math.Min(d, 360-d)
	}
	w[kind] = max(w[kind], d)
	if !(d <= tolerance) {
		t.Errorf("%s: %s is %v, want %v", where, kind, got, want)
	}
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// seconds is a time in seconds from the start of the tables.
func seconds(t *testing.T, s string) float64 {
	t.Helper()
	at, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return at.Sub(tableFrom).Seconds()
}

// Tolerances: AOS and LOS 0.1 s, peak 0.01°, as asked of the whole; azimuth
// 0.01°/cos(el), range 100 m, shift 3 Hz and 1 Hz, which the agreement of the
// tables' own sources allows.
func TestPassesAgainstReference(t *testing.T) {
	bySite := make(map[string][]map[string]string)
	for _, row := range table(t, "passes.csv") {
		bySite[row["grid"]] = append(bySite[row["grid"]], row)
	}
	greatest := make(worst)
	for grid, rows := range bySite {
		passes := passesJSON[passObject](t, "-at", grid, "-mhz", "145.8,436.8")
		found := make(map[string]passObject)
		for _, p := range passes {
			if tca := seconds(t, *p.TCA); tca >= 0 && tca < tableTo.Sub(tableFrom).Seconds() {
				found[p.Bird+" "+(*p.TCA)[:len("2026-09-01T00:0")]] = p
			}
		}
		for _, row := range rows {
			where := row["sat"] + " " + grid + " " + row["tca_utc"]
			p, ok := nearest(t, found, row)
			if !ok {
				t.Errorf("%s is missing", where)
				continue
			}
			compare(t, greatest, where, p, row)
		}
		if len(found) != len(rows) {
			t.Errorf("%s: %d passes, want %d", grid, len(found), len(rows))
		}
	}
	t.Logf("greatest differences: %v", greatest)
}

// nearest finds the pass of a row; TCA may lie across a rounding of the key.
func nearest(t *testing.T, found map[string]passObject, row map[string]string) (passObject, bool) {
	for _, p := range found {
		if p.Bird == row["sat"] && math.Abs(seconds(t, *p.TCA)-seconds(t, row["tca_utc"])) < 60 {
			return p, true
		}
	}
	return passObject{}, false
}

func compare(t *testing.T, w worst, where string, p passObject, row map[string]string) {
	t.Helper()
	crossing := 0.1
	if number(t, row["tca_el_deg"]) < 1 {
		crossing = 0.25 // the bird crosses the horizon at a small angle
	}
	w.see(t, where, "aos", seconds(t, *p.AOS), seconds(t, row["aos_utc"]), crossing)
	w.see(t, where, "tca", seconds(t, *p.TCA), seconds(t, row["tca_utc"]), 0.1)
	w.see(t, where, "los", seconds(t, *p.LOS), seconds(t, row["los_utc"]), crossing)
	w.see(t, where, "peak", *p.PeakEl, number(t, row["tca_el_deg"]), 0.01)
	atPeak := 0.01 / math.Cos(*p.PeakEl*math.Pi/180)
	w.see(t, where, "azimuth", *p.AOSAz, number(t, row["aos_az_deg"]), 0.01)
	w.see(t, where, "azimuth", *p.TCAAz, number(t, row["tca_az_deg"]), atPeak)
	w.see(t, where, "azimuth", *p.LOSAz, number(t, row["los_az_deg"]), 0.01)
	w.see(t, where, "range", *p.AOSRangeKm, number(t, row["aos_range_km"]), 0.1)
	w.see(t, where, "range", *p.TCARangeKm, number(t, row["tca_range_km"]), 0.1)
	for _, s := range p.Shift {
		suffix, tolerance := "_shift145800_hz", 1.0
		if s.MHz == 436.8 {
			suffix, tolerance = "_shift436800_hz", 3
		}
		w.see(t, where, "shift", *s.AOSHz, number(t, row["aos"+suffix]), tolerance)
		w.see(t, where, "shift", *s.TCAHz, number(t, row["tca"+suffix]), tolerance)
		w.see(t, where, "shift", *s.LOSHz, number(t, row["los"+suffix]), tolerance)
	}
}

// The times at which the dial changes, within 1 s.
func TestStepsAgainstReference(t *testing.T) {
	type step struct {
		seconds, offset float64
	}
	want := make(map[string][]step)
	sites := make(map[string]bool)
	for _, row := range table(t, "doppler_steps_436800.csv") {
		key := row["sat"] + " " + row["grid"]
		sites[row["grid"]] = true
		want[key] = append(want[key], step{seconds(t, row["from_utc"]), number(t, row["offset_khz"])})
	}
	greatest := make(worst)
	for grid := range sites {
		got := make(map[string][]step)
		for _, p := range passesJSON[passObject](t, "-at", grid, "-mhz", "436.8") {
			for _, s := range p.Steps {
				key := p.Bird + " " + grid
				got[key] = append(got[key], step{seconds(t, s.At), s.OffsetKHz})
				if dial := 436.8 + s.OffsetKHz/1000; math.Abs(dial-s.DialMHz) > 1e-9 {
					t.Errorf("%s: dial %v for an offset of %v kHz", key, s.DialMHz, s.OffsetKHz)
				}
			}
		}
		for key, steps := range got {
			// Passes at the ends of the window are not all in the table.
			for _, w := range want[key] {
				best := math.Inf(1)
				for _, s := range steps {
					if s.offset == w.offset {
						best = min(best, math.Abs(s.seconds-w.seconds))
					}
				}
				greatest.see(t, key, "step", w.seconds+best, w.seconds, 1)
			}
		}
	}
	t.Logf("greatest differences: %v", greatest)
}

func TestWindowsAgainstReference(t *testing.T) {
	type pair struct{ a, b string }
	want := make(map[pair][]map[string]string)
	for _, row := range table(t, "mutual.csv") {
		p := pair{row["grid1"], row["grid2"]}
		if _, known := want[p]; !known {
			want[p] = nil
		}
		if row["sat"] != "(none)" {
			want[p] = append(want[p], row)
		}
	}
	greatest := make(worst)
	for p, rows := range want {
		found := passesJSON[windowObject](t, "-at", p.a, "-with", p.b)
		inside := 0
		for _, w := range found {
			// The table has no pass whose TCA lies outside its time, and so not
			// all windows at its ends.
			const end = 30 * 60
			if seconds(t, w.Start) >= end && seconds(t, w.End) <= tableTo.Sub(tableFrom).Seconds()-end {
				inside++
			}
		}
		for _, row := range rows {
			where := p.a + " " + p.b + " " + row["sat"] + " " + row["start_utc"]
			w, ok := windowOf(t, found, row)
			if !ok {
				t.Errorf("%s is missing", where)
				continue
			}
			greatest.see(t, where, "start", seconds(t, w.Start), seconds(t, row["start_utc"]), 0.25)
			greatest.see(t, where, "end", seconds(t, w.End), seconds(t, row["end_utc"]), 0.25)
			greatest.see(t, where, "length", w.Seconds, number(t, row["duration_s"]), 0.25)
			greatest.see(t, where, "elevation", w.El, number(t, row["mid_el1"]), 0.01)
			greatest.see(t, where, "elevation", w.WithEl, number(t, row["mid_el2"]), 0.01)
		}
		if inside > len(rows) {
			t.Errorf("%v: %d windows inside, want at most %d", p, inside, len(rows))
		}
	}
	t.Logf("greatest differences: %v", greatest)
}

func windowOf(t *testing.T, found []windowObject, row map[string]string) (windowObject, bool) {
	for _, w := range found {
		if w.Bird == row["sat"] && math.Abs(seconds(t, w.Start)-seconds(t, row["start_utc"])) < 60 {
			return w, true
		}
	}
	return windowObject{}, false
}
