package predict

// A Sector is what hides the sky from one azimuth clockwise to another: below
// MinElDeg nothing is seen. FromDeg may be greater than ToDeg, over north; 0 to
// 360 is all round.
type Sector struct{ FromDeg, ToDeg, MinElDeg float64 }

// A Horizon is a site's own: trees and hills. Where sectors overlap the higher
// one holds, where there is none the level horizon.
type Horizon []Sector

// MinElDeg is the lowest elevation seen at an azimuth.
func (h Horizon) MinElDeg(azDeg float64) float64 {
	lowest := 0.0
	for _, s := range h {
		if s.ToDeg-s.FromDeg >= 360 || turn(azDeg-s.FromDeg) <= turn(s.ToDeg-s.FromDeg) {
			lowest = max(lowest, s.MinElDeg)
		}
	}
	return lowest
}

// clearSeconds is how far apart changes are looked for. At the edge of a
// sector the horizon jumps, so this is shorter than elsewhere.
const clearSeconds = 10

// Clear finds when the satellite stands above the site's own horizon during a
// pass: each stretch as a Window whose AtMid is from the site.
func (p *Ephemeris) Clear(s Site, pass Pass, h Horizon) []Window {
	f := s.frame()
	above := func(t float64) float64 {
		l := p.look(&f, t)
		return l.ElDeg - h.MinElDeg(l.AzDeg)
	}
	lo, hi := p.bounds(pass)
	if !(lo < hi) {
		return nil
	}
	var out []Window
	stretch := func(start, end float64) {
		w := p.window(s, s, start, end)
		w.WithMid = Look{}
		out = append(out, w)
	}
	start, up := lo, above(lo+rootSeconds) >= 0
	crossings(above, lo+rootSeconds, hi-rootSeconds, clearSeconds, func(t float64, rising bool) {
		if up && !rising {
			stretch(start, t)
		}
		start, up = t, rising
	})
	if up {
		stretch(start, hi)
	}
	return out
}
