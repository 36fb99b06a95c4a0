package contact

import (
	"slices"
	"time"

	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// A hold is a bird named alone, or a pass tapped: it holds for what comes, until
// the pass has set.
type hold struct {
	pass storage.Pass
	bird predict.Bird // where no pass could be worked out
	at   time.Time
}

func (f *finder) heldPass(l *line) (Match, bool) {
	h, at := f.hold, l.at()
	switch {
	case h == nil || at.Before(h.at):
		return Match{}, false
	case h.pass.ID != "":
		v := l.message.delivery
		unheard := v.held && h.at.Before(v.began) && v.silent.Before(h.pass.AOS) // another pass may have come between
		if !h.pass.LOS.After(at) || h.pass.AOS.Sub(at) > LookAhead || unheard {
			return Match{}, false
		}
		return f.under(h.pass, ByHold), true
	case at.Sub(h.at) > LookBack || slices.ContainsFunc(f.Passes(h.at, at.Add(EarlySlack)), func(p storage.Pass) bool {
		return p.Followed() && p.AOS.After(h.at)
	}):
		return Match{}, false
	}
	return Match{Bird: h.bird, Named: true, Reason: ByBird}, true
}

// ofBird matches the pass of the bird that was named: the one that the typed time
// falls into; the one that is up; of a silence the only one, or asked; else the
// nearest.
func (f *finder) ofBird(l *line, clock parse.Clock) Match {
	bird, at, v := *l.bird, l.at(), l.message.delivery
	named := func(m Match) Match {
		m.Named, m.Part = true, l.part
		m.Late = m.Late || v.held && (m.Pass.ID == "" || !m.Pass.LOS.After(at) || m.Pass.Followed())
		return m
	}
	of := func(p storage.Pass) bool { return p.Bird.Catalog == bird.Catalog }
	near := filter(f.Passes(at.Add(-LookBack), at.Add(LookAhead)), of)
	if clock.IsSet() {
		told := filter(filter(f.Passes(at.Add(-day), at.Add(LookAhead)), of), func(p storage.Pass) bool {
			return timing.Within(clock, p) && !timing.Nearest(clock, p.TCA).After(at.Add(timing.ClockSlack))
		})
		if len(told) > 0 && f.toCome(clock, l) {
			return named(Match{Rivals: []storage.Pass{timing.Closest(told, at)}, Reason: ByName})
		}
		if len(told) > 0 {
			return named(f.under(timing.Closest(told, at), ByName))
		}
	}
	up := slices.ContainsFunc(near, func(p storage.Pass) bool { return p.Up(at.Add(timing.ClockSlack)) || p.Up(at) })
	whole := func(p storage.Pass) bool { return !p.AOS.Before(v.silent) && !p.LOS.After(at) }
	if !v.silent.IsZero() && (v.held || !up && slices.ContainsFunc(near, whole)) {
		since := filter(near, func(p storage.Pass) bool { return p.LOS.After(v.silent) && !p.AOS.After(v.began) })
		if some := filter(since, storage.Pass.Followed); len(some) > 0 {
			since = some
		}
		if len(since) > 0 {
			return named(late(f.amid(since, ByName)))
		}
	}
	switch {
	case len(near) > 0:
		return named(f.under(timing.Closest(near, at), ByName))
	case f.Predicted(bird):
		return named(Match{Reason: ByNotUp})
	}
	return named(Match{Bird: bird, Reason: ByBird})
}
