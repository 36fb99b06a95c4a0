package predict

import (
	"math"
	"testing"
	"time"
)

// A station that sees the bird at any moment of a pass stands in a square that
// is reached: no contact that was possible is ruled out.
func TestReachesWhoeverSees(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	pass := goodPass(t, p)
	reached, seen, squares := 0, 0, 0
	for lat := -90.0; lat < 90; lat++ {
		for lon := -180.0; lon < 180; lon += 2 {
			squares++
			sees := false
			for _, corner := range []Site{{LatDeg: lat, LonDeg: lon}, {LatDeg: lat + 1, LonDeg: lon}, {LatDeg: lat, LonDeg: lon + 2}, {LatDeg: lat + 1, LonDeg: lon + 2}} {
				for at := pass.AOS; !at.After(pass.LOS) && !sees; at = at.Add(30 * time.Second) {
					sees = p.Look(corner, at).ElDeg >= 0
				}
			}
			got := p.Reaches(pass, lat, lon, lat+1, lon+2)
			if sees {
				seen++
			}
			if got {
				reached++
			}
			if sees && !got {
				t.Errorf("%v %v: sees the bird, is not reached", lat, lon)
			}
		}
	}
	t.Logf("of %d squares %d see the bird, %d count as reached", squares, seen, reached)
	if reached > seen*5/4 {
		t.Errorf("%d squares reached, %d see the bird", reached, seen)
	}
}

func TestReachesOverTheDateLine(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	fiji := Site{LatDeg: -17.5, LonDeg: 179.9}
	pass := p.Passes(fiji, tableFrom, tableTo, 30)[0]
	if !p.Reaches(pass, -18, 178, -17, 180) || !p.Reaches(pass, -18, 179, -17, -179) || !p.Reaches(pass, -18, -180, -17, -178) {
		t.Error("not reached beside the date line")
	}
	if p.Reaches(pass, -18, -3, -17, -1) {
		t.Error("reached on the other side of the Earth")
	}
}

// The nearest point of a rectangle, against walking along its edges.
func TestArcToBox(t *testing.T) {
	for _, box := range [][4]float64{{50, 10, 51, 12}, {-1, 179, 1, -179}, {88, -40, 90, -38}, {-80, 0, -20, 90}, {-90, -180, 90, -178}} {
		south, west, north, east := box[0], box[1], box[2], box[3]
		for _, s := range []Site{{LatDeg: 50.5, LonDeg: 11}, {LatDeg: 3, LonDeg: -179.5}, {LatDeg: 89, LonDeg: 100}, {LatDeg: -40, LonDeg: -170}, {LatDeg: 20, LonDeg: 45}, {LatDeg: -70, LonDeg: 200}} {
			want := math.Inf(1)
			inside := s.LatDeg >= south && s.LatDeg <= north && turn(s.LonDeg-west) <= turn(east-west)
			if inside {
				want = 0
			}
			const parts = 2000
			for i := 0; i <= parts; i++ {
				lat, lon := south+(north-south)*float64(i)/parts, west+turn(east-west)*float64(i)/parts
				for _, edge := range []Site{{LatDeg: lat, LonDeg: west}, {LatDeg: lat, LonDeg: east}, {LatDeg: south, LonDeg: lon}, {LatDeg: north, LonDeg: lon}} {
					want = math.Min(want, arc(s, edge))
				}
			}
			if got := arcToBox(s, south, west, north, east); math.Abs(got-want) > 2e-4 {
				t.Errorf("%v from %+v: %.5f, want %.5f", box, s, got, want)
			}
		}
	}
}

func TestHorizon(t *testing.T) {
	h := Horizon{{350, 20, 15}, {10, 90, 25}, {180, 200, 5}}
	for az, want := range map[float64]float64{0: 15, 355: 15, 349.9: 0, 15: 25, 20.1: 25, 90.1: 0, 190: 5, 360: 15, -5: 15} {
		if got := h.MinElDeg(az); got != want {
			t.Errorf("%v: %v, want %v", az, got, want)
		}
	}
	if got := (Horizon{{0, 360, 7}}).MinElDeg(123); got != 7 {
		t.Errorf("all round: %v", got)
	}
	p := ephemeris(t, ochre, tableFrom, tableTo)
	pass := goodPass(t, p)
	for _, h := range []Horizon{nil, {{0, 360, 12}}, {{90, 180, 40}}, h, {{0, 360, 89}}} {
		clear := p.Clear(berlin, pass, h)
		for at := pass.AOS.Add(time.Second); at.Before(pass.LOS); at = at.Add(time.Second) {
			l := p.Look(berlin, at)
			over := l.ElDeg - h.MinElDeg(l.AzDeg)
			inside := false
			near := false
			for _, w := range clear {
				inside = inside || !w.Start.After(at) && w.End.After(at)
				near = near || at.Sub(w.Start).Abs() < 5*time.Millisecond || at.Sub(w.End).Abs() < 5*time.Millisecond
			}
			if inside != (over >= 0) && !near {
				t.Fatalf("%v %v: %v over the trees, clear %v", h, at, over, clear)
			}
		}
	}
	whole := p.Clear(berlin, pass, nil)
	if len(whole) != 1 || whole[0].Start.Sub(pass.AOS).Abs() > time.Millisecond || whole[0].End.Sub(pass.LOS).Abs() > time.Millisecond {
		t.Errorf("a level horizon: %v", whole)
	}
	if n := len(p.Clear(berlin, pass, Horizon{{0, 360, 89}})); n != 0 && pass.AtTCA.ElDeg < 89 {
		t.Errorf("%d stretches over 89°", n)
	}
}

func TestNearestSun(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	met := 0
	for _, pass := range p.Passes(berlin, tableFrom, tableTo, 0) {
		at, apart, ok := p.NearestSun(berlin, pass)
		if at.Before(pass.AOS) || at.After(pass.LOS) {
			t.Errorf("%v is outside the pass", at)
		}
		_, sunEl := berlin.Sun(at)
		if ok != (sunEl > -0.833) {
			t.Errorf("%v: sun at %v°, ok %v", at, sunEl, ok)
		}
		for look := pass.AOS; look.Before(pass.LOS); look = look.Add(time.Second) {
			l := p.Look(berlin, look)
			az, el := berlin.Sun(look)
			cos := math.Sin(radians(l.ElDeg))*math.Sin(radians(el)) +
				math.Cos(radians(l.ElDeg))*math.Cos(radians(el))*math.Cos(radians(l.AzDeg-az))
			if d := degrees(math.Acos(cos)); d < apart-1e-4 {
				t.Fatalf("%v: %.4f° apart, nearest %.4f°", look, d, apart)
			}
		}
		if ok && apart < 15 {
			met++
		}
	}
	t.Log(met, "passes within 15° of the Sun")
}

func TestDrift(t *testing.T) {
	day := 24 * time.Hour
	last := time.Duration(0)
	for days := range 31 {
		got := ochre.Drift(ochre.Epoch.Add(time.Duration(days) * day))
		if got != ochre.Drift(ochre.Epoch.Add(-time.Duration(days)*day)) || got <= last {
			t.Errorf("%d days: %v after %v", days, got, last)
		}
		last = got
	}
	// At the epoch and for a bird without drag: 1 km, then 2 km a day, at 7.5 km/s.
	still := ochre
	still.NDot = 0
	if got := still.Drift(ochre.Epoch); got != 133*time.Millisecond {
		t.Errorf("at the epoch %v", got)
	}
	if got := still.Drift(ochre.Epoch.Add(3 * day)); got != 933*time.Millisecond {
		t.Errorf("after three days %v", got)
	}
	if one, ten := ochre.Drift(ochre.Epoch.Add(day)), ochre.Drift(ochre.Epoch.Add(10*day)); ten < 12*one {
		t.Errorf("linear: %v, %v", one, ten)
	}
}
