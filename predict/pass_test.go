package predict

import (
	"errors"
	"math"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// Invented orbits: one over the equator, one that stands still over 15° east.
var (
	equatorial = Elements{
		Name: "FLAT", Catalog: 99401, Epoch: tableFrom, MeanMotion: 14.9, Eccentricity: 0.001,
		InclinationDeg: 0.5, RAANDeg: 10, BStar: 1e-5,
	}
	stationary = Elements{
		Name: "STILL", Catalog: 99402, Epoch: tableFrom, MeanMotion: 1.00273791, Eccentricity: 0.0001,
		InclinationDeg: 0.05, RAANDeg: 0, ArgPerigeeDeg: 0, MeanAnomalyDeg: 355.5,
	}
)

func ephemeris(t testing.TB, e Elements, from, to time.Time) *Ephemeris {
	t.Helper()
	p, err := NewEphemeris(e, from, to)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestNeverRises(t *testing.T) {
	p := ephemeris(t, equatorial, tableFrom, tableTo)
	for _, lat := range []float64{-90, -60, 60, 90} {
		if passes := p.Passes(Site{LatDeg: lat, LonDeg: 13}, tableFrom, tableTo, 0); len(passes) != 0 {
			t.Errorf("%v°: %+v", lat, passes)
		}
	}
	if n := len(p.Passes(Site{LatDeg: 1, LonDeg: 13}, tableFrom, tableTo, 0)); n < 26 || n > 28 {
		t.Errorf("%d passes over the equator in two days", n) // 2·(14.9−1)
	}
}

func TestNeverSets(t *testing.T) {
	p := ephemeris(t, stationary, tableFrom, tableTo)
	from, to := tableFrom.Add(time.Hour), tableFrom.Add(7*time.Hour)
	passes := p.Passes(Site{LatDeg: 50, LonDeg: 13}, from, to, 0)
	if len(passes) != 1 {
		t.Fatal(passes)
	}
	pass := passes[0]
	if !pass.AOS.IsZero() || !pass.LOS.IsZero() || pass.Duration() != 0 || pass.AtAOS != (Look{}) || pass.AtLOS != (Look{}) {
		t.Errorf("it rises or sets: %+v", pass)
	}
	if pass.TCA.Before(from) || pass.TCA.After(to) || pass.AtTCA.ElDeg < 20 || pass.AtTCA.ElDeg > 45 {
		t.Errorf("peak %+v", pass)
	}
	if n := len(p.Passes(Site{LatDeg: 50, LonDeg: -167}, from, to, 0)); n != 0 {
		t.Errorf("%d passes at the other side of the Earth", n)
	}
	steps := p.Steps(Site{LatDeg: 50, LonDeg: 13}, pass, 436.8, 5, Receive)
	if len(steps) != 1 || steps[0].OffsetKHz != 0 || !steps[0].At.Equal(tableFrom) {
		t.Errorf("steps %+v", steps)
	}
}

// A window that begins or ends in a pass, or is inside one, lists it with its
// true crossings.
func TestWindowEdges(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	site := Site{LatDeg: 52.520833333, LonDeg: 13.375}
	all := p.Passes(site, tableFrom, tableTo, 0)
	second := time.Second
	for i, pass := range all {
		for _, tt := range []struct {
			name     string
			from, to time.Time
			want     []Pass
		}{
			{"from the middle on", pass.TCA, pass.LOS.Add(second), all[i : i+1]},
			{"to the middle", pass.AOS.Add(-second), pass.TCA, all[i : i+1]},
			{"inside", pass.TCA.Add(-second), pass.TCA.Add(second), all[i : i+1]},
			{"up to AOS", pass.AOS.Add(-time.Minute), pass.AOS, nil},
			{"just over AOS", pass.AOS.Add(-time.Minute), pass.AOS.Add(time.Millisecond), all[i : i+1]},
			{"from LOS on", pass.LOS, pass.LOS.Add(time.Minute), nil},
			{"just before LOS", pass.LOS.Add(-time.Millisecond), pass.LOS.Add(time.Minute), all[i : i+1]},
			{"empty", pass.TCA, pass.TCA, nil},
			{"backwards", pass.LOS, pass.AOS, nil},
		} {
			near := cmp.Comparer(func(a, b time.Time) bool { return a.Sub(b).Abs() < 10*time.Microsecond })
			close := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-6 })
			if d := cmp.Diff(tt.want, p.Passes(site, tt.from, tt.to, 0), near, close); d != "" {
				t.Errorf("%s: %s", tt.name, d)
			}
		}
	}
	if len(all) < 8 {
		t.Errorf("%d passes", len(all))
	}
	// A table that begins in mid-pass knows AOS all the same.
	mid := all[3].TCA
	cut := ephemeris(t, ochre, mid, mid.Add(time.Hour))
	got := cut.Passes(site, mid, mid.Add(time.Hour), 0)
	if len(got) != 1 || got[0].AOS.Sub(all[3].AOS).Abs() > time.Millisecond {
		t.Errorf("%+v", got)
	}
	if light := cut.Sunlit(got[0].AOS, got[0].LOS); !light[0].At.Equal(got[0].AOS) {
		t.Errorf("light from %v, AOS %v", light[0].At, got[0].AOS)
	}
	if steps := cut.Steps(site, got[0], 436.8, 5, Receive); !steps[0].At.Equal(got[0].AOS) {
		t.Errorf("steps from %v, AOS %v", steps[0].At, got[0].AOS)
	}
}

// Every orbit of the verification set, round and eccentric, from several sites
// and over several horizons, against looking at every fifth second.
func TestPassesAgainstScan(t *testing.T) {
	const step = 5 * time.Second
	sites := []Site{{LatDeg: 90}, {LatDeg: -90, LonDeg: 77}, {LatDeg: 0, LonDeg: 180}, {LatDeg: -33, LonDeg: -179.99, HeightM: 2500}, {LatDeg: 51, LonDeg: 10}}
	total := 0
	for _, c := range readVerification(t) {
		from := c.elements.Epoch.Add(-time.Hour)
		to := from.Add(30 * time.Hour)
		p, err := NewEphemeris(c.elements, from, to)
		if err != nil {
			continue
		}
		for _, s := range sites {
			for _, minEl := range []float64{-5, 0, 12.5} {
				total += scan(t, p, s, from, to, step, minEl)
			}
		}
	}
	t.Log(total, "passes")
}

func scan(t *testing.T, p *Ephemeris, s Site, from, to time.Time, step time.Duration, minEl float64) int {
	t.Helper()
	passes := p.Passes(s, from, to, minEl)
	i := 0
	for at := from; at.Before(to); at = at.Add(step) {
		for i < len(passes) && !passes[i].LOS.IsZero() && !passes[i].LOS.After(at) {
			i++
		}
		inside := i < len(passes) && !passes[i].AOS.After(at)
		el := p.Look(s, at).ElDeg
		if up := el >= minEl; up != inside && math.Abs(el-minEl) > 1e-7 {
			t.Fatalf("%s at %+v, %v: elevation %v, in a pass: %v", p.Elements().Name, s, at, el, inside)
		}
		if inside && el > passes[i].AtTCA.ElDeg+1e-7 && !passes[i].AOS.IsZero() && !passes[i].LOS.IsZero() {
			t.Fatalf("%s at %+v, %v: elevation %v above the peak %v", p.Elements().Name, s, at, el, passes[i].AtTCA.ElDeg)
		}
	}
	for _, pass := range passes {
		for _, l := range []Look{pass.AtAOS, pass.AtLOS} {
			if l != (Look{}) && math.Abs(l.ElDeg-minEl) > 1e-5 {
				t.Errorf("%s at %+v: crosses at %v", p.Elements().Name, s, l.ElDeg)
			}
		}
	}
	return len(passes)
}

// Of two sites either side of the date line, and of the longitude written
// either way, all see the same.
func TestDateLine(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-6 })
	soon := cmp.Comparer(func(a, b time.Time) bool { return a.Sub(b).Abs() < time.Millisecond })
	want := p.Passes(Site{LatDeg: 10, LonDeg: 180}, tableFrom, tableTo, 0)
	got := p.Passes(Site{LatDeg: 10, LonDeg: -180}, tableFrom, tableTo, 0)
	if d := cmp.Diff(want, got, near, soon); d != "" || len(want) < 8 {
		t.Error(len(want), d)
	}
}

func TestMoved(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	for _, shift := range []time.Duration{0, time.Minute, 26 * time.Hour, -26 * time.Hour, 1000 * time.Hour} {
		from, to := tableFrom.Add(shift), tableTo.Add(shift+time.Hour)
		got, err := p.Moved(from, to)
		if err != nil {
			t.Fatal(err)
		}
		want := ephemeris(t, ochre, from, to)
		if !got.first.Equal(want.first) || len(got.nodes) != len(want.nodes) {
			t.Fatalf("%v: %v %d, want %v %d", shift, got.first, len(got.nodes), want.first, len(want.nodes))
		}
		for i := range got.nodes {
			if got.nodes[i] != want.nodes[i] {
				t.Fatalf("%v: node %d", shift, i)
			}
		}
	}
	if _, err := p.Moved(tableTo, tableFrom); err == nil {
		t.Error("a span backwards")
	}
}

func TestOutsideTheTable(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableFrom.Add(time.Hour))
	for _, at := range []time.Time{{}, tableFrom.Add(-4 * time.Hour), tableFrom.Add(5 * time.Hour), time.Date(3000, 1, 1, 0, 0, 0, 0, time.UTC)} {
		if l := p.Look(Site{}, at); !math.IsNaN(l.ElDeg) || !math.IsNaN(l.RangeRateKmS) {
			t.Errorf("%v: %+v", at, l)
		}
	}
	if from, to := p.Span(); !from.Equal(tableFrom) || !to.Equal(tableFrom.Add(time.Hour)) {
		t.Error(from, to)
	}
	for _, at := range []time.Duration{-time.Hour, 2 * time.Hour} {
		if l := p.Look(Site{}, tableFrom.Add(at)); math.IsNaN(l.ElDeg) {
			t.Errorf("%v is not spared", at)
		}
	}
}

func TestRefusals(t *testing.T) {
	with := func(change func(*Elements)) Elements { e := ochre; change(&e); return e }
	for _, tt := range []struct {
		name string
		e    Elements
		want Reason
	}{
		{"nothing", Elements{}, Absurd},
		{"not a number", with(func(e *Elements) { e.InclinationDeg = math.NaN() }), Absurd},
		{"infinite", with(func(e *Elements) { e.BStar = math.Inf(1) }), Absurd},
		{"drag", with(func(e *Elements) { e.BStar = -3 }), Absurd},
		{"stands still", with(func(e *Elements) { e.MeanMotion = 0 }), Absurd},
		{"low", with(func(e *Elements) { e.MeanMotion = 16.5 }), LowPerigee},
		{"into the ground", with(func(e *Elements) { e.Eccentricity = 0.5 }), LowPerigee},
		{"far out", with(func(e *Elements) { e.MeanMotion = 0.5; e.Eccentricity = 0.93 }), Eccentric},
		{"falling", with(func(e *Elements) { e.BStar = 0.9 }), Decayed},
		{"backwards exactly", with(func(e *Elements) { e.InclinationDeg = 180 }), Absurd},
	} {
		_, err := NewEphemeris(tt.e, tableFrom, tableTo)
		var refusal *Refusal
		if !errors.As(err, &refusal) || refusal.Reason != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, err, tt.want)
		}
	}
	if _, err := NewEphemeris(ochre, tableTo, tableFrom); err == nil {
		t.Error("a span backwards")
	}
	for _, far := range []struct {
		e  Elements
		at time.Time
	}{{ochre, time.Time{}}, {stationary, tableFrom.AddDate(20, 0, 0)}} {
		var refusal *Refusal
		if _, err := NewEphemeris(far.e, far.at, far.at); !errors.As(err, &refusal) || refusal.Reason != Absurd {
			t.Errorf("%s at %v: %v", far.e.Name, far.at, err)
		}
	}
}

// One table serves many goroutines; run under the race detector.
func TestShared(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	site := Site{LatDeg: 52.5, LonDeg: 13.4}
	want := p.Passes(site, tableFrom, tableTo, 0)
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			if d := cmp.Diff(want, p.Passes(site, tableFrom, tableTo, 0)); d != "" {
				t.Error(d)
			}
		})
	}
	all.Wait()
}

func TestNoAllocation(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	site, at := Site{LatDeg: 52.5, LonDeg: 13.4}, tableFrom
	if n := testing.AllocsPerRun(100, func() { at = at.Add(time.Second); p.Look(site, at) }); n != 0 {
		t.Errorf("%v allocations a look", n)
	}
}
