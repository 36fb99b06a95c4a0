package contact

import (
	"time"

	"skyslate/predict"
	"skyslate/storage"
)

// change corrects one field of several contacts.
func (d *derivation) change(ev *storage.Evidence) {
	for _, key := range ev.Change.Contacts {
		if c := d.byKey[key]; c != nil {
			c.kept = false
			d.correct(c, *ev.Change, ev.At)
		}
	}
}

func (d *derivation) correct(c *contact, to storage.Change, at time.Time) {
	switch to.Field {
	case "call":
		c.ownCall = to.Call
	case "grid":
		c.ownGrids = to.Grids
	case "bird":
		if bird, ok := d.Catalogued(to.Catalog); ok {
			d.file(c, d.underBird(bird, d.momentOf(c)))
		}
	case "date":
		when := d.momentOf(c)
		c.date, c.timed = to.Date, at
		shifted := to.Date.Add(when.Sub(when.UTC().Truncate(day)))
		d.file(c, d.onDay(c, shifted))
	case "slate":
		if c.Mark != nil {
			mark := *c.Mark
			mark.Slate = to.Slate
			c.Mark, c.timed = &mark, at
			if c.m.Pass.ID != "" && mark.Voice == 0 {
				d.slates = append(d.slates, toldSlate{of: storage.Recording{Pass: c.m.Pass.ID}, slate: to.Slate})
			}
		}
	}
}

// underBird matches the pass of a bird that is nearest to a moment, or the bird
// alone where no pass is near.
func (f *Facts) underBird(bird predict.Bird, when time.Time) Match {
	near := filter(f.Passes(when.Add(-LookBack), when.Add(LookBack)), func(p storage.Pass) bool { return p.Bird.Catalog == bird.Catalog })
	if len(near) == 0 {
		return Match{Bird: bird, Named: true, Reason: ByName}
	}
	m := f.under(closest(near, when), ByName)
	m.Named = true
	return m
}

// onDay matches the pass of a contact's bird at a moment of another day. Where there
// is none the contact stays where it is, and its time is in doubt.
func (f *Facts) onDay(c *contact, when time.Time) Match {
	of := filter(f.Passes(when.Add(-ClockSlack), when.Add(ClockSlack)), func(p storage.Pass) bool {
		return p.Bird.Catalog == c.m.Bird.Catalog
	})
	if len(of) == 0 {
		return c.m
	}
	m := f.under(of[0], ByName)
	m.Named, m.Late = true, c.m.Late
	return m
}
