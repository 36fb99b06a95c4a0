package predict

import (
	"math"
	"time"
)

// The Earth of WGS 84 (NGA.STND.0036): semi-major axis in km, flattening, and
// the squared eccentricity of the meridian.
const (
	earthRadius     = 6378.137
	earthFlattening = 1 / 298.257223563
	earthEcc2       = earthFlattening * (2 - earthFlattening)
	earthTurn       = 7.292115e-5 // rad/s, AIAA 2006-6753
	lightSpeed      = 299792.458  // km/s
)

// A Site is a place on the Earth in WGS 84: geodetic latitude, longitude to
// the east, height above the ellipsoid.
type Site struct{ LatDeg, LonDeg, HeightM float64 }

// A frame is a site's place in Earth-fixed axes and its own east, north and up.
type frame struct{ origin, east, north, up vec }

func (s Site) frame() frame {
	sinLat, cosLat := math.Sincos(radians(s.LatDeg))
	sinLon, cosLon := math.Sincos(radians(s.LonDeg))
	n := earthRadius / math.Sqrt(1-earthEcc2*sinLat*sinLat)
	h := s.HeightM / 1000
	return frame{
		origin: vec{(n + h) * cosLat * cosLon, (n + h) * cosLat * sinLon, (n*(1-earthEcc2) + h) * sinLat},
		east:   vec{-sinLon, cosLon, 0},
		north:  vec{-sinLat * cosLon, -sinLat * sinLon, cosLat},
		up:     vec{cosLat * cosLon, cosLat * sinLon, sinLat},
	}
}

// sinElevation is the sine of the elevation of pos.
func (f *frame) sinElevation(pos vec) float64 {
	d := pos.sub(f.origin)
	return f.up.dot(d) / d.norm()
}

// climb has the sign of the elevation's rate of change.
func (f *frame) climb(pos, vel vec) float64 {
	d := pos.sub(f.origin)
	return f.up.dot(vel)*d.dot(d) - f.up.dot(d)*d.dot(vel)
}

func (f *frame) look(pos, vel vec) Look {
	d := pos.sub(f.origin)
	az, el := f.direction(d)
	r := d.norm()
	return Look{AzDeg: az, ElDeg: el, RangeKm: r, RangeRateKmS: d.dot(vel) / r}
}

// direction is the azimuth, 0 to 360 degrees, and the elevation of a vector
// from the site.
func (f *frame) direction(d vec) (azDeg, elDeg float64) {
	e, n, u := f.east.dot(d), f.north.dot(d), f.up.dot(d)
	azDeg = degrees(math.Atan2(e, n))
	if azDeg < 0 {
		azDeg += 360
	}
	return azDeg, degrees(math.Atan2(u, math.Hypot(e, n)))
}

// A Look is where a satellite stands as seen from a site: true azimuth, true
// elevation without refraction, distance, and its rate of change, positive
// when receding.
type Look struct{ AzDeg, ElDeg, RangeKm, RangeRateKmS float64 }

// ShiftHz is what one way of a signal on mhz gains in frequency: received
// minus sent, in Hz. Terms of second order (0.15 Hz on 70 cm) are left out.
func (l Look) ShiftHz(mhz float64) float64 { return -mhz * 1e6 * l.RangeRateKmS / lightSpeed }

// j2000 is noon of 2000-01-01 in Unix seconds.
const j2000 = 946728000

// daysSinceJ2000 is the time in whole days and a fraction, apart, because
// sidereal time needs the fraction with all its digits. UT1 is taken as UTC:
// a tenth of a second between them moves the ground by 46 m.
func daysSinceJ2000(t time.Time) (whole, fraction float64) {
	s := float64(t.Unix() - j2000)
	whole = math.Floor(s / 86400)
	return whole, (s - whole*86400 + float64(t.Nanosecond())*1e-9) / 86400
}

// siderealAngle is Greenwich mean sidereal time of 1982 in radians, not
// reduced to one turn (Aoki et al. 1982, Astronomy & Astrophysics 105, 359).
func siderealAngle(t time.Time) float64 {
	whole, fraction := daysSinceJ2000(t)
	c := (whole + fraction) / 36525
	seconds := 67310.54841 + c*(8640184.812866+c*(0.093104-c*6.2e-6))
	return radians(seconds/240) + 2*math.Pi*fraction
}

// earthFixed turns a state from the model's axes (TEME) into Earth-fixed ones,
// the velocity being the one seen from the turning Earth. Polar motion, at
// most 11 m, is left out.
func earthFixed(pos, vel vec, t time.Time) (vec, vec) {
	sin, cos := math.Sincos(siderealAngle(t))
	pos, vel = pos.turned(sin, cos), vel.turned(sin, cos)
	return pos, vec{vel.x + earthTurn*pos.y, vel.y - earthTurn*pos.x, vel.z}
}

// A vec is a vector in kilometres or kilometres a second.
type vec struct{ x, y, z float64 }

func (a vec) sub(b vec) vec       { return vec{a.x - b.x, a.y - b.y, a.z - b.z} }
func (a vec) scale(k float64) vec { return vec{k * a.x, k * a.y, k * a.z} }
func (a vec) dot(b vec) float64   { return a.x*b.x + a.y*b.y + a.z*b.z }
func (a vec) norm() float64       { return math.Sqrt(a.dot(a)) }
func (a vec) cross(b vec) vec {
	return vec{a.y*b.z - a.z*b.y, a.z*b.x - a.x*b.z, a.x*b.y - a.y*b.x}
}

// turned returns a as seen from axes that are turned about z by the angle
// whose sine and cosine are given: R3 of the textbooks.
func (a vec) turned(sin, cos float64) vec {
	return vec{cos*a.x + sin*a.y, -sin*a.x + cos*a.y, a.z}
}

func radians(deg float64) float64 { return deg * (math.Pi / 180) }
func degrees(rad float64) float64 { return rad * (180 / math.Pi) }
