package bot

import (
	"fmt"
	"reflect"
	"slices"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
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
	it := p.Event.Item
	p.Off(it.Kind, it.Pass)
	switch it.Kind {
	case tx.MomentPlan:
		p.replan()
		return
	case tx.MomentMissed:
		p.missed()
		return
	case momentEvening:
		p.evening(it.At)
		return
	case momentImport:
		p.importMoment(string(it.Pass))
		return
	}
	pass, ok := p.Pass(it.Pass)
	if !ok || pass.Void {
		return
	}
	switch it.Kind {
	case tx.MomentRemind:
		p.remind(pass)
	case tx.MomentRise:
		p.rise(pass)
	case momentEarly:
		p.early(pass)
	case momentCard:
		p.stepCard(pass)
	case tx.MomentSet:
		p.set(pass)
	case tx.MomentAgain:
		p.askAgain(pass)
	}
}

// replan works out the passes of the coming days, gives the new ones their
// identity, and puts those to be followed on the agenda.
func (p *plan) replan() {
	if !p.Ready() {
		return
	}
	now, loc := p.Now(), p.Local()
	since := p.unplanned()
	from := tx.StartOfDay(since, loc)
	to := tx.StartOfDay(tx.StartOfDay(now, loc).AddDate(0, 0, planDays).Add(tx.Day/2), loc)
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
func (p *plan) unplanned() time.Time {
	now := p.Now()
	if p.Op.Planned.IsZero() || !p.Op.Planned.Before(now) {
		return now
	}
	return tx.Later(p.Op.Planned, now.Add(-backlogKept))
}

// catchUp works out the passes about a message that comes after the last planned
// day: the agenda, which does it else, waits until all that had waited is read.
func (p *plan) catchUp() {
	if !p.Op.Planned.IsZero() && !p.Op.Planned.After(p.Now()) {
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
	return slices.ContainsFunc(known, func(k storage.Pass) bool {
		return k.Bird.Catalog == bird.Catalog && !k.Void && k.AOS.Before(f.LOS) && k.LOS.After(f.AOS)
	})
}

// schedule saves a pass and puts it on the agenda, or takes it off.
func (p *plan) schedule(pass storage.Pass) {
	p.PutPass(pass)
	if !pass.LOS.After(p.Now()) {
		return
	}
	if !pass.Followed() || pass.Void {
		p.Off(tx.MomentRemind, pass.ID)
		p.Off(momentEarly, pass.ID)
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
		p.At(momentEarly, early, pass.ID)
	}
	if pass.AOS.After(p.Now()) {
		p.At(tx.MomentRise, pass.AOS, pass.ID)
	} else if pass.Carded.IsZero() {
		p.At(momentCard, p.Now(), pass.ID)
	}
	p.At(tx.MomentSet, pass.LOS, pass.ID)
}

// remind decides the one reminder of a pass, and of the followed passes that
// overlap it, in one message: the best in full, the others a line each.
func (p *plan) remind(first storage.Pass) {
	if !first.Decided.IsZero() || !first.Followed() {
		return
	}
	now := p.Now()
	if !first.LOS.After(now) {
		p.tooLate()
		return
	}
	group := tx.Filter(p.PassesIn(first.AOS, first.LOS), func(pass storage.Pass) bool {
		return pass.ID == first.ID || pass.Followed() && pass.Decided.IsZero() && pass.LOS.After(now)
	})
	var told []storage.Pass
	var end time.Time
	var buttons []storage.Button
	for _, pass := range group {
		if _, ok := p.PassView(pass); ok {
			told = append(told, pass)
		}
		end = tx.Later(end, pass.LOS)
		buttons = append(buttons, storage.Button{Label: say.SkipLabel(shown.Planned(pass)), Data: tapSkip + ":" + string(pass.ID)})
	}
	if len(told) == 0 {
		return // no elements any more: nothing that could be told is right
	}
	for i := range group {
		group[i].Decided = now
		p.PutPass(group[i])
		p.Off(tx.MomentRemind, group[i].ID)
	}
	slices.SortFunc(told, fullFirst)
	best, _ := p.PassView(told[0])
	var others []say.Pass
	rows := [][]storage.Button{buttons, pictureButtons(told[0])}
	for _, other := range told[1:] {
		view, _ := p.PassView(other)
		others = append(others, view)
		rows = append(rows, []storage.Button{{Label: say.TellLabel(view.Pass), Data: tapTell + ":" + string(other.ID)}})
	}
	if there := p.thereButtons(told[0]); len(there) > 0 {
		rows = append(rows, there...)
	} else if p.askHere() {
		rows = append(rows, []storage.Button{p.hereButton()})
	}
	p.Caution()
	p.Post(storage.Post{
		Name: p.Name("remind", first.ID), NotAfter: end, Pass: told[0].ID,
		Text: say.Reminder(best, others, p.Op.Call, now, shown.Zone(told[0].Place)), Buttons: rows,
	})
	if p.Op.Remind.Picture {
		p.sendSky(told[0], 0)
	}
}

// tell shows a pass in full.
func (p *plan) tell(id storage.PassID) {
	pass, ok := p.Pass(id)
	view, can := p.PassView(pass)
	if !ok || pass.Void || !can || !pass.LOS.After(p.Now()) {
		p.Say(say.OldButton)
		return
	}
	p.Say(say.Reminder(view, nil, p.Op.Call, p.Now(), shown.Zone(pass.Place)))
	p.Posts[len(p.Posts)-1].Pass = pass.ID
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
	now := p.Now()
	if !pass.Followed() || !pass.Up(now) {
		return
	}
	p.stepCard(pass)
	up := tx.Filter(p.PassesIn(pass.AOS, pass.AOS.Add(time.Second)), func(other storage.Pass) bool {
		return other.Followed() && other.Up(now)
	})
	if len(up) < 2 || slices.ContainsFunc(up, func(other storage.Pass) bool { return other.ID == p.Op.Chosen }) {
		return
	}
	var buttons [][]storage.Button
	for _, other := range up[:min(len(up), maxChoices)] {
		buttons = append(buttons, []storage.Button{{Label: say.PassName(shown.Planned(other)), Data: tapPass + ":" + string(other.ID)}})
	}
	p.Put(storage.Post{
		Name: p.risePost(up), Text: say.WhichPass(shown.PlannedAll(up), now, ""), Buttons: buttons, NotAfter: pass.LOS,
	})
}

// set handles LOS: the summary of what was logged.
func (p *plan) set(pass storage.Pass) {
	if !pass.Closed.IsZero() {
		return
	}
	pass.Closed = p.Now()
	p.PutPass(pass)
	if pass.Arm == storage.ArmHand || p.Op.Chosen == pass.ID || !pass.Carded.IsZero() || p.WorkedOn(pass) {
		p.summarise(pass, 0)
	}
	p.nextCard(pass)
}

// refreshSummaries brings the summaries up to date of passes that are over and
// whose contacts the plan changed.
func (p *plan) refreshSummaries() {
	done := map[storage.PassID]bool{}
	for _, c := range p.Touched() {
		before := c.Pass
		if old, ok := p.StoredContact(c.ID); ok {
			before = old.Pass
		}
		for _, id := range []storage.PassID{before, c.Pass} {
			if pass, ok := p.Pass(id); ok && !done[id] && !pass.Closed.IsZero() {
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
