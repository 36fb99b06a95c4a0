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
		return filing{bird: bird}
	}
	up := only(near, func(pass storage.Pass) bool { return pass.LOS.After(at) })
	if armed := only(up, storage.Pass.Followed); len(armed) > 0 {
		return p.amid(armed)
	}
	if known := only(up, p.follows); len(known) > 0 {
		return p.amid(known)
	}
	if last := p.lastBefore(near, at); len(last) > 0 {
		return p.amid(last)
	}
	return filing{rivals: up}
}

// named returns the bird that was named while no pass of it was known. It holds
// until the next armed pass begins.
func (p *plan) named(near []storage.Pass, at time.Time) (predict.Bird, bool) {
	since := p.op.NamedAt
	if p.op.Named == 0 || at.Before(since) || at.Sub(since) > lookBack {
		return predict.Bird{}, false
	}
	if slices.ContainsFunc(near, func(pass storage.Pass) bool { return pass.Followed() && pass.AOS.After(since) }) {
		return predict.Bird{}, false
	}
	return p.sky.ByCatalog(p.op.Named)
}

// holds reports whether a pass chosen by hand still is the one that lines
// belong to.
func (p *plan) holds(chosen storage.Pass, at time.Time) bool {
	if at.Before(chosen.LOS) {
		return chosen.AOS.Sub(at) <= lookAhead
	}
	if at.Sub(chosen.LOS) > lookBack {
		return false
	}
	later := p.passesIn(chosen.LOS, at.Add(time.Second))
	return !slices.ContainsFunc(later, func(pass storage.Pass) bool {
		return pass.Followed() && pass.ID != chosen.ID && !pass.AOS.After(at) && pass.LOS.After(chosen.LOS)
	})
}

// lastBefore returns the followed pass that ended last before a moment, and
// those that it overlapped: one with contacts speaks for itself.
func (p *plan) lastBefore(near []storage.Pass, at time.Time) []storage.Pass {
	ended := only(near, func(pass storage.Pass) bool { return pass.Followed() && !pass.LOS.After(at) })
	if len(ended) == 0 {
		return nil
	}
	last := slices.MaxFunc(ended, func(a, b storage.Pass) int { return a.LOS.Compare(b.LOS) })
	rivals := only(ended, func(pass storage.Pass) bool { return pass.LOS.After(last.AOS) })
	worked := only(rivals, func(pass storage.Pass) bool { return len(p.contactsOf(pass.ID)) > 0 })
	if len(worked) == 1 {
		return worked
	}
	return rivals
}

// filingOf says which pass of a named bird a line sent at a moment means: the
// nearest, be it up, over, or about to begin.
func (p *plan) filingOf(bird predict.Bird, at time.Time) filing {
	near := only(p.passesIn(at.Add(-lookBack), at.Add(lookAhead)), func(pass storage.Pass) bool {
		return pass.Bird.Catalog == bird.Catalog
	})
	if len(near) == 0 {
		return filing{bird: bird}
	}
	return p.under(slices.MinFunc(near, func(a, b storage.Pass) int {
		return cmp.Compare(apart(a, at), apart(b, at))
	}))
}

// apart is how far a moment is from a pass, nothing during it.
func apart(pass storage.Pass, at time.Time) time.Duration {
	return max(pass.AOS.Sub(at), at.Sub(pass.LOS), 0)
}

// timeOf says when a contact was made and what says so. A typed clock time
// that doesn't fit the pass is not believed: ok is false.
func (p *plan) timeOf(clock parse.Clock, f filing, at time.Time) (when time.Time, source storage.TimeSource, ok bool) {
	pass := f.pass
	if clock.IsSet() {
		if pass.ID == "" {
			return nearest(clock, at), storage.FromTyped, clock.HasHour() || !f.late
		}
		when = nearest(clock, pass.TCA)
		fits := !when.Before(pass.AOS.Add(-clockSlack)) && !when.After(pass.LOS.Add(clockSlack))
		return when, storage.FromTyped, fits
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

// passAround looks for the one followed pass of the last day that a typed time
// falls into.
func (p *plan) passAround(clock parse.Clock, at time.Time) (storage.Pass, bool) {
	if !clock.HasHour() {
		return storage.Pass{}, false
	}
	fitting := only(p.passesIn(at.Add(-24*time.Hour), at), func(pass storage.Pass) bool {
		when := nearest(clock, pass.TCA)
		return pass.Followed() && !when.Before(pass.AOS.Add(-clockSlack)) && !when.After(pass.LOS.Add(clockSlack))
	})
	if len(fitting) != 1 {
		return storage.Pass{}, false
	}
	return fitting[0], true
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
