package predict

import "math"

// riseMarginDeg makes up for what EverRises leaves out: the flattening of the
// Earth in latitudes and in the site's vertical (0.2° each), and orbits that
// change.
const riseMarginDeg = 1

// EverRises says whether a satellite can come above the horizon of a site at
// all: false where even at the greatest latitude that its inclination allows it
// stays below. It does not know that some orbits keep to one side of the
// Earth.
func (e Elements) EverRises(s Site) bool {
	apogee := meanAxis(e) * (1 + e.Eccentricity)
	if !(apogee > earthRadius) {
		return false
	}
	greatest := math.Min(e.InclinationDeg, 180-e.InclinationDeg)
	footprint := degrees(math.Acos(earthRadius / apogee))
	return math.Abs(s.LatDeg) <= greatest+footprint+riseMarginDeg
}
