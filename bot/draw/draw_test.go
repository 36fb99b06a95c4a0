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
