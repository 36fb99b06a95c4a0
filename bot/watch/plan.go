package watch

import (
	"fmt"
	"reflect"
	"slices"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// planEvery is how often the coming days are worked out anew.
const planEvery = 6 * time.Hour

// Replan works out the passes of the coming days, gives the new ones their
// identity, and puts those to be followed on the agenda.
func (p Planner) Replan() {
	if !p.Ready() {
		return
	}
	now, loc := p.Now(), p.Local()
	since := p.unplanned()
	from := tx.StartOfDay(since, loc)
	to := tx.StartOfDay(tx.StartOfDay(now, loc).AddDate(0, 0, PlanDays).Add(tx.Day/2), loc)
	all := p.AllPassesIn(from, to)
	before := slices.Clone(all)
	for _, bird := range p.Sky.Birds() {
		found, err := p.Sky.Passes(p.Op.Place, bird.Catalog, since, to)
		if err != nil {
			continue // a bird without usable elements is told where birds are shown
		}
		all = p.match(all, p.sightings(bird, found, since, to), bird, now)
	}
	p.armOutings(all)
	p.hide(all)
	arms := choose(p.Op.Remind, all, p.Sky.Birds(), loc)
	for i, pass := range all {
		pass.Arm = arms[i]
		o, out := p.Op.OutingAt(pass.TCA)
		if out && pass.Arm == storage.ArmAuto && pass.Decided.IsZero() && !p.wants(o, pass) {
			pass.Arm = storage.ArmNone // by the rules, but not by the outing
		}
		if pass.LOS.After(now) {
			// Closed already: by a clock that ran ahead, which took the reminder off
			// the agenda as well. Both are put on it again.
			pass.Closed = time.Time{}
		}
		if i >= len(before) || !reflect.DeepEqual(pass, before[i]) {
			p.schedule(pass)
		}
	}
	p.renewSheets()
	p.Op.Planned = to
	p.At(tx.MomentPlan, now.Add(planEvery), "")
	p.planEvening()
}

// backlogKept is how far back a message may come from that waited while nothing
// was running: messaging services keep what waits for a day (common practice, no
// source).
const backlogKept = tx.Day

// unplanned is since when passes are to be worked out: now, or before, when
// nothing was running for longer than was planned ahead. What was typed then
// belongs to a pass, too.
func (p Planner) unplanned() time.Time {
	now := p.Now()
	if p.Op.Planned.IsZero() || !p.Op.Planned.Before(now) {
		return now
	}
	return tx.Later(p.Op.Planned, now.Add(-backlogKept))
}

// CatchUp works out the passes about a message that comes after the last planned
// day: the agenda, which does it else, waits until all that had waited is read.
func (p Planner) CatchUp() {
	if !p.Op.Planned.IsZero() && !p.Op.Planned.After(p.Now()) {
		p.Replan()
	}
}

// match gives each pass found the identity of the known one that it overlaps,
// or a new one, and voids the known ones that were not found again.
func (p Planner) match(known []storage.Pass, found []sighting, bird predict.Bird, now time.Time) []storage.Pass {
	again := map[storage.PassID]bool{}
	for _, f := range found {
		if f.AOS.IsZero() || f.LOS.IsZero() || !f.AOS.After(now) && begun(known, bird, f.Pass) {
			continue // one that has begun stays as it was told
		}
		i := slices.IndexFunc(known, func(k storage.Pass) bool { return samePass(k, bird, f.Pass) })
		if i < 0 {
			known = append(known, p.newPass(f, bird))
			i = len(known) - 1
		}
		known[i] = seen(known[i], f)
		again[known[i].ID] = true
	}
	for i, k := range known {
		if k.Bird.Catalog == bird.Catalog && k.AOS.After(now) && !again[k.ID] {
			known[i].Void = true
			for _, s := range k.Skeds {
				p.Say(say.SkedLost(shown.Planned(k), s.Call))
			}
		}
	}
	return known
}

// newPass gives a pass its identity.
func (p Planner) newPass(f sighting, bird predict.Bird) storage.Pass {
	return seen(storage.Pass{
		ID:       storage.PassID(fmt.Sprintf("%s-%d", f.AOS.UTC().Format("20060102T150405Z"), bird.Catalog)),
		Operator: p.Op.ID, Bird: sky.Ref(bird),
	}, f)
}

// seen is a pass as it was found now.
func seen(k storage.Pass, f sighting) storage.Pass {
	k.AOS, k.TCA, k.LOS, k.PeakElDeg, k.Place = f.AOS, f.TCA, f.LOS, f.AtTCA.ElDeg, f.place
	k.Void = false
	return k
}

// begun reports whether a pass is known already that has been running as it was
// worked out.
func begun(known []storage.Pass, bird predict.Bird, f predict.Pass) bool {
	return slices.ContainsFunc(known, func(k storage.Pass) bool { return !k.Void && samePass(k, bird, f) })
}

// samePass reports whether a pass found is a known one, perhaps moved.
func samePass(k storage.Pass, bird predict.Bird, f predict.Pass) bool {
	return k.Bird.Catalog == bird.Catalog && k.AOS.Before(f.LOS) && k.LOS.After(f.AOS)
}

// Ahead are the passes of the days planned that are not over.
func (p Planner) Ahead() []storage.Pass { return p.PassesIn(p.Now(), p.Now().Add(PlanDays*tx.Day)) }

// schedule saves a pass and puts it on the agenda, or takes it off.
func (p Planner) schedule(pass storage.Pass) {
	p.PutPass(pass)
	if !pass.LOS.After(p.Now()) {
		return
	}
	if !pass.Followed() || pass.Void {
		p.Off(tx.MomentRemind, pass.ID)
		p.Off(MomentEarly, pass.ID)
		p.Off(tx.MomentRise, pass.ID)
		p.leaveCard(pass)
		if p.Op.Chosen != pass.ID && !p.WorkedOn(pass) {
			p.Off(tx.MomentSet, pass.ID)
		}
		return
	}
	if pass.Decided.IsZero() {
		p.At(tx.MomentRemind, tx.Later(pass.AOS.Add(-p.Op.Remind.Lead), p.Now()), pass.ID)
	}
	if early := pass.AOS.Add(-earlyLead); pass.Arm == storage.ArmOuting && pass.Early.IsZero() && early.After(p.Now()) {
		p.At(MomentEarly, early, pass.ID)
	}
	if pass.AOS.After(p.Now()) {
		p.At(tx.MomentRise, pass.AOS, pass.ID)
	} else if pass.Carded.IsZero() {
		p.At(MomentCard, p.Now(), pass.ID)
	}
	p.At(tx.MomentSet, pass.LOS, pass.ID)
}

// arm follows or skips a pass by hand.
func (p Planner) arm(pass storage.Pass, follow bool) storage.Pass {
	pass.Arm = storage.ArmSkipped
	if follow {
		pass.Arm = storage.ArmHand
	}
	p.schedule(pass)
	return pass
}

// armedFull reports whether as many passes are armed by hand as may be, beside
// one, and says so.
func (p Planner) armedFull(but storage.PassID) bool {
	armed := tx.Filter(p.Ahead(), func(pass storage.Pass) bool {
		return pass.Arm == storage.ArmHand && pass.ID != but
	})
	if len(armed) < MostArmed {
		return false
	}
	p.Say(say.TooManyArmed)
	return true
}

// outingPeakDeg is the peak that is enough on a hilltop with a free horizon.
// Common practice, no source.
const outingPeakDeg = 5

// armedWith is a pass of an outing, armed unless it was skipped by hand.
func armedWith(pass storage.Pass) storage.Pass {
	if pass.Arm != storage.ArmSkipped && pass.Arm != storage.ArmHand {
		pass.Arm = storage.ArmOuting
	}
	return pass
}

func samePlace(a, b storage.Place) bool {
	return slices.Equal(a.Grids, b.Grids) && a.LatDeg == b.LatDeg && a.LonDeg == b.LonDeg
}

// A sighting is a pass as it is found over a place.
type sighting struct {
	predict.Pass
	place storage.Place
}

// sightings are the passes of a bird where the operator will be: at an armed
// outing's place during that, else at the place set.
func (p Planner) sightings(bird predict.Bird, found []predict.Pass, from, to time.Time) []sighting {
	var all []sighting
	for _, f := range found {
		if _, out := p.Op.OutingAt(f.TCA); !out {
			all = append(all, sighting{f, p.Op.Place})
		}
	}
	for _, o := range p.Op.Outings {
		if o.Armed.IsZero() || !o.From.Before(to) || !o.Until.After(from) {
			continue
		}
		for _, f := range p.seenAt(o, bird, tx.Later(from, o.From), o.Until) {
			all = append(all, sighting{f, o.Place})
		}
	}
	return all
}

// seenAt are the passes of a bird at an outing that culminate in its span.
func (p Planner) seenAt(o storage.Outing, bird predict.Bird, from, to time.Time) []predict.Pass {
	found, err := p.Sky.Passes(o.Place, bird.Catalog, from, to)
	if err != nil {
		return nil // told where birds are shown
	}
	return tx.Filter(found, func(f predict.Pass) bool { return !f.AOS.IsZero() && !f.LOS.IsZero() && o.Holds(f.TCA) })
}

// armOutings arms the passes that armed outings want, in place.
func (p Planner) armOutings(all []storage.Pass) {
	for i, pass := range all {
		o, out := p.Op.OutingAt(pass.TCA)
		switch {
		case pass.Void || !pass.AOS.After(p.Now()):
		case out && p.wants(o, pass):
			all[i] = armedWith(pass)
		case pass.Arm == storage.ArmOuting:
			all[i].Arm = storage.ArmNone
		}
	}
}

// wants reports whether an outing wants a pass: one of its birds, from
// outingPeakDeg on, or lower where a grid wanted or a sked is in reach.
func (p Planner) wants(o storage.Outing, pass storage.Pass) bool {
	if !samePlace(pass.Place, o.Place) {
		return false
	}
	if len(pass.Skeds) > 0 {
		return true
	}
	names := o.Birds
	if len(names) == 0 {
		names = p.Op.Remind.Birds
	}
	if !sky.Wanted(names, pass.Bird, p.Sky.Birds()) {
		return false
	}
	view, ok := p.PassView(pass)
	reached := func(g parse.Grid) bool {
		_, in := view.With(g)
		return in
	}
	return ok && (pass.PeakElDeg >= outingPeakDeg || slices.ContainsFunc(o.Wanted, reached))
}
