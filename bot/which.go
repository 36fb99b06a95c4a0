package bot

import (
	"cmp"
	"slices"
	"time"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// How far a line may be from the pass it belongs to.
const (
	// lookBack is how long the last pass stays the one that lines belong to.
	lookBack = 12 * time.Hour
	// lookAhead is how long before AOS a bird may be named.
	lookAhead = 20 * time.Minute
	// lingering is how long after LOS a pass that nobody armed may still be the
	// one that lines belong to.
	lingering = 5 * time.Minute
	// earlySlack is how long before the AOS worked out a bird may be heard.
	earlySlack = 30 * time.Second
	// clockSlack is how far outside a pass a typed time may lie: watches
	// differ, and overs cross AOS and LOS.
	clockSlack = 2 * time.Minute
)

// A filing says which pass a line belongs to. Without a pass the bird may
// still be known; with rivals more than one pass could be meant.
type filing struct {
	pass   storage.Pass
	bird   predict.Bird
	rivals []storage.Pass
	// named says that the bird was named in so many words.
	named bool
	// part is after how many lines that name its bird it stands in a delivery.
	part int
	// late says that the message was delivered late, so that its stamp says
	// nothing about when the contact was made.
	late bool
}

// under files under one pass.
func (p *plan) under(pass storage.Pass) filing {
	bird, _ := p.sky.ByCatalog(pass.Bird.Catalog)
	return filing{pass: pass, bird: bird}
}

// amid files under the only one of several passes, or asks.
func (p *plan) amid(passes []storage.Pass) filing {
	if len(passes) == 1 {
		return p.under(passes[0])
	}
	return filing{rivals: passes}
}

// filingAt says which pass a line sent at a moment belongs to, if the line
// itself doesn't say: the pass chosen by hand; else the armed one that is up;
// else the bird followed that is up; else the last pass, until the next armed
// one begins.
func (p *plan) filingAt(at time.Time) filing {
	if chosen, ok := p.pass(p.op.Chosen); ok && p.holds(chosen, at) {
		return p.under(chosen)
	}
	near := p.passesIn(at.Add(-lookBack), at.Add(earlySlack))
	if bird, ok := p.named(near, at); ok {
		return filing{bird: bird, named: true}
	}
	up := only(near, func(pass storage.Pass) bool { return pass.LOS.After(at) })
	if armed := only(up, storage.Pass.Followed); len(armed) > 0 {
		return p.amid(armed)
	}
	if known := only(up, p.follows); len(known) > 0 {
		return p.amid(append(p.justEnded(near, known[0].AOS, at), known...))
	}
	if last := p.lastBefore(near, at); len(last) > 0 {
		return p.amid(last)
	}
	return filing{rivals: up}
}

// justEnded returns the last pass that was followed or worked, if it ended during
// another that nobody armed, or moments ago: a late line may mean either.
func (p *plan) justEnded(near []storage.Pass, rose, at time.Time) []storage.Pass {
	return only(p.lastBefore(near, at), func(pass storage.Pass) bool {
		return pass.LOS.After(rose) || at.Sub(pass.LOS) <= lingering
	})
}

// named returns the bird that was named though no pass of it could be worked
// out, for want of elements. It holds until the next armed pass begins.
func (p *plan) named(near []storage.Pass, at time.Time) (predict.Bird, bool) {
	since := p.op.NamedAt
	if p.op.Named == 0 || at.Before(since) || at.Sub(since) > lookBack {
		return predict.Bird{}, false
	}
	if slices.ContainsFunc(near, func(pass storage.Pass) bool { return pass.Followed() && pass.AOS.After(since) }) {
		return predict.Bird{}, false
	}
	bird, ok := p.sky.ByCatalog(p.op.Named)
	return bird, ok && !p.predicted(bird)
}

// predicted reports whether the passes of a bird can be worked out.
func (p *plan) predicted(bird predict.Bird) bool {
	_, err := p.sky.Ephemeris(bird.Catalog, p.now(), p.now())
	return err == nil
}

// holds reports whether a pass chosen by hand still is the one that lines
// belong to: until an armed pass begins after it was chosen.
func (p *plan) holds(chosen storage.Pass, at time.Time) bool {
	if at.Before(chosen.LOS) {
		return chosen.AOS.Sub(at) <= lookAhead
	}
	if at.Sub(chosen.LOS) > lookBack {
		return false
	}
	since := p.op.ChosenAt
	later := p.passesIn(since, at.Add(time.Second))
	return !slices.ContainsFunc(later, func(pass storage.Pass) bool {
		return pass.Followed() && pass.ID != chosen.ID && pass.AOS.After(since) && pass.LOS.After(chosen.LOS)
	})
}

// lastBefore returns the pass that ended last before a moment, of those that
// were followed or worked, with the ones that overlapped it: one with contacts
// speaks for all. A pass of a bird followed that ended just now could be meant
// as well, though nobody armed it.
func (p *plan) lastBefore(near []storage.Pass, at time.Time) []storage.Pass {
	ended := only(near, func(pass storage.Pass) bool { return !pass.LOS.After(at) })
	meant := only(ended, func(pass storage.Pass) bool { return pass.Followed() || p.workedOn(pass) })
	var last storage.Pass
	if len(meant) > 0 {
		last = slices.MaxFunc(meant, func(a, b storage.Pass) int { return a.LOS.Compare(b.LOS) })
	}
	group := only(meant, func(pass storage.Pass) bool { return pass.LOS.After(last.AOS) })
	if one := only(group, p.workedOn); len(one) == 1 {
		group = one
	}
	return append(group, only(ended, func(pass storage.Pass) bool {
		return pass.LOS.After(last.LOS) && at.Sub(pass.LOS) <= lingering && p.follows(pass)
	})...)
}

// filingOf says which pass of a named bird a line sent at a moment means: the
// nearest, be it up, over, or about to begin. In a message delivered late it is
// one of the followed ones since the silence. A bird whose passes are known and
// that was not up is no answer.
func (p *plan) filingOf(bird predict.Bird, at time.Time, late bool) filing {
	f := p.filingOfPass(bird, at, late)
	f.named = true
	f.late = late && (f.pass.ID == "" || !f.pass.LOS.After(at) || f.pass.Followed())
	return f
}

func (p *plan) filingOfPass(bird predict.Bird, at time.Time, late bool) filing {
	of := func(pass storage.Pass) bool { return pass.Bird.Catalog == bird.Catalog }
	if chosen, ok := p.pass(p.op.Chosen); ok && of(chosen) && p.holds(chosen, at) {
		return p.under(chosen)
	}
	if late {
		if since := only(p.sinceSilence(at), of); len(since) > 0 {
			return p.amid(since)
		}
	}
	near := only(p.passesIn(at.Add(-lookBack), at.Add(lookAhead)), of)
	if len(near) > 0 {
		return p.under(slices.MinFunc(near, func(a, b storage.Pass) int {
			return cmp.Compare(apart(a, at), apart(b, at))
		}))
	}
	if p.predicted(bird) {
		return filing{}
	}
	return filing{bird: bird}
}

// passAtHand is the pass that a question without a name is about: the one that
// lines would belong to, of several the latest with contacts.
func (p *plan) passAtHand(at time.Time) (storage.Pass, bool) {
	f := p.filingAt(at)
	if f.pass.ID != "" {
		return f.pass, true
	}
	worked := only(f.rivals, p.workedOn)
	for _, some := range [][]storage.Pass{worked, f.rivals} {
		if len(some) > 0 {
			return some[len(some)-1], true
		}
	}
	return storage.Pass{}, false
}

// apart is how far a moment is from a pass, nothing during it.
func apart(pass storage.Pass, at time.Time) time.Duration {
	return max(pass.AOS.Sub(at), at.Sub(pass.LOS), 0)
}

// timeOf says when a contact was made and what says so. A typed clock time
// that doesn't fit the pass, or was still to come when it was sent, is not
// believed: ok is false.
func (p *plan) timeOf(clock parse.Clock, f filing, at time.Time) (when time.Time, source storage.TimeSource, ok bool) {
	pass := f.pass
	if clock.IsSet() {
		if pass.ID == "" {
			return nearest(clock, at), storage.FromTyped, clock.HasHour() || !f.late
		}
		when = nearest(clock, pass.TCA)
		return when, storage.FromTyped, within(clock, pass) && !when.After(at.Add(clockSlack))
	}
	switch {
	case pass.ID == "", pass.LOS.After(at) && !f.late:
		return at, storage.FromMessage, pass.ID == "" || !at.Before(pass.AOS.Add(-clockSlack))
	case at.Before(pass.TCA):
		// Delivered late, and yet before the middle of the pass.
		return at, storage.FromPass, true
	default:
		return pass.TCA, storage.FromPass, true
	}
}

// orUp lets a line that gives no time, under a bird that is still to rise, mean
// one that is up as well: which one is asked.
func (p *plan) orUp(f filing, at time.Time) filing {
	if f.pass.ID == "" || f.late || !at.Before(f.pass.AOS.Add(-clockSlack)) {
		return f
	}
	up := only(p.passesIn(at, at.Add(earlySlack)), func(pass storage.Pass) bool {
		return pass.LOS.After(at) && (pass.Followed() || p.follows(pass))
	})
	if len(up) == 0 {
		return f
	}
	return filing{rivals: append(up, f.pass)}
}

// within reports whether a typed time falls into a pass.
func within(clock parse.Clock, pass storage.Pass) bool {
	when := nearest(clock, pass.TCA)
	return !when.Before(pass.AOS.Add(-clockSlack)) && !when.After(pass.LOS.Add(clockSlack))
}

// timed lets a typed time say which pass is meant, where the filing doesn't or
// where the time doesn't fit it: the only one of the rivals, or of the followed
// passes of the last day, that the time falls into.
func (p *plan) timed(f filing, clock parse.Clock, at time.Time) filing {
	if !clock.IsSet() || f.pass.ID != "" && within(clock, f.pass) || f.pass.ID == "" && f.bird.Name != "" {
		return f
	}
	fits := func(pass storage.Pass) bool { return within(clock, pass) }
	fitting := only(f.rivals, fits)
	if f.pass.ID != "" && clock.HasHour() && !f.named {
		fitting = only(p.passesIn(at.Add(-24*time.Hour), at), func(pass storage.Pass) bool {
			return pass.Followed() && fits(pass)
		})
	}
	if len(fitting) != 1 {
		return f
	}
	g := p.under(fitting[0])
	g.named, g.late = f.named, f.late
	return g
}

// nearest returns the moment nearest to t that reads clock (UTC).
func nearest(clock parse.Clock, t time.Time) time.Time {
	t = t.UTC()
	period, base := time.Hour, t.Truncate(time.Hour)
	if clock.HasHour() {
		period, base = 24*time.Hour, t.Truncate(24*time.Hour)
		base = base.Add(time.Duration(clock.Hour()) * time.Hour)
	}
	when := base.Add(time.Duration(clock.Minute()) * time.Minute)
	switch d := when.Sub(t); {
	case d > period/2:
		return when.Add(-period)
	case d <= -period/2:
		return when.Add(period)
	}
	return when
}

// follows reports whether a pass is of a bird that the operator follows.
func (p *plan) follows(pass storage.Pass) bool {
	bird, ok := p.sky.ByCatalog(pass.Bird.Catalog)
	return ok && follows(p.op.Remind, bird, p.sky.birds)
}

// only returns the elements that satisfy keep, in order.
func only[T any](all []T, keep func(T) bool) []T {
	var some []T
	for _, v := range all {
		if keep(v) {
			some = append(some, v)
		}
	}
	return some
}
