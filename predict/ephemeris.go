package predict

import (
	"fmt"
	"math"
	"time"
)

// Between nodes two minutes apart six-point interpolation is good to a third of
// a metre as long as the orbit is nearly round; else the minute is needed.
const (
	wideStep   = 120 // seconds between nodes
	narrowStep = 60
	roundEcc   = 0.02
	nodeBefore = 2 // nodes an interpolation needs before its moment
	nodeAfter  = 3 // and after it
)

const (
	minSpare = time.Hour // beyond the span, at both ends
	maxSpare = 25 * time.Hour
	maxSpan  = 400 * 24 * time.Hour

	// From the epoch. In deep space the propagator integrates from there in half
	// days, for each state anew.
	maxReach     = 100 * 365 * 24 * time.Hour
	maxDeepReach = maxReach / 10
)

// A node is a state in Earth-fixed axes.
type node struct{ pos, vel vec }

// An Ephemeris is the path of one satellite over the turning Earth: a table of
// states one or two minutes apart, whole seconds from the epoch, where the
// propagator is exact. Between them six-point Lagrange interpolation stays
// within a metre. It never changes, so any number of goroutines can share it.
//
// A day of one satellite takes 35 kB, twice that if the orbit is not round.
type Ephemeris struct {
	model    *model
	from, to time.Time // the span asked for
	step     float64   // seconds between nodes
	first    time.Time // moment of nodes[0], a whole number of steps from the epoch
	nodes    []node
	topSpeed float64 // km/s in Earth-fixed axes, of all nodes
	topRange float64 // km from the Earth's centre, of all nodes
}

// NewEphemeris computes the table of e for from ≤ t ≤ to, with one revolution
// to spare at both ends (an hour at least, 25 hours at most), so that passes
// that reach over the ends are known whole. It refuses, with a *Refusal,
// elements that the propagator gets wrong. It does not judge their age.
func NewEphemeris(e Elements, from, to time.Time) (*Ephemeris, error) {
	m, err := newModel(e)
	if err != nil {
		return nil, err
	}
	return newTable(m, from, to, nil)
}

// Moved is the table of the same elements for another span; states that both
// spans share are not computed again.
func (p *Ephemeris) Moved(from, to time.Time) (*Ephemeris, error) {
	return newTable(p.model, from, to, p)
}

func newTable(m *model, from, to time.Time, old *Ephemeris) (*Ephemeris, error) {
	if to.Before(from) || to.Sub(from) > maxSpan {
		return nil, fmt.Errorf("no table from %v to %v", from, to)
	}
	reach := maxReach
	if m.deep() {
		reach = maxDeepReach
	}
	if age := m.elements.Age(from); age > reach {
		return nil, m.elements.refused(Absurd, fmt.Sprintf("%.0f years away from the epoch", age.Hours()/24/365.25))
	}
	p := &Ephemeris{model: m, from: from.UTC().Round(0), to: to.UTC().Round(0), step: wideStep}
	if m.elements.Eccentricity > roundEcc {
		p.step = narrowStep
	}
	if err := p.fill(old); err != nil {
		return nil, err
	}
	return p, nil
}

// spare is how far the table reaches beyond its span.
func (p *Ephemeris) spare() time.Duration {
	return min(max(p.model.period(), minSpare), maxSpare)
}

// fill computes the nodes, taking over those that old has already.
func (p *Ephemeris) fill(old *Ephemeris) error {
	epoch := p.model.elements.Epoch
	step := time.Duration(p.step) * time.Second
	k := floorDiv(p.from.Add(-p.spare()).Sub(epoch), step) - nodeBefore
	end := floorDiv(p.to.Add(p.spare()).Sub(epoch), step) + nodeAfter
	p.first = epoch.Add(time.Duration(k) * step)
	p.nodes = make([]node, end-k+1)
	known, shift := []node(nil), 0
	if old != nil {
		known, shift = old.nodes, floorDiv(p.first.Sub(old.first), step)
	}
	for i := range p.nodes {
		n := &p.nodes[i]
		if j := i + shift; j >= 0 && j < len(known) {
			*n = known[j]
		} else if pos, vel, err := p.model.at((k + i) * int(p.step)); err != nil {
			return err
		} else {
			n.pos, n.vel = earthFixed(pos, vel, p.first.Add(time.Duration(i)*step))
		}
		p.topSpeed = max(p.topSpeed, n.vel.norm())
		p.topRange = max(p.topRange, n.pos.norm())
	}
	return nil
}

func floorDiv(d, step time.Duration) int {
	n := int(d / step)
	if d%step < 0 {
		n--
	}
	return n
}

// Elements is the set the table was made from.
func (p *Ephemeris) Elements() Elements { return p.model.elements }

// Span is what was asked for when the table was made.
func (p *Ephemeris) Span() (from, to time.Time) { return p.from, p.to }

// Look is the view from s at a moment of the span, without allocating. At a
// moment that the table does not reach, all of it is NaN.
func (p *Ephemeris) Look(s Site, at time.Time) Look {
	f := s.frame()
	return p.look(&f, p.seconds(at))
}

// seconds is t on the table's own axis: seconds since its first node.
func (p *Ephemeris) seconds(t time.Time) float64 { return t.Sub(p.first).Seconds() }

// moment is the inverse of seconds.
func (p *Ephemeris) moment(t float64) time.Time {
	return p.first.Add(time.Duration(math.Round(t * 1e9)))
}

func (p *Ephemeris) look(f *frame, t float64) Look {
	pos, vel := p.state(t)
	return f.look(pos, vel)
}

// reach is from where to where the table can be asked, a second left over for
// slopes.
func (p *Ephemeris) reach() (lo, hi float64) {
	return nodeBefore*p.step + 1, float64(len(p.nodes)-1-nodeAfter)*p.step - 1
}

// around finds the six nodes about t and the weights of Lagrange's
// interpolation through them (Abramowitz & Stegun, 25.2.3).
func (p *Ephemeris) around(t float64) (n *[6]node, w [6]float64) {
	u := t / p.step
	i := math.Floor(u)
	k := int(i) - nodeBefore
	if !(u >= 0) || k < 0 || k+6 > len(p.nodes) {
		nan := math.NaN()
		return (*[6]node)(p.nodes), [6]float64{nan, nan, nan, nan, nan, nan}
	}
	c := u - i
	a, b, d, e, f := c+2, c+1, c-1, c-2, c-3
	ab, cd, ef := a*b, c*d, e*f
	w = [6]float64{
		b * cd * ef / -120, a * cd * ef / 24, ab * d * ef / -12,
		ab * c * ef / 12, ab * cd * f / -24, ab * cd * e / 120,
	}
	return (*[6]node)(p.nodes[k:]), w
}

// position is the Earth-fixed place at t seconds after the first node. The sum
// is written out because most of the time of finding passes goes here.
func (p *Ephemeris) position(t float64) vec {
	n, w := p.around(t)
	return vec{
		w[0]*n[0].pos.x + w[1]*n[1].pos.x + w[2]*n[2].pos.x + w[3]*n[3].pos.x + w[4]*n[4].pos.x + w[5]*n[5].pos.x,
		w[0]*n[0].pos.y + w[1]*n[1].pos.y + w[2]*n[2].pos.y + w[3]*n[3].pos.y + w[4]*n[4].pos.y + w[5]*n[5].pos.y,
		w[0]*n[0].pos.z + w[1]*n[1].pos.z + w[2]*n[2].pos.z + w[3]*n[3].pos.z + w[4]*n[4].pos.z + w[5]*n[5].pos.z,
	}
}

// state is the Earth-fixed place and velocity. The velocity is the model's
// own, interpolated by itself, because it is not quite the derivative of the
// model's place: they differ by up to 0.8 m/s.
func (p *Ephemeris) state(t float64) (pos, vel vec) {
	n, w := p.around(t)
	for i := range n {
		pos.x += w[i] * n[i].pos.x
		pos.y += w[i] * n[i].pos.y
		pos.z += w[i] * n[i].pos.z
		vel.x += w[i] * n[i].vel.x
		vel.y += w[i] * n[i].vel.y
		vel.z += w[i] * n[i].vel.z
	}
	return pos, vel
}
