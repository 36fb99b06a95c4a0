package predict

import (
	"math"
	"testing"
	"time"
)

func utc(y int, m time.Month, d, h, min, s int) time.Time {
	return time.Date(y, m, d, h, min, s, 0, time.UTC)
}

// Worked examples: Meeus, Astronomical Algorithms (2nd ed.), examples 12.a and
// 12.b; Vallado, Fundamentals of Astrodynamics and Applications, example 3-5.
func TestSiderealAngle(t *testing.T) {
	for _, tt := range []struct {
		at   time.Time
		want float64
	}{
		{utc(1987, 4, 10, 0, 0, 0), 197.693195},
		{utc(1987, 4, 10, 19, 21, 0), 128.7378734},
		{utc(1992, 8, 20, 12, 14, 0), 152.57878781},
	} {
		if got := turn(degrees(siderealAngle(tt.at))); math.Abs(got-tt.want) > 1e-6 {
			t.Errorf("%v: %.7f, want %.7f", tt.at, got, tt.want)
		}
	}
}

// Worked examples: Vallado, example 5-1 (a vector in astronomical units, of
// date); Meeus, example 25.a (apparent right ascension and declination).
func TestSunExamples(t *testing.T) {
	of := func(at time.Time) vec {
		sin, cos := math.Sincos(-siderealAngle(at))
		return sunFixed(at).turned(sin, cos)
	}
	got := of(utc(2006, 4, 2, 0, 0, 0)).scale(1 / astronomicalUnit)
	if d := got.sub(vec{0.9771945, 0.1924424, 0.0834308}).norm(); d > 1e-6 {
		t.Errorf("%+v, off by %v", got, d)
	}
	got = of(utc(1992, 10, 13, 0, 0, 0))
	ra, dec := turn(degrees(math.Atan2(got.y, got.x))), degrees(math.Asin(got.z/got.norm()))
	if math.Abs(ra-198.38083) > 0.01 || math.Abs(dec+7.78507) > 0.01 {
		t.Errorf("right ascension %.5f, declination %.5f", ra, dec)
	}
}

// WGS 84 by hand: at the equator and the pole the axes themselves; at 45° the
// prime vertical's radius a/√(1−e²/2) = 6388.838 km.
func TestSiteFrames(t *testing.T) {
	for _, tt := range []struct {
		site Site
		want vec
	}{
		{Site{}, vec{6378.137, 0, 0}},
		{Site{LonDeg: 90, HeightM: 1000}, vec{0, 6379.137, 0}},
		{Site{LatDeg: 90}, vec{0, 0, 6356.7523142}},
		{Site{LatDeg: -90, LonDeg: 33, HeightM: 500}, vec{0, 0, -6357.2523142}},
		{Site{LatDeg: 45, LonDeg: 180}, vec{-4517.590879, 0, 4487.348409}},
	} {
		if got := tt.site.frame().origin; got.sub(tt.want).norm() > 1e-6 {
			t.Errorf("%+v: %+v, want %+v", tt.site, got, tt.want)
		}
	}
}

func TestCompassPoint(t *testing.T) {
	for az, want := range map[float64]string{
		0: "N", 11.24: "N", 11.26: "NNE", 45: "NE", 90: "E", 180: "S", 247.5: "WSW", 337.5: "NNW", 348.7: "NNW", 348.8: "N", 360: "N", -90: "W", 450: "E",
	} {
		if got := CompassPoint(az); got != want {
			t.Errorf("%v: %s, want %s", az, got, want)
		}
	}
}

// Day and dark: at the March equinox of 2026 (20 March, 14:46 UTC) the Sun
// stands over the equator; at a pole it lies on the horizon; at noon UTC over
// the Gulf of Guinea it is overhead to within the equation of time.
func TestSunAtSite(t *testing.T) {
	equinox := utc(2026, 3, 20, 14, 46, 0)
	for _, lat := range []float64{90, -90} {
		if _, el := (Site{LatDeg: lat}).Sun(equinox); math.Abs(el) > 0.02 {
			t.Errorf("at %v°: %.4f", lat, el)
		}
	}
	if _, el := (Site{}).Sun(utc(2026, 3, 20, 12, 7, 26)); el < 89.8 {
		t.Errorf("overhead: %v", el)
	}
	if az, el := (Site{LatDeg: 52.5, LonDeg: 13.4}).Sun(utc(2026, 6, 21, 23, 0, 0)); el > -12 || az > 30 && az < 330 {
		t.Errorf("midnight: %v %v", az, el)
	}
}
