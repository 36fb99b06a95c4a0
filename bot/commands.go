package bot

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/storage"
)

// listed is how many passes a list shows, and how many it offers to arm.
const (
	listedPasses  = 10
	offeredPasses = 6
)

// wordStale behind /passes asks for passes from elements past their time.
const wordStale = "stale"

// showPasses lists the next passes, those followed first of all, with buttons
// to arm and skip.
func (p *plan) showPasses(word string) {
	if p.setUpFirst() {
		return
	}
	if strings.EqualFold(word, wordStale) {
		p.showStale()
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
	refused := strings.Trim(p.warnings()+"\n"+p.refusals(), "\n")
	for _, pass := range ahead[:min(len(ahead), listedPasses)] {
		one, ok := p.telling(pass)
		if !ok {
			continue
		}
		rows = append(rows, one)
		if len(buttons) < offeredPasses {
			buttons = append(buttons, []storage.Button{armButton(pass)})
		}
	}
	if len(rows) == 0 && refused != "" {
		return fitted(refused), nil
	}
	return passesText(rows, p.op.Place, refused), buttons
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
	var never []string
	for _, bird := range p.sky.Birds() {
		if !follows(p.op.Remind, bird, p.sky.birds) {
			continue
		}
		if e, ok := p.sky.Elements(bird.Catalog); ok && !e.EverRises(siteOf(p.op.Place)) {
			never = append(never, bird.Name)
			continue
		}
		if _, err := p.sky.Ephemeris(bird.Catalog, p.now(), p.now()); err != nil {
			errs = append(errs, err)
		}
	}
	return strings.Trim(refusalsText(errs)+"\n"+neverText(never), "\n")
}

// tapArm arms or skips a pass and brings the post that was tapped up to date.
func (p *plan) tapArm(id storage.PassID, follow bool) {
	pass, ok := p.pass(id)
	if !ok || pass.Void || !pass.LOS.After(p.now()) {
		p.say(textOldButton)
		return
	}
	if follow && p.armedFull(id) {
		return
	}
	pass = p.arm(pass, follow)
	post, ok := got(p, func() (storage.Post, bool, error) { return p.view.PostByApp(p.op.ID, p.ev.Post) })
	if date, is := p.eveningDate(post.Name); ok && is {
		text, buttons := p.eveningList(date)
		p.editTapped(text, buttons...)
		return
	}
	if ok && post.Pass == "" {
		text, buttons := p.passList()
		p.editTapped(text, buttons...)
		return
	}
	p.say(armedText(pass, p.op.Remind, p.now()))
	if ok {
		p.editTapped(post.Text, withButton(post.Buttons, p.ev.Data, armButton(pass))...)
	}
}

// withButton puts one button in place of another.
func withButton(rows [][]storage.Button, data string, b storage.Button) [][]storage.Button {
	var out [][]storage.Button
	for _, row := range rows {
		row = slices.Clone(row)
		for i := range row {
			if row[i].Data == data {
				row[i] = b
			}
		}
		out = append(out, row)
	}
	return out
}

// showLog shows the pass at hand: the one up, else the last one; the latest
// contacts, or every one.
func (p *plan) showLog(every bool) {
	pass, _ := p.passAtHand(p.ev.At)
	today := startOfDay(p.ev.At, p.local())
	all := list(p, func() ([]storage.Contact, error) {
		return p.view.Contacts(p.op.ID, today, today.Add(2*day))
	})
	all = only(all, func(c storage.Contact) bool { return c.State != storage.Remembered })
	shown, heading := all, textToday
	kept := func(c storage.Contact) bool { return c.State != storage.Dropped }
	if own := only(p.contactsOf(pass.ID), kept); pass.ID != "" && len(own) > 0 {
		shown, heading = own, passLabel(pass)
	}
	waiting := only(p.waiting(), func(c storage.Contact) bool { return !slices.ContainsFunc(shown, sameID(c)) })
	most, before := textLines-4, len(p.posts)
	if every {
		most = mostPages * textLines
	}
	p.say(logText(heading, shown, most, worth(all), len(waiting)))
	for i := range p.posts[before:] {
		post := &p.posts[before+i]
		post.About, post.List, post.Pass = ids(shown), true, pass.ID
	}
}

func sameID(c storage.Contact) func(storage.Contact) bool {
	return func(other storage.Contact) bool { return other.ID == c.ID }
}

// recent returns the passes that contacts of a moment could belong to, latest
// first.
func (p *plan) recent(at time.Time) []storage.Pass {
	near := p.passesIn(at.Add(-contact.LookBack), at.Add(contact.LookAhead))
	near = only(near, func(pass storage.Pass) bool { return pass.Followed() || p.follows(pass) })
	slices.SortFunc(near, func(a, b storage.Pass) int { return cmp.Compare(b.AOS.Unix(), a.AOS.Unix()) })
	return near
}

// forgetWithin is how long the button that removes everything works.
const forgetWithin = 10 * time.Minute

// tapForget removes everything, if the button is the one just asked for.
func (p *plan) tapForget(rest string) {
	asked, err := strconv.ParseInt(rest, 10, 64)
	at := time.Unix(asked, 0)
	if err != nil || at.Before(p.op.Joined.Truncate(time.Second)) && !p.fresh || p.ev.At.Sub(at) > forgetWithin {
		p.say(textOldButton)
		return
	}
	p.forgotten = true // also for one who is not known (any more): a crash may have come between
}

// askForget asks before everything is removed.
func (p *plan) askForget() {
	n := len(list(p, func() ([]storage.Contact, error) {
		return p.view.Contacts(p.op.ID, time.Time{}, p.ev.At.Add(day))
	}))
	p.say(forgetText(n), []storage.Button{{Label: labelForget, Data: fmt.Sprintf("%s:%d", tapForget, p.ev.At.Unix())}})
}
