package contact

import (
	"slices"
	"time"

	"skyslate/storage"
)

// notUp matches a line before which nothing was up.
func (f *finder) notUp(l *line, at time.Time) Match {
	v := l.message.delivery
	silent := v.silent
	if silent.IsZero() {
		silent = at.Add(-LookBack)
	}
	began := filter(f.Passes(at.Add(-LookBack), at.Add(EarlySlack)), func(p storage.Pass) bool { return p.Followed() || f.Listed(p) })
	ended := filter(began, func(p storage.Pass) bool { return !p.LOS.After(at) })
	meant := filter(ended, func(p storage.Pass) bool { return p.Followed() || f.workedOn(p.ID) })
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
	if b, ok := f.before(l, at); ok && len(filter(since, func(p storage.Pass) bool { return p.ID != b.ID && p.LOS.After(f.last.at()) })) == 0 && len(just) == 0 {
		return late(f.under(b, ByBefore))
	}
	switch all := append(since, just...); {
	case len(all) > 0 && !v.silent.IsZero():
		worked := filter(all, func(p storage.Pass) bool { return f.workedOn(p.ID) })
		apart := func(p storage.Pass) bool { return !p.AOS.Before(worked[0].LOS) || !p.LOS.After(worked[0].AOS) }
		if len(worked) == 1 && !slices.ContainsFunc(all, apart) && len(just) == 0 {
			return late(f.under(worked[0], BySilence))
		}
		return late(f.amid(all, BySilence))
	case len(meant) > 0:
		return late(f.amid(append(f.lastOf(meant), just...), ByLast))
	case len(just) > 0:
		return late(f.amid(just, BySlack))
	}
	return Match{Reason: ByNothing}
}

// lastOf is the pass that ended last, with those that overlapped it: one with
// contacts speaks for all.
func (f *finder) lastOf(meant []storage.Pass) []storage.Pass {
	last := slices.MaxFunc(meant, func(a, b storage.Pass) int { return a.LOS.Compare(b.LOS) })
	group := filter(meant, func(p storage.Pass) bool { return p.LOS.After(last.AOS) })
	if worked := filter(group, func(p storage.Pass) bool { return f.workedOn(p.ID) }); len(worked) == 1 {
		return worked
	}
	return group
}

// before is the pass that the line before was written down for.
func (f *finder) before(l *line, at time.Time) (storage.Pass, bool) {
	if f.last == nil || f.last.match.Pass.ID == "" || at.Sub(f.last.at()) > LookBack {
		return storage.Pass{}, false
	}
	return f.last.match.Pass, true
}
