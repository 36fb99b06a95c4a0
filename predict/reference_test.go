package predict

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"
)

// The tables come from ../testdata/authorities/passes; its README says how they
// were made and how far independent programs agree about them.
const passTables = "../testdata/authorities/passes/"

var (
	tableFrom = time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC)
	tableTo   = tableFrom.Add(48 * time.Hour)
)

type row map[string]string

func (r row) float(t *testing.T, key string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[key], 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func (r row) time(t *testing.T, key string) time.Time {
	t.Helper()
	v, err := time.Parse(time.RFC3339, r[key])
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func readTable(t testing.TB, name string) []row {
	t.Helper()
	return readCSV(t, passTables+name)
}

func readCSV(t testing.TB, name string) []row {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	rows := make([]row, 0, len(records)-1)
	for _, record := range records[1:] {
		r := row{}
		for i, v := range record {
			r[records[0][i]] = v
		}
		rows = append(rows, r)
	}
	return rows
}

func readSets(t testing.TB, name string) []Elements {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sets, problems, err := ReadElements(f, name)
	if err != nil || len(problems) > 0 || len(sets) == 0 {
		t.Fatal(len(sets), problems, err)
	}
	return sets
}

func tableSites(t testing.TB) map[string]Site {
	sites := map[string]Site{}
	for _, r := range readTable(t, "sites.csv") {
		lat, err1 := strconv.ParseFloat(r["lat_deg"], 64)
		lon, err2 := strconv.ParseFloat(r["lon_deg"], 64)
		if err1 != nil || err2 != nil {
			t.Fatal(r)
		}
		sites[r["grid"]] = Site{LatDeg: lat, LonDeg: lon}
	}
	return sites
}

func tableSky(t testing.TB) map[string]*Ephemeris {
	sky := map[string]*Ephemeris{}
	for _, e := range readSets(t, passTables+"sats.tle") {
		p, err := NewEphemeris(e, tableFrom, tableTo)
		if err != nil {
			t.Fatal(err)
		}
		sky[e.Name] = p
	}
	return sky
}

// A worst keeps the greatest difference of each kind against its tolerance.
type worst struct {
	order []string
	diff  map[string]float64
	where map[string]string
	tol   map[string]float64
}

func (w *worst) see(t *testing.T, kind string, diff, tolerance float64, where string) {
	t.Helper()
	if w.diff == nil {
		w.diff, w.where, w.tol = map[string]float64{}, map[string]string{}, map[string]float64{}
	}
	diff = math.Abs(diff)
	if _, known := w.diff[kind]; !known {
		w.order = append(w.order, kind)
		w.tol[kind] = tolerance
		w.diff[kind] = -1
	}
	if diff > w.diff[kind] {
		w.diff[kind], w.where[kind] = diff, where
	}
	if !(diff <= tolerance) {
		t.Errorf("%s: %s differs by %.6g, tolerance %.6g", where, kind, diff, tolerance)
	}
}

func (w *worst) log(t *testing.T) {
	t.Helper()
	for _, kind := range w.order {
		t.Logf("greatest difference of %-28s %12.6g (tolerance %g) at %s", kind, w.diff[kind], w.tol[kind], w.where[kind])
	}
}

func angle(a, b float64) float64 { return math.Mod(a-b+540, 360) - 180 }

// passOf finds the passes whose TCA lies in the table's window.
func tablePasses(p *Ephemeris, s Site) []Pass {
	var out []Pass
	for _, pass := range p.Passes(s, tableFrom, tableTo, 0) {
		if !pass.TCA.Before(tableFrom) && pass.TCA.Before(tableTo) {
			out = append(out, pass)
		}
	}
	return out
}

func TestPassesAgainstTable(t *testing.T) {
	sky, sites := tableSky(t), tableSites(t)
	var w worst
	used := map[string]int{}
	early := 0 // passes before the epoch of their elements
	for _, r := range readTable(t, "passes.csv") {
		key := r["sat"] + " " + r["grid"]
		used[key]++
		passes := tablePasses(sky[r["sat"]], sites[r["grid"]])
		if used[key] > len(passes) {
			t.Errorf("%s %s: missed", key, r["tca_utc"])
			continue
		}
		pass := passes[used[key]-1]
		where := key + " " + r["tca_utc"]
		if pass.LOS.Before(sky[r["sat"]].Elements().Epoch) {
			early++
		}
		grazing := r.float(t, "tca_el_deg") < 1
		crossing := 0.05
		if grazing {
			crossing = 0.25
		}
		suffix := map[bool]string{true: " (peak below 1°)"}[grazing]
		w.see(t, "AOS s"+suffix, pass.AOS.Sub(r.time(t, "aos_utc")).Seconds(), crossing, where)
		w.see(t, "LOS s"+suffix, pass.LOS.Sub(r.time(t, "los_utc")).Seconds(), crossing, where)
		w.see(t, "TCA s", pass.TCA.Sub(r.time(t, "tca_utc")).Seconds(), 0.1, where)
		for _, side := range []struct {
			name string
			look Look
		}{{"aos", pass.AtAOS}, {"tca", pass.AtTCA}, {"los", pass.AtLOS}} {
			el := r.float(t, side.name+"_el_deg")
			w.see(t, side.name+" elevation °", side.look.ElDeg-el, 0.005, where)
			w.see(t, side.name+" azimuth ° on the sky",
				angle(side.look.AzDeg, r.float(t, side.name+"_az_deg"))*math.Cos(radians(el)), 0.01, where)
			w.see(t, side.name+" range km", side.look.RangeKm-r.float(t, side.name+"_range_km"), 0.1, where)
			w.see(t, side.name+" shift 145.8 Hz", side.look.ShiftHz(145.8)-r.float(t, side.name+"_shift145800_hz"), 1, where)
			w.see(t, side.name+" shift 436.8 Hz", side.look.ShiftHz(436.8)-r.float(t, side.name+"_shift436800_hz"), 3, where)
		}
	}
	t.Logf("%d passes before the epoch of their elements", early)
	if early < 100 {
		t.Error("too few passes before the epoch of their elements")
	}
	for name, p := range sky {
		for grid, site := range sites {
			if n := len(tablePasses(p, site)); n != used[name+" "+grid] {
				t.Errorf("%s %s: %d passes, the table has %d", name, grid, n, used[name+" "+grid])
			}
		}
	}
	w.log(t)
}

func TestStepsAgainstTable(t *testing.T) {
	sky, sites := tableSky(t), tableSites(t)
	var w worst
	var steps []Step
	last := ""
	count := map[string]int{}
	for _, r := range readTable(t, "doppler_steps_436800.csv") {
		key := r["sat"] + " " + r["grid"] + " " + r["n"]
		p, site := sky[r["sat"]], sites[r["grid"]]
		if key != last {
			if len(steps) != 0 {
				t.Errorf("%s: %d steps more than in the table", last, len(steps))
			}
			n, _ := strconv.Atoi(r["n"])
			steps = p.Steps(site, tablePasses(p, site)[n-1], 436.8, 5, Receive)
			last = key
			count[key]++
		}
		if len(steps) == 0 {
			t.Fatalf("%s: a step missed", key)
		}
		where := key + " " + r["from_utc"]
		w.see(t, "step s", steps[0].At.Sub(r.time(t, "from_utc")).Seconds(), 1, where)
		w.see(t, "offset kHz", steps[0].OffsetKHz-r.float(t, "offset_khz"), 0, where)
		w.see(t, "dial MHz", steps[0].DialMHz-436.8-r.float(t, "offset_khz")/1e3, 1e-9, where)
		steps = steps[1:]
	}
	w.log(t)
	t.Log(len(count), "passes")
}

// tableWindows are the common windows of passes that the table lists.
func tableWindows(p *Ephemeris, a, b Site) []Window {
	var out []Window
	for _, w := range Windows(p, a, b, tableFrom, tableTo, 0) {
		if during(w, tablePasses(p, a)) && during(w, tablePasses(p, b)) {
			out = append(out, w)
		}
	}
	return out
}

func during(w Window, passes []Pass) bool {
	return slices.ContainsFunc(passes, func(p Pass) bool {
		return !w.Start.Before(p.AOS) && !w.End.After(p.LOS)
	})
}

func TestWindowsAgainstTable(t *testing.T) {
	sky, sites := tableSky(t), tableSites(t)
	var w worst
	found := map[string][]Window{}
	windows := func(pair [2]string, sat string) string {
		key := pair[0] + " " + pair[1] + " " + sat
		if _, known := found[key]; !known {
			found[key] = tableWindows(sky[sat], sites[pair[0]], sites[pair[1]])
		}
		return key
	}
	for _, r := range readTable(t, "mutual.csv") {
		pair := [2]string{r["grid1"], r["grid2"]}
		for sat := range sky {
			windows(pair, sat) // all of them, so that none too many is found
		}
		if r["sat"] == "(none)" {
			continue
		}
		key := windows(pair, r["sat"])
		where := key + " " + r["start_utc"]
		if len(found[key]) == 0 {
			t.Errorf("%s: missed", where)
			continue
		}
		got := found[key][0]
		found[key] = found[key][1:]
		w.see(t, "start s", got.Start.Sub(r.time(t, "start_utc")).Seconds(), 0.05, where)
		w.see(t, "end s", got.End.Sub(r.time(t, "end_utc")).Seconds(), 0.05, where)
		for _, end := range []struct {
			name string
			look Look
		}{{"1", got.AtMid}, {"2", got.WithMid}} {
			w.see(t, "elevation °", end.look.ElDeg-r.float(t, "mid_el"+end.name), 0.005, where)
			w.see(t, "azimuth ° on the sky",
				angle(end.look.AzDeg, r.float(t, "mid_az"+end.name))*math.Cos(radians(end.look.ElDeg)), 0.01, where)
		}
	}
	for key, rest := range found {
		for _, window := range rest {
			t.Errorf("%s: window from %v is not in the table", key, window.Start)
		}
	}
	w.log(t)
}

func TestSunlitAgainstTable(t *testing.T) {
	sky := tableSky(t)
	var w worst
	changes := map[string][]Light{}
	for name, p := range sky {
		changes[name] = p.Sunlit(tableFrom, tableTo)[1:]
	}
	for _, r := range readTable(t, "shadow.csv") {
		if r["model"] != "umbra" {
			continue
		}
		key := r["sat"]
		if len(changes[key]) == 0 {
			t.Errorf("%s %s: missed", key, r["utc"])
			continue
		}
		got := changes[key][0]
		changes[key] = changes[key][1:]
		w.see(t, "change of light s", got.At.Sub(r.time(t, "utc")).Seconds(), 0.5, key+" "+r["utc"])
		if got.Lit != (r["event"] == "exit") {
			t.Errorf("%s %s: lit %v after %s", key, r["utc"], got.Lit, r["event"])
		}
	}
	for key, rest := range changes {
		if len(rest) > 0 {
			t.Errorf("%s: %d changes more than in the table", key, len(rest))
		}
	}
	w.log(t)
}

func TestGreatCirclesAgainstTable(t *testing.T) {
	sites := tableSites(t)
	var w worst
	for _, r := range readTable(t, "distance.csv") {
		a, b := sites[r["grid1"]], sites[r["grid2"]]
		where := r["grid1"] + " " + r["grid2"]
		w.see(t, "distance km", DistanceKm(a, b)-r.float(t, "sphere_km"), 0.0006, where)
		w.see(t, "bearing °", angle(BearingDeg(a, b), r.float(t, "sphere_bearing_deg")), 0.0006, where)
		w.see(t, "distance to the geodesic %", (DistanceKm(a, b)/r.float(t, "wgs84_km")-1)*100, 0.4, where)
		w.see(t, "bearing to the geodesic °", angle(BearingDeg(a, b), r.float(t, "wgs84_bearing_deg")), 0.3, where)
	}
	w.log(t)
}

// Passes by PyEphem, whose propagator and Earth are of another family; see
// ../testdata/authorities/ephem/README.md.
func TestPassesAgainstOtherFamily(t *testing.T) {
	const folder = "../testdata/authorities/ephem/"
	sky := map[string][]Pass{}
	to := tableFrom.AddDate(0, 0, 10)
	for _, e := range readSets(t, folder+"bench10.tle") {
		p := ephemeris(t, e, tableFrom, to)
		sky[e.Name] = slices.DeleteFunc(p.Passes(berlin, tableFrom, to, 0), func(pass Pass) bool {
			return pass.TCA.Before(tableFrom) || !pass.TCA.Before(to)
		})
	}
	var w worst
	for _, r := range readCSV(t, folder+"passes.csv") {
		where := r["sat"] + " " + r["tca_utc"]
		if len(sky[r["sat"]]) == 0 {
			t.Fatalf("%s: missed", where)
		}
		pass := sky[r["sat"]][0]
		sky[r["sat"]] = sky[r["sat"]][1:]
		w.see(t, "LOS s", pass.LOS.Sub(r.time(t, "los_utc")).Seconds(), 0.5, where)
		if r.time(t, "los_utc").Sub(r.time(t, "aos_utc")) < time.Second {
			t.Logf("%s: the library took LOS for AOS", where)
			continue
		}
		w.see(t, "AOS s", pass.AOS.Sub(r.time(t, "aos_utc")).Seconds(), 0.5, where)
		w.see(t, "TCA s", pass.TCA.Sub(r.time(t, "tca_utc")).Seconds(), 2, where)
		w.see(t, "peak °", pass.AtTCA.ElDeg-r.float(t, "peak_el_deg"), 0.03, where)
		w.see(t, "AOS azimuth °", angle(pass.AtAOS.AzDeg, r.float(t, "aos_az_deg")), 0.02, where)
		w.see(t, "LOS azimuth °", angle(pass.AtLOS.AzDeg, r.float(t, "los_az_deg")), 0.02, where)
	}
	for name, rest := range sky {
		if len(rest) > 0 {
			t.Errorf("%s: %d passes more", name, len(rest))
		}
	}
	w.log(t)
}
