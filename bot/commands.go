package bot

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/storage"
)

// listed is how many passes a list shows, and how many it offers to arm.
const (
	listedPasses  = 10
	offeredPasses = 6
)

// showPasses lists the next passes, those followed first of all, with buttons
// to arm and skip.
func (p *plan) showPasses() {
	if !p.ready() {
		p.ask()
		return
	}
	p.replan()
	text, buttons := p.passList()
	p.say(text, buttons...)
}

func (p *plan) passList() (string, [][]storage.Button) {
	now := p.now()
	ahead := only(p.passesIn(now, now.Add(planDays*day)), func(pass storage.Pass) bool {
		return p.listed(pass)
	})
	var rows []passing
	var buttons [][]storage.Button
	refused := p.refusals()
	room := listedPasses
	if refused != "" {
		room -= 1 + strings.Count(refused, "\n")
	}
	for _, pass := range ahead[:min(len(ahead), room)] {
		one, ok := p.telling(pass)
		if !ok {
			continue
		}
		rows = append(rows, one)
		if len(buttons) < offeredPasses {
			buttons = append(buttons, []storage.Button{armButton(pass)})
		}
	}
	switch {
	case refused == "":
		return passesText(rows, p.op.Place), buttons
	case len(rows) == 0:
		return refused, nil
	}
	return passesText(rows, p.op.Place) + "\n" + refused, buttons
}

// listed reports whether a pass is worth a line: followed, skipped by hand, or
// of a bird followed and not grazing.
func (p *plan) listed(pass storage.Pass) bool {
	return pass.Arm != storage.ArmNone || p.follows(pass) && pass.PeakElDeg >= grazingDeg
}

// grazingDeg is the peak below which a pass is not offered unasked: hardly
// above the trees. Common practice, no source.
const grazingDeg = 10

func armButton(pass storage.Pass) storage.Button {
	if pass.Followed() {
		return storage.Button{Label: skipLabel(pass), Data: tapSkip + ":" + string(pass.ID)}
	}
	return storage.Button{Label: armLabel(pass), Data: tapArm + ":" + string(pass.ID)}
}

// refusals says which followed birds can't be predicted, and why.
func (p *plan) refusals() string {
	var errs []error
	for _, bird := range p.sky.Birds() {
		if !follows(p.op.Remind, bird, p.sky.birds) {
			continue
		}
		if _, err := p.sky.Ephemeris(bird.Catalog, p.now(), p.now()); err != nil {
			errs = append(errs, err)
		}
	}
	return refusalsText(errs)
}

// tapArm arms or skips a pass and brings the post that was tapped up to date.
func (p *plan) tapArm(id storage.PassID, follow bool) {
	pass, ok := p.pass(id)
	if !ok || pass.Void || !pass.LOS.After(p.now()) {
		p.say(textOldButton)
		return
	}
	pass = p.arm(pass, follow)
	post, ok := got(p, func() (storage.Post, bool, error) { return p.view.PostByApp(p.op.ID, p.ev.Post) })
	if ok && post.Pass == "" {
		text, buttons := p.passList()
		p.editTapped(text, buttons...)
		return
	}
	p.say(armedText(pass, p.op.Remind, p.now()))
	if ok {
		p.editTapped(post.Text, []storage.Button{armButton(pass)})
	}
}

// showLog shows the pass at hand: the one up, else the last one.
func (p *plan) showLog() {
	f := p.filingAt(p.ev.At)
	pass := f.pass
	if pass.ID == "" && len(f.rivals) > 0 {
		pass = f.rivals[len(f.rivals)-1]
	}
	today := startOfDay(p.ev.At, p.local())
	all := list(p, func() ([]storage.Contact, error) {
		return p.view.Contacts(p.op.ID, today, today.Add(2*day))
	})
	if own := p.contactsOf(pass.ID); pass.ID != "" && len(own) > 0 {
		p.say(logText(passLabel(pass), own, len(only(all, storage.Contact.Exported))))
		p.posts[len(p.posts)-1].About = ids(own)
		return
	}
	p.say(logText(textToday, all, 0))
}

// recent returns the passes that contacts of a moment could belong to, latest
// first.
func (p *plan) recent(at time.Time) []storage.Pass {
	near := p.passesIn(at.Add(-lookBack), at.Add(time.Second))
	near = only(near, func(pass storage.Pass) bool { return pass.Followed() || p.follows(pass) })
	slices.SortFunc(near, func(a, b storage.Pass) int { return cmp.Compare(b.AOS.Unix(), a.AOS.Unix()) })
	return near
}

// forget leaves of the operator nothing but the answer.
func (p *plan) forget() {
	p.forgotten = true
	p.message, p.others, p.posts = nil, nil, nil
}

// askForget asks before everything is removed.
func (p *plan) askForget() {
	n := len(list(p, func() ([]storage.Contact, error) {
		return p.view.Contacts(p.op.ID, time.Time{}, p.ev.At.Add(day))
	}))
	p.say(forgetText(n), []storage.Button{{Label: labelForget, Data: tapForget + ":yes"}})
}
