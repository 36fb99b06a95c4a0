package predict

import (
	"math"
	"time"
)

const (
	astronomicalUnit = 149597870.7 // km, IAU 2012
	sunRadius        = 696000      // km
	sunriseDeg       = -0.833      // upper limb on the horizon, refraction of 34'
	sunSeconds       = 20
)

// sunFixed is the apparent place of the Sun's centre in km in Earth-fixed
// axes, by the low-precision formula of the Astronomical Almanac (Vallado,
// Fundamentals of Astrodynamics and Applications, algorithm 29): 0.01° from
// 1950 to 2050.
func sunFixed(t time.Time) vec {
	whole, fraction := daysSinceJ2000(t)
	c := (whole + fraction) / 36525
	anomaly := radians(357.5291092 + 35999.05034*c)
	sinM, cosM := math.Sincos(anomaly)
	sin2M, cos2M := math.Sincos(2 * anomaly)
	sinL, cosL := math.Sincos(radians(280.460 + 36000.77*c + 1.914666471*sinM + 0.019994643*sin2M))
	sinE, cosE := math.Sincos(radians(23.439291 - 0.0130042*c))
	r := astronomicalUnit * (1.000140612 - 0.016708617*cosM - 0.000139589*cos2M)
	sin, cos := math.Sincos(siderealAngle(t))
	return vec{cosL, cosE * sinL, sinE * sinL}.scale(r).turned(sin, cos)
}

// Sun is the geometric direction of the Sun's centre from the site: true
// azimuth and elevation without refraction. It is day above -0.833°.
func (s Site) Sun(at time.Time) (azDeg, elDeg float64) {
	f := s.frame()
	return f.direction(sunFixed(at).sub(f.origin))
}

// NearestSun is when, during a pass, the Sun stands nearest to the satellite in
// the sky of the site, and how far apart in degrees: the antenna is pointed
// into the Sun, which adds noise and blinds its holder. ok is false if the Sun
// is below the horizon then.
func (p *Ephemeris) NearestSun(s Site, pass Pass) (at time.Time, apartDeg float64, ok bool) {
	f := s.frame()
	near := func(t float64) float64 { // less the farther apart
		toSun, toBird := sunFixed(p.moment(t)).sub(f.origin), p.position(t).sub(f.origin)
		return -math.Atan2(toSun.cross(toBird).norm(), toSun.dot(toBird))
	}
	lo, hi := p.bounds(pass)
	nearest, most := greatest(near, lo, hi, sunSeconds)
	_, el := s.Sun(p.moment(nearest))
	return p.moment(nearest), degrees(-most), el > sunriseDeg
}

// A Light is a moment from which the satellite is, or is not, lit.
type Light struct {
	At  time.Time
	Lit bool
}

// lightSeconds is how far apart changes of light are looked for.
const lightSeconds = 60

// Sunlit says whether the satellite is lit at from, and lists the changes until
// to, as far as the table reaches with its spare ends. Dark is the umbra, where the
// Sun is wholly hidden, of a spherical Earth with the radius of the equator
// (Montenbruck & Gill, Satellite Orbits, 3.4). Models of the shadow differ by 5 to
// 12 s, up to 78 s where the orbit grazes it.
func (p *Ephemeris) Sunlit(from, to time.Time) []Light {
	first, last := p.reach()
	lo, hi := max(p.seconds(from), first), min(p.seconds(to), last)
	if !(lo < hi) {
		return nil
	}
	out := []Light{{p.moment(lo), p.clearOfShadow(lo) >= 0}}
	crossings(p.clearOfShadow, lo, hi, lightSeconds, func(t float64, rising bool) {
		out = append(out, Light{p.moment(t), rising})
	})
	return out
}

// clearOfShadow is the angle in radians between the satellite and the edge of
// the umbra, negative inside.
func (p *Ephemeris) clearOfShadow(t float64) float64 {
	pos := p.position(t)
	toSun := sunFixed(p.moment(t)).sub(pos)
	r, s := pos.norm(), toSun.norm()
	apart := math.Atan2(toSun.cross(pos).norm(), -toSun.dot(pos))
	return apart - (math.Asin(earthRadius/r) - math.Asin(sunRadius/s))
}
