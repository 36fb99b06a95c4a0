package predict

import (
	"math"
	"time"
)

// A Window is a stretch of time in which two sites see the satellite at once.
type Window struct {
	Name       string
	Catalog    int
	Start, End time.Time // true crossings; the end of the span where there is none
	AtMid      Look      // from the first site, in the middle of the window
	WithMid    Look      // from the second
}

// Windows finds the common windows of two sites above minElDeg at both, of
// which any part lies in from ≤ t < to, in order.
func Windows(p *Ephemeris, a, b Site, from, to time.Time, minElDeg float64) []Window {
	ours, theirs := p.Passes(a, from, to, minElDeg), p.Passes(b, from, to, minElDeg)
	from, to = p.within(from, to)
	lo, hi := p.seconds(from), p.seconds(to)
	var out []Window
	for i, j := 0, 0; i < len(ours) && j < len(theirs); {
		rise1, set1 := p.bounds(ours[i])
		rise2, set2 := p.bounds(theirs[j])
		start, end := math.Max(rise1, rise2), math.Min(set1, set2)
		if start < end && start < hi && end > lo {
			out = append(out, p.window(a, b, start, end))
		}
		if set1 < set2 {
			i++
		} else {
			j++
		}
	}
	return out
}

func (p *Ephemeris) window(a, b Site, start, end float64) Window {
	mid := p.moment((start + end) / 2)
	e := p.Elements()
	return Window{
		Name: e.Name, Catalog: e.Catalog, Start: p.moment(start), End: p.moment(end),
		AtMid: p.Look(a, mid), WithMid: p.Look(b, mid),
	}
}

const (
	reachMarginDeg = 2  // for refraction, hills and the flattening of the Earth
	reachSeconds   = 10 // the footprint moves 0.7° meanwhile
)

// Reaches says whether any part of a rectangle of latitude and longitude comes
// within the footprint at any moment of the pass: within the angle at the
// Earth's centre at which the satellite stands on the horizon, and 2° more. A
// station in a rectangle that is not reached can't have been worked. The
// rectangle may span the date line: eastDeg is then less than westDeg.
func (p *Ephemeris) Reaches(pass Pass, southDeg, westDeg, northDeg, eastDeg float64) bool {
	lo, hi := p.bounds(pass)
	for t := lo; ; t = math.Min(t+reachSeconds, hi) {
		pos := p.position(t)
		r := pos.norm()
		below := Site{LatDeg: degrees(math.Asin(pos.z / r)), LonDeg: degrees(math.Atan2(pos.y, pos.x))}
		footprint := math.Acos(math.Min(1, groundRadius/r)) + radians(reachMarginDeg)
		if arcToBox(below, southDeg, westDeg, northDeg, eastDeg) <= footprint {
			return true
		}
		if t >= hi {
			return false
		}
	}
}

// arcToBox is the central angle in radians from a place to the nearest part of
// a rectangle. Inside its longitudes that is straight along the meridian, else
// it is a corner or the foot of the perpendicular on one of its meridians.
func arcToBox(s Site, south, west, north, east float64) float64 {
	if turn(s.LonDeg-west) <= turn(east-west) {
		return arc(s, Site{LatDeg: math.Max(south, math.Min(north, s.LatDeg)), LonDeg: s.LonDeg})
	}
	sin, cos := math.Sincos(radians(s.LatDeg))
	nearest := math.Inf(1)
	for _, lon := range [2]float64{west, east} {
		foot := degrees(math.Atan2(sin, cos*math.Cos(radians(s.LonDeg-lon))))
		for _, lat := range [3]float64{south, north, foot} {
			if lat >= south && lat <= north {
				nearest = math.Min(nearest, arc(s, Site{LatDeg: lat, LonDeg: lon}))
			}
		}
	}
	return nearest
}

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
