package draw

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/sfnt"
	"pgregory.net/rapid"

	"skyslate/parse"
	"skyslate/predict"
)

// tableOf is a day of an invented bird.
func tableOf(t testing.TB, bird string, from time.Time) *predict.Ephemeris {
	t.Helper()
	f, err := os.Open("../rehearsal/elements.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sets, _, err := predict.ReadElements(f, "elements.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range sets {
		if e.Name == bird {
			table, err := predict.NewEphemeris(e, from, from.Add(24*time.Hour))
			if err != nil {
				t.Fatal(err)
			}
			return table
		}
	}
	t.Fatalf("no elements of %s", bird)
	return nil
}

var morning = time.Date(2027, 5, 23, 10, 30, 0, 0, time.UTC)

// passOver is the next pass of an invented bird, from its elements to what is
// drawn.
func passOver(t testing.TB, bird string, site predict.Site, mhz float64) Sky {
	t.Helper()
	table := tableOf(t, bird, morning)
	pass := table.Passes(site, morning, morning.Add(24*time.Hour), 0)[0]
	spot := func(at time.Time) Spot {
		l := table.Look(site, at)
		return Spot{at, l.AzDeg, l.ElDeg}
	}
	s := Sky{Bird: pass.Name, Side: "receive", Peak: spot(pass.TCA)}
	for at := pass.AOS; at.Before(pass.LOS); at = at.Add(5 * time.Second) {
		s.Track = append(s.Track, spot(at))
	}
	s.Track = append(s.Track, spot(pass.LOS))
	for _, step := range table.Steps(site, pass, mhz, 5, predict.Receive) {
		s.Turns = append(s.Turns, Turn{spot(step.At), fmt.Sprintf("%.3f", step.DialMHz)})
	}
	az, el := site.Sun(pass.TCA)
	s.Sun = Spot{pass.TCA, az, el}
	return s
}

// skies are passes of all kinds: hills on two sides, nothing to dial, as much as
// there ever is, and night.
func skies(t testing.TB) map[string]Sky {
	hills := passOver(t, "WICKET-1", predict.Site{LatDeg: 62.5, LonDeg: -7}, 436.235)
	hills.Horizon = predict.Horizon{{FromDeg: 250, ToDeg: 320, MinElDeg: 18}, {FromDeg: 20, ToDeg: 80, MinElDeg: 8}}
	plain := passOver(t, "WICKET-1", predict.Site{LatDeg: 62.5, LonDeg: 10}, 145.9)
	plain.Turns, plain.Side = nil, ""
	full := passOver(t, "WICKET-1", predict.Site{LatDeg: 54.6, LonDeg: -8.8}, 1296)
	full.Horizon = predict.Horizon{{FromDeg: 0, ToDeg: 360, MinElDeg: 15}}
	night := passOver(t, "HAYLOFT-2", predict.Site{LatDeg: -33, LonDeg: 151}, 435.31)
	return map[string]Sky{"hills": hills, "plain": plain, "full": full, "night": night}
}

func decoded(t testing.TB, body []byte, err error) image.Image {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	m, err := png.Decode(bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func inkAt(m image.Image, x, y float64) color.RGBA {
	return color.RGBAModel.Convert(m.At(int(x), int(y))).(color.RGBA)
}

// TestSkySize holds the pictures to what a thin connection bears.
func TestSkySize(t *testing.T) {
	for name, s := range skies(t) {
		body, err := s.PNG()
		if m := decoded(t, body, err); m.Bounds().Dx() != width {
			t.Errorf("%s: %v", name, m.Bounds())
		}
		if len(body) > 60_000 {
			t.Errorf("%s: %d bytes", name, len(body))
		}
		again, _ := s.PNG()
		if !bytes.Equal(body, again) {
			t.Errorf("%s: drawn twice, not the same", name)
		}
	}
}

// TestSkyPlaces looks for what is drawn where the sky has it: overhead in the
// middle, true north up, east right, as a map is held.
func TestSkyPlaces(t *testing.T) {
	const near = 1e-9
	for _, tt := range []struct{ az, el, x, y float64 }{
		{0, 0, domeX, domeY - domeR},
		{90, 0, domeX + domeR, domeY},
		{180, 45, domeX, domeY + domeR/2},
		{270, 0, domeX - domeR, domeY},
		{123, 90, domeX, domeY},
		{0, -1, domeX, domeY - domeR}, // a hair below the horizon is on the rim
	} {
		if p := place(tt.az, tt.el); math.Abs(p.x-tt.x) > near || math.Abs(p.y-tt.y) > near {
			t.Errorf("place(%v, %v) = %v, want %v, %v", tt.az, tt.el, p, tt.x, tt.y)
		}
	}
	s := skies(t)["hills"]
	body, err := s.PNG()
	m := decoded(t, body, err)
	at := func(az, el float64) color.RGBA { p := place(az, el); return inkAt(m, p.x, p.y) }
	first, last := s.Track[0], s.Track[len(s.Track)-1]
	third := s.Track[len(s.Track)/3]
	for _, tt := range []struct {
		what string
		got  color.RGBA
		want []color.RGBA
	}{
		{"sun", at(s.Sun.AzDeg, s.Sun.ElDeg), []color.RGBA{yellow}},
		{"AOS, filled", at(first.AzDeg, 0), []color.RGBA{black}},
		{"LOS, hollow", at(last.AzDeg, 0), []color.RGBA{white}},
		{"peak", at(s.Peak.AzDeg, s.Peak.ElDeg), []color.RGBA{white}},
		{"track", at(third.AzDeg, third.ElDeg), []color.RGBA{black}},
		{"hills in the west", at(300, 15), []color.RGBA{dark, pale}},
		{"sky above them", at(285, 25), []color.RGBA{white}},
		{"open sky", at(150, 10), []color.RGBA{white}},
	} {
		if !contains(tt.want, tt.got) {
			t.Errorf("%s: %v, want one of %v", tt.what, tt.got, tt.want)
		}
	}
}

func contains(all []color.RGBA, c color.RGBA) bool {
	return slices.Contains(all, c)
}

func TestSkyWithoutSun(t *testing.T) {
	s := skies(t)["hills"]
	s.Sun.ElDeg = -0.9
	body, err := s.PNG()
	m := decoded(t, body, err)
	if p := place(s.Sun.AzDeg, 0); inkAt(m, p.x, p.y) == yellow {
		t.Error("the sun is drawn below the horizon")
	}
}

// TestSkyNow marks the bird while the pass runs, and not before or after.
func TestSkyNow(t *testing.T) {
	s := skies(t)["hills"]
	third := s.Track[len(s.Track)/3]
	for now, want := range map[time.Time]color.RGBA{third.At: blue, {}: black, morning.Add(9 * time.Hour): black} {
		s.Now = now
		body, err := s.PNG()
		p := third.place()
		if got := inkAt(decoded(t, body, err), p.x, p.y); got != want {
			t.Errorf("at %v: %v, want %v", now, got, want)
		}
	}
}

func TestSkyRefused(t *testing.T) {
	if body, err := (Sky{Bird: "WICKET-1"}).PNG(); err == nil {
		t.Errorf("a picture without a track: %d bytes", len(body))
	}
}

// TestBetween follows a track over north, where azimuths leap.
func TestBetween(t *testing.T) {
	s := Sky{Track: []Spot{{morning, 350, 10}, {morning.Add(10 * time.Second), 10, 20}}}
	for sec, want := range map[float64]Spot{0: {AzDeg: 350, ElDeg: 10}, 5: {AzDeg: 360, ElDeg: 15}, 99: {AzDeg: 10, ElDeg: 20}} {
		got := s.between(morning.Add(time.Duration(sec * float64(time.Second))))
		if math.Abs(got.AzDeg-want.AzDeg) > 1e-9 || math.Abs(got.ElDeg-want.ElDeg) > 1e-9 {
			t.Errorf("after %v s: %+v, want %+v", sec, got, want)
		}
	}
}

// TestLabels: whatever is set, no label covers another, a place kept, or the edge
// of the frame.
func TestLabels(t *testing.T) {
	c, err := newCanvas(600)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		c.taken = nil
		frame := box{20, 30, 900, 560}
		for range rapid.IntRange(1, 12).Draw(t, "labels") {
			p := xy{rapid.Float64Range(0, 1000).Draw(t, "x"), rapid.Float64Range(0, 600).Draw(t, "y")}
			c.label("10:42", p, 20, rapid.Float64Range(0, 360).Draw(t, "towards"), sizeLabel, frame, black, white)
		}
		for i, a := range c.taken {
			if !a.inside(frame) {
				t.Fatalf("%v is not in %v", a, frame)
			}
			for _, b := range c.taken[:i] {
				if a.meets(b) {
					t.Fatalf("%v covers %v", a, b)
				}
			}
		}
	})
}

// TestFontLicence: the licence travels inside the font, and stands beside it.
func TestFontLicence(t *testing.T) {
	f, err := sfnt.Parse(gobold.TTF)
	if err != nil {
		t.Fatal(err)
	}
	inside, err := f.Name(nil, sfnt.NameIDLicense)
	if err != nil || !strings.Contains(inside, "Redistribution and use") {
		t.Errorf("inside: %q, %v", inside, err)
	}
	beside, err := os.ReadFile("LICENSE-fonts.txt")
	if err != nil || !strings.Contains(string(beside), "Redistribution and use") {
		t.Errorf("beside: %v", err)
	}
}

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

// TestExtremes draws what nobody expects: poles, the date line, nothing at all.
func TestExtremes(t *testing.T) {
	for _, own := range []lonLat{{0, 90}, {0, -90}, {180, 0}, {-180, 89.9}} {
		_, err := Worked{OwnLat: own.lat, OwnLon: own.lon, Grids: gridsOf("AA00 RR99"), Newest: gridsOf("RR99 RA90")}.PNG()
		if err != nil {
			t.Errorf("worked at %v: %v", own, err)
		}
		_, err = Reach{OwnLat: own.lat, OwnLon: own.lon, AOS: morning, LOS: morning.Add(time.Minute), Squares: []Window{{parse.MustParseGrid("RR99"), morning, morning.Add(time.Second)}}, Wanted: []Window{{}}}.PNG()
		if err != nil {
			t.Errorf("reach at %v: %v", own, err)
		}
	}
	if _, err := (Worked{}).PNG(); err != nil {
		t.Error(err)
	}
	if _, err := (Reach{}).PNG(); err != nil {
		t.Error(err)
	}
}

func bench(b *testing.B, make func() ([]byte, error)) {
	var body []byte
	for b.Loop() {
		var err error
		if body, err = make(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(body)), "bytes/picture")
}

// The budget of a sky picture is 50 ms and 60,000 bytes.
func BenchmarkSky(b *testing.B) {
	for name, s := range skies(b) {
		b.Run(name, func(b *testing.B) { bench(b, s.PNG) })
	}
}

func BenchmarkWorked(b *testing.B) {
	w := Worked{Span: "all", Grids: gridsOf("JO33 JO43 JN48 IO91 KP20 IM58"), Newest: gridsOf("IM58"), OwnLat: 62.5, OwnLon: -7}
	bench(b, w.PNG)
}

func BenchmarkReach(b *testing.B) {
	bench(b, reachOf(b, predict.Site{LatDeg: 62.5, LonDeg: -7}).PNG)
}

// A long name is written smaller: it leaves what stands beside it, and the edge.
func TestLongNames(t *testing.T) {
	const long = "LONG-NAMED-INVENTED-BIRD"
	s, r := skies(t)["plain"], reachOf(t, predict.Site{LatDeg: 62.5, LonDeg: -7})
	w := Worked{Grids: gridsOf("JO33"), Newest: gridsOf("JO33 JO43 JO34 JO44"), Span: s.Bird, OwnLat: 62.5, OwnLon: -7}
	pictures := func() (all [3]image.Image) {
		for i, draw := range []func() ([]byte, error){s.PNG, r.PNG, w.PNG} {
			body, err := draw()
			all[i] = decoded(t, body, err)
		}
		return all
	}
	short := pictures()
	s.Bird, r.Bird, w.Span = long, long, long
	for i, m := range pictures() {
		left := []int{width - 320, width - 40, width - 560}[i] // of what a name must not reach
		for y := range 180 {
			for x := left; x < width; x++ {
				is, was := int(inkAt(m, float64(x), float64(y)).G), int(inkAt(short[i], float64(x), float64(y)).G)
				if max(is-was, was-is) > 128 { // edges may fall to another ink
					t.Fatalf("picture %d differs at %d, %d", i, x, y)
				}
			}
		}
	}
}
