package filing

import (
	"slices"
	"time"

	"skyslate/bot/lists"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// A Hold is a bird named alone, or a pass tapped: it holds for what comes, until
// the pass has set. One that was named or tapped after that holds for [HoldsSet] from then,
// or from the last line under it.
type Hold struct {
	Pass    storage.Pass
	Bird    predict.Bird // where no pass could be worked out
	At      time.Time
	Answers bool // it was tapped for what was asked before: it holds while the pass is up only
}

// isSet reports whether a pass was chosen after it had set.
func (h *Hold) isSet() bool { return h != nil && h.Pass.ID != "" && !h.At.Before(h.Pass.LOS) }

// besideSet are the pass that was chosen after it had set and those that were up already
// then, and are: a line may be of either.
func (f *Finder) besideSet(up []storage.Pass, at time.Time) []storage.Pass {
	if !f.Hold.isSet() || f.Hold.Answers || at.Before(f.Hold.At) {
		return nil
	}
	since := lists.Filter(up, func(p storage.Pass) bool { return p.ID != f.Hold.Pass.ID && p.AOS.Before(f.Hold.At) })
	if len(since) == 0 || len(since) < len(up) {
		return nil
	}
	return append([]storage.Pass{f.Hold.Pass}, since...)
}

// stillHolds reports whether a pass that was chosen still holds for a line.
func (f *Finder) stillHolds(at time.Time) bool {
	h := f.Hold
	if !h.isSet() {
		return h.Pass.LOS.After(at)
	}
	from := h.At
	if f.Last != nil && f.Last.Match.Pass.ID == h.Pass.ID {
		from = timing.Later(from, f.Last.At())
	}
	return !h.Answers && at.Sub(from) <= HoldsSet
}

func (f *Finder) heldPass(l *Line) (Match, bool) {
	h, at := f.Hold, l.At()
	switch {
	case h == nil || at.Before(h.At):
		return Match{}, false
	case h.Pass.ID != "":
		v := l.Message.Delivery
		unheard := v.Held && h.At.Before(v.Began) && v.Silent.Before(h.Pass.AOS) // another pass may have come between
		if !f.stillHolds(at) || h.Pass.AOS.Sub(at) > LookAhead || unheard {
			return Match{}, false
		}
		return f.Under(h.Pass, ByHold), true
	case at.Sub(h.At) > LookBack || slices.ContainsFunc(f.Passes(h.At, at.Add(EarlySlack)), func(p storage.Pass) bool {
		return p.Followed() && p.AOS.After(h.At)
	}):
		return Match{}, false
	}
	return Match{Bird: h.Bird, Named: true, Reason: ByBird}, true
}

// ofBird matches the pass of the bird that was named: the one that the typed time
// falls into; the one that is up; of a silence the only one, or asked; else the
// nearest.
func (f *Finder) ofBird(l *Line, clock parse.Clock) Match {
	bird, at, v := *l.Bird, l.At(), l.Message.Delivery
	named := func(m Match) Match {
		m.Named, m.Part = true, l.part
		m.Late = m.Late || v.Held && (m.Pass.ID == "" || !m.Pass.LOS.After(at) || m.Pass.Followed())
		return m
	}
	of := func(p storage.Pass) bool { return p.Bird.Catalog == bird.Catalog }
	near := lists.Filter(f.Passes(at.Add(-LookBack), at.Add(LookAhead)), of)
	if clock.IsSet() {
		told := lists.Filter(lists.Filter(f.Passes(at.Add(-Day), at.Add(LookAhead)), of), func(p storage.Pass) bool {
			return timing.Within(clock, p) && !timing.Nearest(clock, p.TCA).After(at.Add(timing.ClockSlack))
		})
		if len(told) > 0 && f.toCome(clock, l) {
			return named(Match{Rivals: []storage.Pass{timing.Closest(told, at)}, Reason: ByName})
		}
		if len(told) > 0 {
			return named(f.Under(timing.Closest(told, at), ByName))
		}
	}
	up := slices.ContainsFunc(near, func(p storage.Pass) bool { return p.Up(at.Add(timing.ClockSlack)) || p.Up(at) })
	whole := func(p storage.Pass) bool { return !p.AOS.Before(v.Silent) && !p.LOS.After(at) }
	if !v.Silent.IsZero() && (v.Held || !up && slices.ContainsFunc(near, whole)) {
		since := lists.Filter(near, func(p storage.Pass) bool { return p.LOS.After(v.Silent) && !p.AOS.After(v.Began) })
		meant := func(p storage.Pass) bool { return p.Followed() || p.Up(v.Began) }
		some := lists.Filter(since, meant)
		lately := func(p storage.Pass) bool { return at.Sub(p.LOS) <= Lately }
		switch heap := v.Held && v.contacts >= manyLines; {
		case !heap && slices.ContainsFunc(since, lately) && !slices.ContainsFunc(some, lately):
			since = []storage.Pass{timing.Closest(since, at)} // those that were followed are hours ago
		case len(some) > 0:
			since = some
		}
		if len(since) > 0 {
			return named(late(f.amid(since, ByName)))
		}
	}
	switch {
	case len(near) > 0:
		return named(f.Under(timing.Closest(near, at), ByName))
	case f.Predicted(bird):
		return named(Match{Reason: ByNotUp})
	}
	return named(Match{Bird: bird, Reason: ByBird})
}

// ofDay matches the pass of the day of the past that a line names: of its bird, if it names
// one, else of those followed, worked or listed, the one that was up at the time typed; of
// several, and where none was up then, it is asked.
func (f *Finder) ofDay(l *Line, clock parse.Clock) Match {
	all := lists.Filter(f.Passes(l.Day, l.Day.Add(Day)), func(p storage.Pass) bool {
		return l.Bird != nil && p.Bird.Catalog == l.Bird.Catalog || l.Bird == nil && (p.Followed() || f.Listed(p) || f.past.WorkedOn(p.ID))
	})
	for _, rather := range []func(storage.Pass) bool{
		func(p storage.Pass) bool { return timing.Within(clock, p) },
		func(p storage.Pass) bool { return p.Up(timing.Nearest(clock, p.TCA)) },
		func(p storage.Pass) bool { return p.Followed() || f.past.WorkedOn(p.ID) },
	} {
		if some := lists.Filter(all, rather); clock.IsSet() && len(some) > 0 {
			all = some
		}
	}
	m := Match{Rivals: all, Reason: ByDay}
	switch {
	case len(all) == 0: // none of today's either
	case !clock.IsSet() || timing.Within(clock, all[0]):
		m = f.amid(all, ByDay)
	}
	m.Named = l.Bird != nil
	return late(m)
}
