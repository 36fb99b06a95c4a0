package filing

import (
	"slices"
	"time"

	"skyslate/bot/lists"
	"skyslate/storage"
)

// notUp matches a line before which nothing was up.
func (f *Finder) notUp(l *Line) Match {
	v, at := l.Message.Delivery, l.At()
	silent := v.Silent
	if silent.IsZero() {
		silent = at.Add(-LookBack)
	}
	began := lists.Filter(f.Passes(at.Add(-LookBack), at.Add(EarlySlack)), func(p storage.Pass) bool { return p.Followed() || f.Listed(p) })
	ended := lists.Filter(began, func(p storage.Pass) bool { return !p.LOS.After(at) })
	meant := lists.Filter(ended, func(p storage.Pass) bool { return p.Followed() || f.past.WorkedOn(p.ID) })
	lingers := func(p storage.Pass) bool { return at.Sub(p.LOS) <= Lingering }
	rising := lists.Filter(began, func(p storage.Pass) bool { return p.AOS.After(at) && !f.seenSince(p, l.Message.Said) })
	if len(rising) == 1 && !slices.ContainsFunc(meant, lingers) {
		return f.Under(rising[0], BySlack)
	}
	since := lists.Filter(meant, func(p storage.Pass) bool { return p.LOS.After(silent) })
	just := f.justSet(ended, meant, at)
	if before := f.Last; before != nil && at.Sub(before.At()) <= LookBack && len(just) == 0 {
		ended := func(p storage.Pass) bool { return p.ID != before.Match.Pass.ID && p.LOS.After(before.At()) }
		if !slices.ContainsFunc(since, ended) {
			return late(f.Under(before.Match.Pass, ByBefore))
		}
	}
	switch all := append(since, just...); {
	case f.longPast(l, all):
		return f.longAfter(l, just)
	case len(all) > 0 && !v.Silent.IsZero():
		worked := lists.Filter(all, func(p storage.Pass) bool { return f.past.WorkedOn(p.ID) })
		apart := func(p storage.Pass) bool { return !p.AOS.Before(worked[0].LOS) || !p.LOS.After(worked[0].AOS) }
		if len(worked) == 1 && !slices.ContainsFunc(all, apart) && len(just) == 0 {
			return late(f.Under(worked[0], BySilence))
		}
		return late(f.amid(all, BySilence))
	case len(meant) > 0:
		last := append(f.lastEnded(meant), just...)
		if f.longPast(l, last) {
			return f.longAfter(l, just)
		}
		return late(f.amid(last, ByLast))
	case len(just) > 0:
		return late(f.amid(just, BySlack))
	}
	return Match{Reason: ByNothing}
}

// justSet are those of some passes that nobody follows, nor worked, and that have set moments
// ago, after all that are meant.
func (f *Finder) justSet(ended, meant []storage.Pass, at time.Time) []storage.Pass {
	return lists.Filter(ended, func(p storage.Pass) bool {
		later := func(q storage.Pass) bool { return q.LOS.After(p.LOS) }
		return at.Sub(p.LOS) <= Lingering && !Holds(meant, p.ID) && !slices.ContainsFunc(meant, later)
	})
}

// longPast reports whether a delivery that tells a contact comes hours after all of some passes,
// but for those that have just set unfollowed, and nothing is written down on any of them.
func (f *Finder) longPast(l *Line, passes []storage.Pass) bool {
	attended := func(p storage.Pass) bool { return f.past.WorkedOn(p.ID) || p.Followed() && l.At().Sub(p.LOS) <= Lately }
	return slices.ContainsFunc(l.Message.Delivery.Lines, (*Line).Tells) && slices.ContainsFunc(passes, storage.Pass.Followed) && !slices.ContainsFunc(passes, attended)
}

// longAfter matches a line hours after the passes that were followed in vain: the one that has
// just set is nearer than they are, and the last of them is offered beside it. Else it is asked.
func (f *Finder) longAfter(l *Line, just []storage.Pass) Match {
	if len(just) != 1 || l.Message.Delivery.contacts >= manyLines {
		return late(Match{Reason: ByNothing})
	}
	m := late(f.Under(just[0], BySlack))
	m.Earlier = f.earlier(l, just[0])
	return m
}

// seenSince reports whether a pass to come is seen from a place that was told only after a
// message came: none that the message can be of.
func (f *Facts) seenSince(pass storage.Pass, said *storage.Evidence) bool {
	from := func(o storage.OwnSide) bool { return slices.Equal(o.Grids, pass.Place.Grids) }
	return slices.ContainsFunc(f.Own[min(said.Own, len(f.Own)):], from) && !from(f.OwnAt(said.At, said, storage.Pass{}))
}

// lastEnded is the pass that ended last, with those that overlapped it: one with
// contacts speaks for all.
func (f *Finder) lastEnded(meant []storage.Pass) []storage.Pass {
	last := slices.MaxFunc(meant, func(a, b storage.Pass) int { return a.LOS.Compare(b.LOS) })
	group := lists.Filter(meant, func(p storage.Pass) bool { return p.LOS.After(last.AOS) })
	if worked := lists.Filter(group, func(p storage.Pass) bool { return f.past.WorkedOn(p.ID) }); len(worked) == 1 {
		return worked
	}
	return group
}
