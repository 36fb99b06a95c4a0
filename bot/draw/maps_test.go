package draw

import (
	"image/color"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/parse"
	"skyslate/predict"
)

func gridsOf(s string) []parse.Grid {
	var all []parse.Grid
	for w := range strings.FieldsSeq(s) {
		all = append(all, parse.MustParseGrid(w))
	}
	return all
}

// TestLand asks of well-known places whether they are land (common knowledge, and
// far enough from any shore), in frames on both sides of the date line.
func TestLand(t *testing.T) {
	for _, tt := range []struct {
		name     string
		lat, lon float64
		want     color.RGBA
	}{
		{"Berlin", 52.5, 13.4, pale},
		{"the Sahara", 23, 10, pale},
		{"the North Atlantic", 45, -35, white},
		{"the Caspian Sea", 41.5, 50.5, white},
		{"Kansas", 38.5, -98.5, pale},
		{"Chukotka, beyond 180°", 67, -177, pale},
		{"Chukotka, before 180°", 67, 175, pale},
		{"the Bering Sea", 57, 179, white},
		{"the Pacific at 180°", 5, 180, white},
		{"Antarctica", -82, 25, pale},
		{"Antarctica, at 180°", -85, 179, pale},
		{"the Arctic Ocean", 85, -170, white},
		{"Australia", -25, 133, pale},
	} {
		own := xy{tt.lon, tt.lat} // the sign of the own place stands beside what is asked
		w := Worked{OwnLat: tt.lat, OwnLon: tt.lon - 5, Grids: []parse.Grid{parse.GridAt(tt.lat, tt.lon-5, 4)}}
		m := w.flat(w.Grids)
		body, err := w.PNG()
		p := m.at(lonLat{own.x, own.y})
		if got := inkAt(decoded(t, body, err), p.x, p.y+3); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

// TestWorked finds each square worked in its ink, the newest in its own, and
// what was not worked in neither.
func TestWorked(t *testing.T) {
	w := Worked{
		Span: "all", Grids: gridsOf("JO33 JO43ab JN48 JN48 IO91 KP20 IM58"), Newest: gridsOf("IM58"), Agreed: gridsOf("JN48 IM58"),
		OwnLat: 62.5, OwnLon: -7, OwnName: "IP62",
	}
	body, err := w.PNG()
	m := decoded(t, body, err)
	f := w.flat(distinct(w.Grids))
	for grid, want := range map[string]color.RGBA{"JO33": blue, "JO43": blue, "JN48": blue, "IO91": blue, "KP20": blue, "IM58": yellow, "IN53": white, "JO90": pale} {
		g := parse.MustParseGrid(grid)
		p := f.at(centre(g))
		if got := inkAt(m, p.x, p.y); got != want {
			t.Errorf("%s: %v, want %v", grid, got, want)
		}
		corner := f.box(g, least)
		if got := inkAt(m, corner.x1+9, corner.y1); (got == black) != (grid == "JN48") && grid != "IM58" {
			t.Errorf("%s: the sign that it agrees: %v", grid, got)
		}
	}
	if n := len(distinct(w.Grids)); n != 6 {
		t.Errorf("%d squares, want 6", n)
	}
}

// TestWorkedSigns: the signs below the map are those that are on it.
func TestWorkedSigns(t *testing.T) {
	w := Worked{Grids: gridsOf("JO33 JN48"), OwnLat: 53.5, OwnLon: 9, OwnName: "JO43"}
	inks := func() map[color.RGBA]bool {
		body, err := w.PNG()
		m := decoded(t, body, err)
		found := map[color.RGBA]bool{}
		b := m.Bounds()
		for y := float64(b.Max.Y) - mapFoot/2; y < float64(b.Max.Y); y++ {
			for x := 0.0; x < width; x++ {
				found[inkAt(m, x, y)] = true
			}
		}
		return found
	}
	if found := inks(); !found[blue] || found[yellow] {
		t.Error("without a newest square: not the sign of the worked ones alone")
	}
	w.Newest = w.Grids
	if found := inks(); found[blue] || !found[yellow] {
		t.Error("newest squares alone: not their sign alone")
	}
}

func TestShortest(t *testing.T) {
	for _, tt := range []struct {
		lons       []float64
		west, wide float64
	}{
		{[]float64{7}, 7, 0},
		{[]float64{-10, 30, 5}, -10, 40},
		{[]float64{170, -160, 175}, 170, 30},
		{[]float64{-120, 0, 120}, -120, 240},
	} {
		var places []lonLat
		for _, lon := range tt.lons {
			places = append(places, lonLat{lon, 0})
		}
		if west, wide := shortest(places); west != tt.west || wide != tt.wide {
			t.Errorf("%v: %v, %v", tt.lons, west, wide)
		}
	}
}

// TestFramed: every place is inside the frame, wherever they are.
func TestFramed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var places []lonLat
		for range rapid.IntRange(1, 8).Draw(t, "places") {
			places = append(places, lonLat{rapid.Float64Range(-180, 179.9).Draw(t, "lon"), rapid.Float64Range(-89, 89).Draw(t, "lat")})
		}
		m := framed(places)
		frame := box{mapLeft - 1, mapTop - 1, width - mapLeft + 1, mapTop + m.high + 1}
		for _, p := range places {
			if at := m.at(p); !around(at, 0).inside(frame) {
				t.Fatalf("%v at %v is not in %v", p, at, frame)
			}
		}
	})
}

// reachOf is a pass over an invented place as bot makes it, more coarsely.
func reachOf(t testing.TB, site predict.Site) Reach {
	t.Helper()
	table := tableOf(t, "WICKET-1", morning)
	pass := table.Passes(site, morning, morning.Add(24*time.Hour), 0)[0]
	r := Reach{
		Bird: "WICKET-1", AOS: pass.AOS, LOS: pass.LOS, OwnLat: site.LatDeg, OwnLon: site.LonDeg,
		OwnName: parse.GridAt(site.LatDeg, site.LonDeg, 4).String(),
	}
	for lat := -89.5; lat < 90; lat++ {
		for lon := -179.0; lon < 180; lon += 2 {
			w := Window{Grid: parse.GridAt(lat, lon, 4)}
			for at := pass.AOS; at.Before(pass.LOS); at = at.Add(time.Minute) {
				if table.Look(predict.Site{LatDeg: lat, LonDeg: lon}, at).ElDeg >= 0 {
					if w.From.IsZero() {
						w.From = at
					}
					w.To = at
				}
			}
			if w.open() {
				r.Squares = append(r.Squares, w)
			}
		}
	}
	return r
}

// TestReach finds squares reached in white, others not, and the wanted one in its
// own ink.
func TestReach(t *testing.T) {
	r := reachOf(t, predict.Site{LatDeg: 62.5, LonDeg: -7})
	r.Wanted = []Window{{parse.MustParseGrid("IM58"), r.AOS, r.LOS}, {Grid: parse.MustParseGrid("FN31")}}
	body, err := r.PNG()
	m, pic := r.around(), decoded(t, body, err)
	reached := map[parse.Grid]bool{}
	for _, w := range r.Squares {
		reached[w.Grid] = true
	}
	at := func(grid string) color.RGBA {
		lat, lon := parse.MustParseGrid(grid).Center()
		p := m.at(lonLat{lon, lat})
		return inkAt(pic, p.x, p.y)
	}
	for grid, want := range map[string]bool{"HO34": true, "IN77": true, "JN76": true, "OL36": false, "FN63": false} {
		if reached[parse.MustParseGrid(grid)] != want {
			t.Fatalf("%s is reached: %v", grid, !want)
		}
	}
	for grid, want := range map[string]color.RGBA{"HO34": white, "IN77": white, "IM58": yellow, "FN63": pale} {
		if got := at(grid); got != want {
			t.Errorf("%s: %v, want %v", grid, got, want)
		}
	}
}

// TestOwnField: the field that one stands in is named beside the own place, wherever in
// it that is, and each field around it that is reached has its name, within its borders.
func TestOwnField(t *testing.T) {
	for _, site := range []predict.Site{{LatDeg: 62.5, LonDeg: -7}, {LatDeg: 47.3, LonDeg: 9.1}, {LatDeg: -33, LonDeg: 151}, {LatDeg: 50.1, LonDeg: 0.1}, {LatDeg: 40, LonDeg: -80.2}, {LatDeg: 69.5, LonDeg: 19}} {
		r := reachOf(t, site)
		c, err := newCanvas(int(mapTop + reachHigh))
		if err != nil {
			t.Fatal(err)
		}
		m := r.around()
		own := xy{m.x, m.y}
		c.keep(around(own, 36))
		fields, near := r.fields(m)
		for _, f := range fields[:near] {
			m.name(c, f)
		}
		if len(c.taken) < 2 || !c.taken[1].meets(around(own, 70)) {
			t.Errorf("%s: its field is not named beside it", r.OwnName)
		}
		if len(c.taken) != 1+near || near < 3 {
			t.Errorf("%s: %d names of %d fields around it", r.OwnName, len(c.taken)-1, near)
			continue
		}
		for i, b := range c.taken[1:] {
			middle := xy{(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2}
			if !around(middle, 1).isWithin(m.outline(fields[i].middle)) {
				t.Errorf("%s: the name at %v is outside its field %v", r.OwnName, middle, fields[i].middle)
			}
		}
	}
}

// TestPolar: direction and distance from the own place are true. A degree of a
// great circle is 111.195 km on a sphere with the mean radius of the Earth, 6,371.0
// km (Moritz, Geodetic Reference System 1980).
func TestPolar(t *testing.T) {
	m := polar{middle: predict.Site{}, x: 500, y: 500, perKm: 0.1}
	for _, tt := range []struct{ lon, lat, x, y float64 }{
		{10, 0, 500 + 111.195, 500},
		{-20, 0, 500 - 222.39, 500},
		{0, 10, 500, 500 - 111.195},
	} {
		if p := m.at(lonLat{tt.lon, tt.lat}); math.Hypot(p.x-tt.x, p.y-tt.y) > 0.5 {
			t.Errorf("%v, %v: %v, want %v, %v", tt.lon, tt.lat, p, tt.x, tt.y)
		}
	}
}

func BenchmarkWorked(b *testing.B) {
	w := Worked{Span: "all", Grids: gridsOf("JO33 JO43 JN48 IO91 KP20 IM58"), Newest: gridsOf("IM58"), OwnLat: 62.5, OwnLon: -7}
	bench(b, w.PNG)
}

func BenchmarkReach(b *testing.B) {
	bench(b, reachOf(b, predict.Site{LatDeg: 62.5, LonDeg: -7}).PNG)
}
