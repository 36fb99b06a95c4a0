package contact

import (
	"slices"

	"skyslate/storage"
)

// notUp matches a line before which nothing was up.
func (f *finder) notUp(l *line) Match {
	v, at := l.message.delivery, l.at()
	silent := v.silent
	if silent.IsZero() {
		silent = at.Add(-LookBack)
	}
	began := filter(f.Passes(at.Add(-LookBack), at.Add(EarlySlack)), func(p storage.Pass) bool { return p.Followed() || f.Listed(p) })
	ended := filter(began, func(p storage.Pass) bool { return !p.LOS.After(at) })
	meant := filter(ended, func(p storage.Pass) bool { return p.Followed() || f.past.workedOn(p.ID) })
	lingers := func(p storage.Pass) bool { return at.Sub(p.LOS) <= Lingering }
	rising := filter(began, func(p storage.Pass) bool { return p.AOS.After(at) })
	if len(rising) == 1 && !slices.ContainsFunc(meant, lingers) {
		return f.under(rising[0], BySlack)
	}
	since := filter(meant, func(p storage.Pass) bool { return p.LOS.After(silent) })
	just := filter(ended, func(p storage.Pass) bool {
		later := func(q storage.Pass) bool { return q.LOS.After(p.LOS) }
		return lingers(p) && !holds(meant, p.ID) && !slices.ContainsFunc(meant, later)
	})
	if before := f.last; before != nil && at.Sub(before.at()) <= LookBack && len(just) == 0 {
		ended := func(p storage.Pass) bool { return p.ID != before.match.Pass.ID && p.LOS.After(before.at()) }
		if !slices.ContainsFunc(since, ended) {
			return late(f.under(before.match.Pass, ByBefore))
		}
	}
	switch all := append(since, just...); {
	case len(all) > 0 && !v.silent.IsZero():
		worked := filter(all, func(p storage.Pass) bool { return f.past.workedOn(p.ID) })
		apart := func(p storage.Pass) bool { return !p.AOS.Before(worked[0].LOS) || !p.LOS.After(worked[0].AOS) }
		if len(worked) == 1 && !slices.ContainsFunc(all, apart) && len(just) == 0 {
			return late(f.under(worked[0], BySilence))
		}
		return late(f.amid(all, BySilence))
	case len(meant) > 0:
		return late(f.amid(append(f.lastEnded(meant), just...), ByLast))
	case len(just) > 0:
		return late(f.amid(just, BySlack))
	}
	return Match{Reason: ByNothing}
}

// lastEnded is the pass that ended last, with those that overlapped it: one with
// contacts speaks for all.
func (f *finder) lastEnded(meant []storage.Pass) []storage.Pass {
	last := slices.MaxFunc(meant, func(a, b storage.Pass) int { return a.LOS.Compare(b.LOS) })
	group := filter(meant, func(p storage.Pass) bool { return p.LOS.After(last.AOS) })
	if worked := filter(group, func(p storage.Pass) bool { return f.past.workedOn(p.ID) }); len(worked) == 1 {
		return worked
	}
	return group
}
