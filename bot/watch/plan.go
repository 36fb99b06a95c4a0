package watch

import (
	"cmp"
	"hash/fnv"
	"reflect"
	"slices"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/filing"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/say/limits"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/sound"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// Replan works out the passes of the coming days that could be followed, stores
// those that are, and keeps the agenda to that. Where fresher elements move nothing
// by as much as a second, nothing is stored anew.
func (p Planner) Replan() {
	if !p.Ready() {
		return
	}
	now, loc := p.Now(), p.Local()
	from := tx.StartOfDay(unplanned(p.Op.Planned, now), loc)
	p.Op.Planned = tx.StartOfDay(tx.StartOfDay(now, loc).AddDate(0, 0, PlanDays).Add(tx.Day/2), loc)
	before := p.AllStoredIn(from, p.Op.Planned)
	all := slices.Clone(before)
	for _, bird := range p.Sky.Birds() {
		if !p.plans(bird, before) {
			continue
		}
		if found, err := p.WorkedOut(bird, from, p.Op.Planned); err == nil { // else it is told where birds are shown
			all = p.match(all, found, bird)
		}
	}
	p.armOutings(all)
	arms := choice.Arms(p.Op.Remind, all, p.Sky.Birds(), loc, p.hidden)
	for i, pass := range all {
		pass.Arm = arms[i]
		o, out := p.Op.OutingAt(pass.TCA)
		if out && pass.Arm == storage.ArmAuto && pass.Decided.IsZero() && !p.holds(o, pass) {
			pass.Arm = storage.ArmNone // by the rules, but not by the outing
		}
		if pass.LOS.After(now) {
			// Closed already: by a clock that ran ahead, which took the reminder off
			// the agenda as well. Both are put on it again.
			pass.Closed = time.Time{}
		}
		switch stored := i < len(before); {
		case !p.needed(pass, stored):
			if stored {
				p.takeOff(pass)
				p.LetGo(pass)
			}
		case !stored || !reflect.DeepEqual(pass, before[i]):
			p.schedule(pass)
		case pass.Followed() && !begins(pass, p.Op.Remind.Lead).Before(p.Op.Agenda):
			p.onAgenda(pass)
		}
	}
	p.Op.Agenda = now.Add(agendaAhead)
	p.RenewSheets()
	p.tidy()
	p.planAgain()
	p.planEvening()
}

// planEvery is how often the coming days are worked out anew.
const planEvery = 6 * time.Hour

// planAgain puts the next planning on the agenda: every operator has moments of
// their own, so that not all are planned at once.
func (p Planner) planAgain() {
	h := fnv.New32a()
	h.Write([]byte(p.Op.ID)) // a hash never fails
	own := time.Duration(h.Sum32()) * time.Second % planEvery
	p.At(tx.MomentPlan, p.Now().Add(-own).Truncate(planEvery).Add(planEvery+own), "")
}

// plans reports whether a bird's passes may be followed, or are: by the rules, with
// an outing, by hand.
func (p Planner) plans(bird predict.Bird, stored []storage.Pass) bool {
	return p.Everything || p.Sky.Follows(p.Op.Remind, bird) ||
		slices.ContainsFunc(p.Op.Outings, func(o storage.Outing) bool {
			return !o.Armed.IsZero() && sky.Wanted(o.Birds, sky.Ref(bird), p.Sky.Birds())
		}) ||
		slices.ContainsFunc(stored, func(pass storage.Pass) bool { return pass.Bird.Catalog == bird.Catalog })
}

// needed reports whether something stands on a pass, so that it has to be stored, or
// to stay so.
func (p Planner) needed(pass storage.Pass, stored bool) bool {
	decided := pass.Arm == storage.ArmHand || pass.Arm == storage.ArmSkipped || len(pass.Skeds) > 0 ||
		!pass.Decided.IsZero() || !pass.Early.IsZero() || !pass.Sheet.IsZero() || !pass.Carded.IsZero()
	return p.Everything || decided || pass.Followed() && !pass.Void || stored && p.leaned(pass)
}

// leaned reports whether evidence stands on a pass, or it is the one chosen.
func (p Planner) leaned(pass storage.Pass) bool {
	return pass.Used || pass.ID == p.Op.Chosen || p.WorkedOn(pass)
}

const (
	// idleKept is how long a pass that was followed and not worked is known as that:
	// longer than messaging apps let a message be edited, 48 hours (from memory).
	idleKept = 3 * tx.Day
	// tidied is how many days are gone through at a time.
	tidied = 5 * tx.Day
)

// tidy lets go of passes that nobody worked, unless contacts around them were
// matched when they were followed, and lean on that.
func (p Planner) tidy() {
	until := p.Now().Add(-idleKept)
	from := timing.Later(p.Op.Tidied, p.Op.Joined)
	if from.After(until) {
		p.Op.Tidied = until
		return
	}
	p.Op.Tidied = from.Add(min(tidied, until.Sub(from)))
	for _, pass := range p.AllStoredIn(from, p.Op.Tidied) {
		if !pass.LOS.After(p.Op.Tidied) && !p.leaned(pass) && !p.workedAround(pass) {
			p.LetGo(pass)
		}
	}
}

// workedAround reports whether contacts stand near a pass that a sitting may hold it
// against.
func (p Planner) workedAround(pass storage.Pass) (worked bool) {
	const near = filing.LookBack + time.Hour
	p.Visit(func() error {
		return p.View.VisitLatest(p.Op.ID, pass.AOS.Add(-near), pass.LOS.Add(near), func(storage.Contact) bool {
			worked = true
			return false
		})
	})
	return worked
}

// backlogKept is how far back a message may come from that waited while nothing
// was running: messaging services keep what waits for a day (common practice, no
// source).
const backlogKept = tx.Day

// unplanned is since when passes are to be worked out that were up to a moment: now, or
// before, when nothing was running for longer than was planned ahead. What was typed then
// belongs to a pass, too.
func unplanned(planned, now time.Time) time.Time {
	if planned.IsZero() || !planned.Before(now) {
		return now
	}
	return timing.Later(planned, now.Add(-backlogKept))
}

// CatchUp works out the passes about a message that comes after the last planned
// day: the agenda, which does it else, waits until all that had waited is read.
func (p Planner) CatchUp() {
	if !p.Op.Planned.IsZero() && !p.Op.Planned.After(p.Now()) {
		p.Replan()
	}
}

// match gives each pass found the name of the stored one that it overlaps, and voids
// the stored ones that were not found again. One that has begun stays as it was told,
// one that evidence stands on as it was when it was first used.
func (p Planner) match(known, found []storage.Pass, bird predict.Bird) []storage.Pass {
	now := p.Now()
	again := map[storage.PassID]bool{}
	for _, f := range found {
		i := slices.IndexFunc(known, f.Is)
		if i < 0 {
			i = len(known)
			known = append(known, f)
		}
		k := known[i]
		again[k.ID] = true
		if stays := k.Used || !k.AOS.After(now) && !k.Void; !stays && (k.Void || moved(k, f)) {
			known[i] = seen(k, f)
		} else if choice.SamePlace(k.Place, f.Place) && k.LOS.After(now) {
			known[i].Place.Horizon = f.Place.Horizon // trees are told at any time
		}
	}
	for i, k := range known {
		if k.Bird.Catalog == bird.Catalog && k.AOS.After(now) && !k.Used && !k.Void && !again[k.ID] {
			known[i].Void = true
			for _, s := range k.Skeds {
				p.Say(say.SkedLost(shown.Planned(k), s.Call))
			}
		}
	}
	return known
}

// moved reports whether a pass is another second, is seen from another place, or has
// its bird called otherwise.
func moved(k, f storage.Pass) bool {
	return k.Bird != f.Bird || max(k.AOS.Sub(f.AOS).Abs(), k.TCA.Sub(f.TCA).Abs(), k.LOS.Sub(f.LOS).Abs()) >= time.Second ||
		!choice.SamePlace(k.Place, f.Place)
}

// seen is a pass as it was found now.
func seen(k, f storage.Pass) storage.Pass {
	k.AOS, k.TCA, k.LOS, k.PeakElDeg = f.AOS, f.TCA, f.LOS, f.PeakElDeg
	k.Bird, k.Place, k.Void = f.Bird, f.Place, false
	return k
}

// Ahead are the passes of the days planned that are not over.
func (p Planner) Ahead() []storage.Pass { return p.PassesIn(p.Now(), p.Now().Add(PlanDays*tx.Day)) }

// schedule saves a pass and puts it on the agenda, or takes it off.
func (p Planner) schedule(pass storage.Pass) {
	p.PutPass(pass)
	if pass.LOS.After(p.Now()) {
		p.onAgenda(pass)
	}
}

// agendaAhead is how far ahead the moments of passes are on the agenda: plannings
// come several times in that time.
const agendaAhead = tx.Day

// begins is before the first moment of a pass of which a reminder comes with a lead.
func begins(pass storage.Pass, lead time.Duration) time.Time {
	return pass.AOS.Add(-max(lead, sound.EarlyLead))
}

// onAgenda puts the moments of a followed pass on the agenda if they are near, and
// takes those of others off.
func (p Planner) onAgenda(pass storage.Pass) {
	switch {
	case !pass.Followed() || pass.Void:
		p.takeOff(pass)
		return
	case !begins(pass, p.Op.Remind.Lead).Before(p.Now().Add(agendaAhead)):
		return
	}
	if pass.Decided.IsZero() {
		p.At(tx.MomentRemind, timing.Later(pass.AOS.Add(-p.Op.Remind.Lead), p.Now()), pass.ID)
	}
	if early := pass.AOS.Add(-sound.EarlyLead); choice.OnOuting(p.Op, pass) && pass.Early.IsZero() && early.After(p.Now()) {
		p.At(MomentEarly, early, pass.ID)
	}
	if pass.AOS.After(p.Now()) || pass.Carded.IsZero() { // at one moment it comes behind the reminder: see their names
		p.At(tx.MomentRise, timing.Later(pass.AOS, p.Now()), pass.ID)
	}
	p.At(tx.MomentSet, pass.LOS, pass.ID)
}

// takeOff takes a pass off the agenda, but for the summary of one that was worked.
func (p Planner) takeOff(pass storage.Pass) {
	p.Off(tx.MomentRemind, pass.ID)
	p.Off(MomentEarly, pass.ID)
	p.Off(tx.MomentRise, pass.ID)
	p.leaveCard(pass)
	if !p.leaned(pass) {
		p.Off(tx.MomentSet, pass.ID)
	}
}

// arm follows or skips a pass by hand.
func (p Planner) arm(pass storage.Pass, follow bool) storage.Pass {
	if follow {
		return p.decide(pass, storage.ArmHand)
	}
	return p.decide(pass, storage.ArmSkipped)
}

// decide arms or skips a pass as was said, which undo takes back.
func (p Planner) decide(pass storage.Pass, how storage.Arming) storage.Pass {
	before, _ := p.Pass(pass.ID)
	p.Op.Decided = &storage.Decision{Pass: pass.ID, Was: pass.Arm, Skeds: before.Skeds}
	pass.Arm = how
	p.schedule(pass)
	p.RenewSheets()
	return pass
}

// TakeBackArming puts the pass that was armed or skipped last back as it was; false if
// none was since something was logged.
func (p Planner) TakeBackArming() bool {
	d := p.Op.Decided
	if d == nil {
		return false
	}
	p.Op.Decided = nil
	pass, ok := p.Pass(d.Pass)
	if !ok || !pass.LOS.After(p.Now()) {
		return false
	}
	skeds := len(pass.Skeds) - len(d.Skeds)
	pass.Arm, pass.Skeds = d.Was, d.Skeds
	p.schedule(pass)
	p.RenewSheets()
	p.Replan()
	p.Say(say.ArmingBack(shown.Planned(pass), pass.Followed(), skeds > 0))
	return true
}

// armedFull reports whether as many passes are armed by hand as may be, beside
// one, and says so.
func (p Planner) armedFull(but storage.PassID) bool {
	armed := lists.Filter(p.StoredIn(p.Now(), p.Now().Add(PlanDays*tx.Day)), func(pass storage.Pass) bool {
		return pass.Arm == storage.ArmHand && pass.ID != but
	})
	if len(armed) < MostArmed {
		return false
	}
	p.Say(limits.TooManyArmed)
	return true
}

// outingPeakDeg is the peak that is enough on a hilltop with a free horizon.
// Common practice, no source.
const outingPeakDeg = 5

// armOutings arms the passes that armed outings want, in place, unless they were armed
// or skipped by hand. One that was armed with its outing stays so, whatever is set and
// however little it changes: it was shown as that, and is on paper.
func (p Planner) armOutings(all []storage.Pass) {
	for i, pass := range all {
		o, out := p.Op.OutingAt(pass.TCA)
		switch {
		case pass.Void || !pass.AOS.After(p.Now()):
		case out && p.holds(o, pass):
			if pass.Arm != storage.ArmSkipped && pass.Arm != storage.ArmHand {
				all[i].Arm = storage.ArmOuting
			}
		case pass.Arm == storage.ArmOuting:
			all[i].Arm = storage.ArmNone
		}
	}
}

// holds reports whether a pass is of an outing: armed with it, or wanted by it.
func (p Planner) holds(o storage.Outing, pass storage.Pass) bool {
	return pass.Arm == storage.ArmOuting && choice.SamePlace(pass.Place, o.Place) || p.wants(o, pass)
}

// wants reports whether an outing wants a pass: one of its birds, from the lowest
// peak that was asked for; else from outingPeakDeg on, or lower where a grid wanted is
// in reach. A sked it wants at any height.
func (p Planner) wants(o storage.Outing, pass storage.Pass) bool {
	if !choice.SamePlace(pass.Place, o.Place) {
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
	return ok && (pass.PeakElDeg >= cmp.Or(o.PeakDeg, outingPeakDeg) ||
		o.PeakDeg == 0 && slices.ContainsFunc(o.Wanted, reached))
}
