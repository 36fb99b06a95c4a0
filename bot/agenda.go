package bot

import (
	"fmt"
	"reflect"
	"slices"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/sky"
	"skyslate/bot/zone"
	"skyslate/predict"
	"skyslate/storage"
)

const (
	// planDays is how many local days are worked out, the present one included.
	planDays = 3
	// planEvery is how often they are worked out anew.
	planEvery = 6 * time.Hour
)

// moment handles an item of the agenda.
func (p *plan) moment() {
	it := p.ev.Item
	p.cancel = append(p.cancel, it.Key)
	switch it.Kind {
	case momentPlan:
		p.replan()
		return
	case momentMissed:
		p.missed()
		return
	case momentEvening:
		p.evening(it.At)
		return
	case momentImport:
		p.importMoment(string(it.Pass))
		return
	}
	pass, ok := p.pass(it.Pass)
	if !ok || pass.Void {
		return
	}
	switch it.Kind {
	case momentRemind:
		p.remind(pass)
	case momentRise:
		p.rise(pass)
	case momentEarly:
		p.early(pass)
	case momentCard:
		p.stepCard(pass)
	case momentSet:
		p.set(pass)
	case momentAgain:
		p.askAgain(pass)
	}
}

// ready reports whether the operator has said what passes and contacts need.
func (p *plan) ready() bool { return p.op.Call.IsValid() && len(p.op.Place.Grids) > 0 }

// local is the operator's time zone.
func (p *plan) local() *time.Location { return zoneOf(p.op.Place) }

// zoneOf is the time zone of a place.
func zoneOf(place storage.Place) *time.Location {
	loc, err := time.LoadLocation(place.Zone)
	if err != nil {
		_, loc = zone.At(place.LatDeg, place.LonDeg)
	}
	return loc
}

// replan works out the passes of the coming days, gives the new ones their
// identity, and puts those to be followed on the agenda.
func (p *plan) replan() {
	if !p.ready() {
		return
	}
	now, loc := p.now(), p.local()
	since := p.unplanned()
	from := startOfDay(since, loc)
	to := startOfDay(startOfDay(now, loc).AddDate(0, 0, planDays).Add(day/2), loc)
	all := p.allPassesIn(from, to)
	before := slices.Clone(all)
	for _, bird := range p.sky.Birds() {
		found, err := p.sky.Passes(p.op.Place, bird.Catalog, since, to)
		if err != nil {
			continue // a bird without usable elements is told where birds are shown
		}
		all = p.match(all, p.sightings(bird, found, since, to), bird, now)
	}
	p.armOutings(all)
	p.hide(all)
	arms := choose(p.op.Remind, all, p.sky.Birds(), loc)
	for i, pass := range all {
		if pass.Arm = arms[i]; p.leftOut(pass, arms[i]) {
			pass.Arm = storage.ArmNone
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
	p.op.Planned = to
	p.at(momentPlan, now.Add(planEvery), "")
	p.planEvening()
}

// backlogKept is how far back a message may come from that waited while nothing
// was running: messaging services keep what waits for a day (common practice, no
// source).
const backlogKept = day

// unplanned is since when passes are to be worked out: now, or before, when
// nothing was running for longer than was planned ahead. What was typed then
// belongs to a pass, too.
func (p *plan) unplanned() time.Time {
	now := p.now()
	if p.op.Planned.IsZero() || !p.op.Planned.Before(now) {
		return now
	}
	return later(p.op.Planned, now.Add(-backlogKept))
}

// catchUp works out the passes about a message that comes after the last planned
// day: the agenda, which does it else, waits until all that had waited is read.
func (p *plan) catchUp() {
	if !p.op.Planned.IsZero() && !p.op.Planned.After(p.now()) {
		p.replan()
	}
}

// match gives each pass found the identity of the known one that it overlaps,
// or a new one, and voids the known ones that were not found again.
func (p *plan) match(known []storage.Pass, found []sighting, bird predict.Bird, now time.Time) []storage.Pass {
	again := map[storage.PassID]bool{}
	for _, f := range found {
		if f.AOS.IsZero() || f.LOS.IsZero() || !f.AOS.After(now) && begun(known, bird, f.Pass) {
			continue // one that has begun stays as it was told
		}
		i := slices.IndexFunc(known, func(k storage.Pass) bool {
			return k.Bird.Catalog == bird.Catalog && k.AOS.Before(f.LOS) && k.LOS.After(f.AOS)
		})
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
			p.loseSkeds(k)
		}
	}
	return known
}

// newPass gives a pass its identity.
func (p *plan) newPass(f sighting, bird predict.Bird) storage.Pass {
	return seen(storage.Pass{
		ID:       storage.PassID(fmt.Sprintf("%s-%d", f.AOS.UTC().Format("20060102T150405Z"), bird.Catalog)),
		Operator: p.op.ID, Bird: sky.Ref(bird),
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
	return slices.ContainsFunc(known, func(k storage.Pass) bool {
		return k.Bird.Catalog == bird.Catalog && !k.Void && k.AOS.Before(f.LOS) && k.LOS.After(f.AOS)
	})
}

// schedule saves a pass and puts it on the agenda, or takes it off.
func (p *plan) schedule(pass storage.Pass) {
	p.passes[pass.ID] = pass
	if !pass.LOS.After(p.now()) {
		return
	}
	if !pass.Followed() || pass.Void {
		p.off(momentRemind, pass.ID)
		p.off(momentEarly, pass.ID)
		p.off(momentRise, pass.ID)
		p.leaveCard(pass)
		if p.op.Chosen != pass.ID && !p.workedOn(pass) {
			p.off(momentSet, pass.ID)
		}
		return
	}
	if pass.Decided.IsZero() {
		p.at(momentRemind, later(pass.AOS.Add(-p.op.Remind.Lead), p.now()), pass.ID)
	}
	if early := pass.AOS.Add(-earlyLead); pass.Arm == storage.ArmOuting && pass.Early.IsZero() && early.After(p.now()) {
		p.at(momentEarly, early, pass.ID)
	}
	if pass.AOS.After(p.now()) {
		p.at(momentRise, pass.AOS, pass.ID)
	} else if pass.Carded.IsZero() {
		p.at(momentCard, p.now(), pass.ID)
	}
	p.at(momentSet, pass.LOS, pass.ID)
}

// remind decides the one reminder of a pass, and of the followed passes that
// overlap it, in one message: the best in full, the others a line each.
func (p *plan) remind(first storage.Pass) {
	if !first.Decided.IsZero() || !first.Followed() {
		return
	}
	now := p.now()
	if !first.LOS.After(now) {
		p.tooLate()
		return
	}
	group := only(p.passesIn(first.AOS, first.LOS), func(pass storage.Pass) bool {
		return pass.ID == first.ID || pass.Followed() && pass.Decided.IsZero() && pass.LOS.After(now)
	})
	var told []storage.Pass
	var end time.Time
	var buttons []storage.Button
	for _, pass := range group {
		if _, ok := p.passView(pass); ok {
			told = append(told, pass)
		}
		end = later(end, pass.LOS)
		buttons = append(buttons, storage.Button{Label: say.SkipLabel(planned(pass)), Data: tapSkip + ":" + string(pass.ID)})
	}
	if len(told) == 0 {
		return // no elements any more: nothing that could be told is right
	}
	for i := range group {
		group[i].Decided = now
		p.passes[group[i].ID] = group[i]
		p.off(momentRemind, group[i].ID)
	}
	slices.SortFunc(told, fullFirst)
	best, _ := p.passView(told[0])
	var others []say.Pass
	rows := [][]storage.Button{buttons, pictureButtons(told[0])}
	for _, other := range told[1:] {
		view, _ := p.passView(other)
		others = append(others, view)
		rows = append(rows, []storage.Button{{Label: say.TellLabel(view.Pass), Data: tapTell + ":" + string(other.ID)}})
	}
	if there := p.thereButtons(told[0]); len(there) > 0 {
		rows = append(rows, there...)
	} else if p.askHere() {
		rows = append(rows, []storage.Button{p.hereButton()})
	}
	p.caution()
	p.post(storage.Post{
		Name: p.name("remind", first.ID), NotAfter: end, Pass: told[0].ID,
		Text: say.Reminder(best, others, p.op.Call, now, zoneOf(told[0].Place)), Buttons: rows,
	})
	if p.op.Remind.Picture {
		p.sendSky(told[0], 0)
	}
}

// tell shows a pass in full.
func (p *plan) tell(id storage.PassID) {
	pass, ok := p.pass(id)
	view, can := p.passView(pass)
	if !ok || pass.Void || !can || !pass.LOS.After(p.now()) {
		p.say(say.OldButton)
		return
	}
	p.say(say.Reminder(view, nil, p.op.Call, p.now(), zoneOf(pass.Place)))
	p.posts[len(p.posts)-1].Pass = pass.ID
}

// fullFirst orders overlapping passes by which one is shown in full: one armed
// by hand, then the highest, then the earliest.
func fullFirst(a, b storage.Pass) int {
	switch byHand := a.Arm == storage.ArmHand; {
	case byHand == (b.Arm == storage.ArmHand):
		return better(a, b)
	case byHand:
		return -1
	}
	return 1
}

// rise handles AOS: the card goes up, and where another followed bird is up, one
// tap says which is worked.
func (p *plan) rise(pass storage.Pass) {
	now := p.now()
	if !pass.Followed() || !pass.Up(now) {
		return
	}
	p.stepCard(pass)
	up := only(p.passesIn(pass.AOS, pass.AOS.Add(time.Second)), func(other storage.Pass) bool {
		return other.Followed() && other.Up(now)
	})
	if len(up) < 2 || slices.ContainsFunc(up, func(other storage.Pass) bool { return other.ID == p.op.Chosen }) {
		return
	}
	var buttons [][]storage.Button
	for _, other := range up[:min(len(up), maxChoices)] {
		buttons = append(buttons, []storage.Button{{Label: say.PassName(planned(other)), Data: tapPass + ":" + string(other.ID)}})
	}
	p.put(storage.Post{
		Name: p.risePost(up), Text: say.WhichPass(plannedAll(up), now, ""), Buttons: buttons, NotAfter: pass.LOS,
	})
}

// set handles LOS: the summary of what was logged.
func (p *plan) set(pass storage.Pass) {
	if !pass.Closed.IsZero() {
		return
	}
	pass.Closed = p.now()
	p.passes[pass.ID] = pass
	if pass.Arm == storage.ArmHand || p.op.Chosen == pass.ID || !pass.Carded.IsZero() || p.workedOn(pass) {
		p.summarise(pass, 0)
	}
	p.nextCard(pass)
}

// refreshSummaries brings the summaries up to date of passes that are over and
// whose contacts the plan changed.
func (p *plan) refreshSummaries() {
	done := map[storage.PassID]bool{}
	for _, c := range p.touched() {
		before := c.Pass
		if old, ok := p.storedContact(c.ID); ok {
			before = old.Pass
		}
		for _, id := range []storage.PassID{before, c.Pass} {
			if pass, ok := p.pass(id); ok && !done[id] && !pass.Closed.IsZero() {
				done[id] = true
				p.summarise(pass, 0)
			}
		}
	}
}

// arm follows or skips a pass by hand.
func (p *plan) arm(pass storage.Pass, follow bool) storage.Pass {
	pass.Arm = storage.ArmSkipped
	if follow {
		pass.Arm = storage.ArmHand
	}
	p.schedule(pass)
	return pass
}

func startOfDay(t time.Time, loc *time.Location) time.Time {
	y, m, d := t.In(loc).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, loc).UTC()
}
