package predict

import (
	"math"
	"time"
)

// A Pass is one stretch of time above a lowest elevation. AOS and LOS are the
// true crossings of it; the zero time where there is none within a revolution
// (25 hours at most) of the span, as for a bird that never sets. TCA is the
// moment of maximum elevation. (The smallest range, where the Doppler shift is
// zero, is a second or so away on round orbits, up to 78 s on grazing passes
// of eccentric ones.)
type Pass struct {
	Name                string
	Catalog             int
	AOS, TCA, LOS       time.Time
	AtAOS, AtTCA, AtLOS Look // zero where the moment is
}

// Duration is the time from AOS to LOS, zero if one of them is missing.
func (p Pass) Duration() time.Duration {
	if p.AOS.IsZero() || p.LOS.IsZero() {
		return 0
	}
	return p.LOS.Sub(p.AOS)
}

// maxPull bounds the acceleration in km/s² in Earth-fixed axes at a height of
// 156 km and above, Coriolis' included.
const maxPull = 0.011

// Passes finds every pass over s of which any part lies in from ≤ t < to, in
// order. The window is cut to the span of the table.
func (p *Ephemeris) Passes(s Site, from, to time.Time, minElDeg float64) []Pass {
	from, to = p.within(from, to)
	if !from.Before(to) {
		return nil
	}
	w := watch{p: p, frame: s.frame(), sinMin: math.Sin(radians(minElDeg)), from: from, to: to}
	spare := p.spare().Seconds()
	w.scan(p.nodeAt(p.seconds(from)-spare), p.nodeAt(p.seconds(to)+spare)+1)
	return w.passes
}

// within cuts a window to the span of the table.
func (p *Ephemeris) within(from, to time.Time) (time.Time, time.Time) {
	if from.Before(p.from) {
		from = p.from
	}
	if to.After(p.to) {
		to = p.to
	}
	return from, to
}

// nodeAt is the last node not after t that can begin an interpolation.
func (p *Ephemeris) nodeAt(t float64) int {
	return min(max(int(t/p.step), nodeBefore), len(p.nodes)-1-nodeAfter)
}

// A watch follows one satellite over one horizon. Marks are moments in order,
// between which the elevation only rises or only falls; from a pair of marks
// on different sides of the horizon comes a crossing.
type watch struct {
	p      *Ephemeris
	frame  frame
	sinMin float64
	from   time.Time // the window
	to     time.Time

	last   mark
	on     bool    // last is set
	rise   float64 // NaN: up from the beginning
	top    mark    // highest since rise
	passes []Pass
}

type mark struct{ t, above float64 } // sine of the elevation less that of the lowest

func (w *watch) above(t float64) float64 {
	return w.frame.sinElevation(w.p.position(t)) - w.sinMin
}

// scan visits the nodes from first to end, leaping over those from which the
// horizon can't be reached.
func (w *watch) scan(first, end int) {
	// Between two nodes the height over the site's plane can exceed the higher
	// of them by the sagitta of the greatest acceleration.
	step := w.p.step
	floor := -maxPull * step * step / 8
	if w.sinMin < 0 {
		floor += w.sinMin * (w.p.topRange + 2*earthRadius)
	}
	reach := w.p.topSpeed * step
	for i := first; i < end; {
		height := w.frame.up.dot(w.p.nodes[i].pos.sub(w.frame.origin))
		if leap := int((floor - height) / reach); leap > 0 {
			i += leap
			w.on = false
			continue
		}
		w.visit(i)
		i++
	}
	if w.on && w.last.above >= 0 {
		w.close(math.NaN())
	}
}

// visit adds node i and, where the elevation turned since the node before, the
// turning point.
func (w *watch) visit(i int) {
	n := &w.p.nodes[i]
	t := float64(i) * w.p.step
	if w.on {
		b := &w.p.nodes[i-1]
		before, now := w.frame.climb(b.pos, b.vel), w.frame.climb(n.pos, n.vel)
		if (before < 0) != (now < 0) {
			turn := turning(w.above, t-w.p.step, t)
			w.add(mark{turn, w.above(turn)})
		}
	}
	w.add(mark{t, w.frame.sinElevation(n.pos) - w.sinMin})
}

func (w *watch) add(m mark) {
	switch up := m.above >= 0; {
	case !w.on:
		w.rise, w.top = math.NaN(), m
	case up && w.last.above < 0:
		w.rise = root(w.above, w.last.t, w.last.above, m.t, m.above)
		w.top = m
	case !up && w.last.above >= 0:
		w.close(root(w.above, w.last.t, w.last.above, m.t, m.above))
	case m.above > w.top.above:
		w.top = m
	}
	w.last, w.on = m, true
}

// close ends a pass at set, NaN if it goes on beyond the table, and keeps it
// if a part of it lies in the window.
func (w *watch) close(set float64) {
	if !math.IsNaN(w.rise) && !w.p.moment(w.rise).Before(w.to) || !math.IsNaN(set) && !w.p.moment(set).After(w.from) {
		return
	}
	top := w.top.t
	if math.IsNaN(w.rise) || math.IsNaN(set) {
		lo, hi := w.p.seconds(w.from), w.p.seconds(w.to)
		if w.rise > lo { // a NaN is not
			lo = w.rise
		}
		if set < hi {
			hi = set
		}
		top, _ = greatest(w.above, lo, hi, w.p.step)
	}
	e := &w.p.model.elements
	pass := Pass{Name: e.Name, Catalog: e.Catalog}
	pass.AOS, pass.AtAOS = w.event(w.rise)
	pass.TCA, pass.AtTCA = w.event(top)
	pass.LOS, pass.AtLOS = w.event(set)
	w.passes = append(w.passes, pass)
}

func (w *watch) event(t float64) (time.Time, Look) {
	if math.IsNaN(t) {
		return time.Time{}, Look{}
	}
	return w.p.moment(t), w.p.look(&w.frame, t)
}
