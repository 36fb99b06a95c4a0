package exchange

import (
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"skyslate/bot/draw"
	"skyslate/bot/phrase"
	"skyslate/bot/say"
	"skyslate/bot/sky"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/predict/predicttest"
	"skyslate/storage"
)

// TestSkyOfPassAgainstReference holds what is drawn of every reference pass over
// one place against the reference tables: AOS, TCA, LOS with their directions and
// the moments at which the dial turns.
func TestSkyOfPassAgainstReference(t *testing.T) {
	turns := map[string][]map[string]string{}
	for _, row := range predicttest.Rows(t, "doppler_steps_436800.csv") {
		turns[row["sat"]+row["grid"]+row["n"]] = append(turns[row["sat"]+row["grid"]+row["n"]], row)
	}
	compared := 0
	for _, row := range predicttest.Rows(t, "passes.csv") {
		if row["sat"] != "OCHRE-1" || row["grid"] != "JO62qm" {
			continue
		}
		for _, p := range viewsOf(t, inventedSky(t), "OCHRE-1", placeAt("JO62qm")) {
			if p.AOS.Sub(utc(row["aos_utc"])).Abs() > time.Second {
				continue
			}
			compared++
			s := skyOfPass(p, time.Time{})
			sameSpot(t, s.Track[0], row, "aos")
			sameSpot(t, s.Peak, row, "tca")
			sameSpot(t, s.Track[len(s.Track)-1], row, "los")
			sameTurns(t, s.Turns, turns[row["sat"]+row["grid"]+row["n"]])
		}
	}
	if compared < 5 {
		t.Errorf("%d passes compared", compared)
	}
}

func decimal(t *testing.T, s string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func sameSpot(t *testing.T, got draw.Spot, row map[string]string, edge string) {
	t.Helper()
	az, el, at := decimal(t, row[edge+"_az_deg"]), decimal(t, row[edge+"_el_deg"]), utc(row[edge+"_utc"])
	// A hundredth of a degree: near overhead an azimuth turns fast.
	if d := got.At.Sub(at).Abs(); d > 50*time.Millisecond || math.Abs(math.Remainder(got.AzDeg-az, 360)) > 0.01 || math.Abs(got.ElDeg-el) > 0.001 {
		t.Errorf("%s: %+v, want %v at %v, %v", edge, got, at, az, el)
	}
}

func sameTurns(t *testing.T, got []draw.Turn, want []map[string]string) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d turns, want %d", len(got), len(want))
	}
	for i, row := range want {
		dialled := strconv.FormatFloat(436.8+decimal(t, row["offset_khz"])/1000, 'f', 3, 64)
		if got[i].At.Sub(utc(row["from_utc"])).Abs() > 50*time.Millisecond || got[i].Dial != dialled {
			t.Errorf("turn %d: %v %s, want %s %s", i, got[i].At, got[i].Dial, row["from_utc"], dialled)
		}
	}
}

// TestReachAgainstReference holds the windows of a wanted grid against the
// reference table of common windows, and the squares of the picture against the
// windows.
func TestReachAgainstReference(t *testing.T) {
	jn58 := parse.MustParseGrid("JN58")
	want := map[int64]map[string]string{}
	for _, row := range predicttest.Rows(t, "mutual.csv") {
		if row["sat"] == "OCHRE-1" && row["grid1"] == "JO62qm" && row["grid2"] == "JN58" {
			want[utc(row["start_utc"]).Unix()/3600] = row
		}
	}
	compared := 0
	for i, p := range viewsOf(t, inventedSky(t), "OCHRE-1", placeAt("JO62qm")) {
		both, _ := p.With(jn58)
		w := draw.Window{Grid: jn58, From: both.Start, To: both.End}
		if row, ok := want[p.TCA.Unix()/3600]; ok && !w.To.IsZero() {
			compared++
			if w.From.Sub(utc(row["start_utc"])).Abs() > 50*time.Millisecond || w.To.Sub(utc(row["end_utc"])).Abs() > 50*time.Millisecond {
				t.Errorf("pass %d: %v to %v, want %s to %s", i, w.From, w.To, row["start_utc"], row["end_utc"])
			}
		}
		if i < 3 {
			squaresMatch(t, p, w)
		}
	}
	if compared < 5 {
		t.Errorf("%d windows compared", compared)
	}
}

// squaresMatch: the square's own window is the exact one, to the step of the
// search.
func squaresMatch(t *testing.T, p say.Pass, exact draw.Window) {
	t.Helper()
	step := p.LOS.Sub(p.AOS) / reachSteps
	for _, w := range reachOfPass(p, nil).Squares {
		if w.Grid == exact.Grid {
			if w.From.Sub(exact.From).Abs() > step || w.To.Sub(exact.To).Abs() > step {
				t.Errorf("%s: %v to %v, exactly %v to %v", w.Grid, w.From, w.To, exact.From, exact.To)
			}
			return
		}
	}
	t.Errorf("%s is not among the squares reached", exact.Grid)
}

// TestFarthest: no square beyond the limit of the search is reached, whatever the
// orbit and the place.
func TestFarthest(t *testing.T) {
	for _, bird := range []string{"OCHRE-1", "SIENNA"} {
		p := viewsOf(t, inventedSky(t), bird, placeAt("JO62qm"))[1]
		far, here := farthestKm(p), p.Place.Site
		for lat := -85.0; lat <= 85; lat += 5 {
			for lon := -180.0; lon < 180; lon += 5 {
				there := sky.GridSite(parse.GridAt(lat, lon, 4))
				if w := window(p, there, moments(p, reachSteps)); !w.To.IsZero() && predict.DistanceKm(here, there) > far {
					t.Errorf("%s: %v, %v is reached and beyond %v km", bird, lat, lon, far)
				}
			}
		}
	}
}

func TestGridsWorked(t *testing.T) {
	contact := func(state storage.State, bird string, grids ...string) storage.Contact {
		return storage.Contact{State: state, Bird: storage.BirdRef{Name: bird, LogName: bird}, Grids: placeAt(append(grids, "AA00")...).Grids[:len(grids)]}
	}
	all := []storage.Contact{
		contact(storage.Certain, "OCHRE-1", "JO33ab"),
		contact(storage.Remembered, "SIENNA", "JO44", "JO45"),
		contact(storage.Heard, "OCHRE-1", "JN11"),
		contact(storage.Doubtful, "OCHRE-1", "JN12"),
		contact(storage.Dropped, "OCHRE-1", "JN13"),
		contact(storage.Certain, "OCHRE-1", "JO33"),
		contact(storage.Incomplete, "OCHRE-1"),
	}
	for _, tt := range []struct{ bird, grids, newest string }{
		{"", "JO33 JO44 JO45", "JO33"},
		{"SIENNA", "JO44 JO45", "JO44 JO45"},
		{"PERSE-5", "", ""},
	} {
		ref := storage.BirdRef{Name: tt.bird, LogName: tt.bird}
		grids, newest := gridsWorked(all, ref)
		if phrase.Grids(grids) != tt.grids || phrase.Grids(newest) != tt.newest {
			t.Errorf("%q: %s, newest %s", tt.bird, phrase.Grids(grids), phrase.Grids(newest))
		}
	}
}

func TestCalendarUID(t *testing.T) {
	a, b := storage.Pass{ID: "20260901T131255Z-99101", Operator: "7"}, storage.Pass{ID: "20260901T131255Z-99101", Operator: "8"}
	moved := a
	moved.AOS = moved.AOS.Add(time.Minute)
	if calendarUID(a) == calendarUID(b) || calendarUID(a) != calendarUID(moved) || strings.Contains(calendarUID(a), "-99101.7") {
		t.Errorf("%s, %s", calendarUID(a), calendarUID(b))
	}
}

// The budget of a sky picture is 50 ms and 60,000 bytes, from the pass to the
// file.
func BenchmarkSkyPicture(b *testing.B) {
	p := viewsOf(b, inventedSky(b), "OCHRE-1", placeAt("JO62qm"))[2]
	var body []byte
	for b.Loop() {
		body, _ = skyOfPass(p, time.Time{}).PNG()
	}
	b.ReportMetric(float64(len(body)), "bytes/picture")
}

func BenchmarkReachPicture(b *testing.B) {
	p := viewsOf(b, inventedSky(b), "OCHRE-1", placeAt("JO62qm"))[2]
	var body []byte
	for b.Loop() {
		body, _ = reachOfPass(p, nil).PNG()
	}
	b.ReportMetric(float64(len(body)), "bytes/picture")
}

// The dial of either side leads to the other and back.
func TestTunedBothWays(t *testing.T) {
	for _, inverting := range []bool{true, false} {
		for _, p := range viewsOf(t, inventedSky(t), "UMBER-A", placeAt("JO62qm")) {
			radio := p.Transponder()
			radio.Inverting = inverting
			for _, at := range []time.Time{p.AOS, p.TCA, p.LOS} {
				for _, down := range []float64{435.612, 435.64, 435.668} {
					site := p.Place.Site
					there := p.Table.Tune(site, at, radio, down, predict.Receive)
					back := p.Table.Tune(site, at, radio, there.UplinkMHz, predict.Transmit)
					if off := math.Abs(back.DownlinkMHz-down) * 1e6; off > 0.5 {
						t.Fatalf("at %v: %.6f goes to %.6f and back to %.6f, %.2f Hz off", at, down, there.UplinkMHz, back.DownlinkMHz, off)
					}
				}
			}
		}
	}
}
