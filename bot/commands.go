package bot

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/sky"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// offeredPasses is how many passes of a list have a button to arm them.
const offeredPasses = 6

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
	var rows []say.Pass
	var buttons [][]storage.Button
	refused := strings.Trim(p.warnings()+"\n"+p.refusals(), "\n")
	for _, pass := range ahead[:min(len(ahead), say.ListedPasses)] {
		view, ok := p.passView(pass)
		if !ok {
			continue
		}
		rows = append(rows, view)
		if len(buttons) < offeredPasses {
			buttons = append(buttons, []storage.Button{armButton(pass)})
		}
	}
	if len(rows) == 0 && refused != "" {
		return say.Fit(refused), nil
	}
	return say.Passes(rows, placeView(p.op.Place), refused), buttons
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
		return storage.Button{Label: say.SkipLabel(planned(pass)), Data: tapSkip + ":" + string(pass.ID)}
	}
	return storage.Button{Label: say.ArmLabel(planned(pass)), Data: tapArm + ":" + string(pass.ID)}
}

// refusals says which followed birds can't be predicted, and why.
func (p *plan) refusals() string {
	var errs []error
	var never []string
	for _, bird := range p.sky.Birds() {
		if !p.sky.Follows(p.op.Remind, bird) {
			continue
		}
		if e, ok := p.sky.Elements(bird.Catalog); ok && !e.EverRises(sky.Site(p.op.Place)) {
			never = append(never, bird.Name)
			continue
		}
		if _, err := p.sky.Ephemeris(bird.Catalog, p.now(), p.now()); err != nil {
			errs = append(errs, err)
		}
	}
	return strings.Trim(say.Refusals(refusedView(errs))+"\n"+say.NeverUp(never), "\n")
}

// tapArm arms or skips a pass and brings the post that was tapped up to date.
func (p *plan) tapArm(id storage.PassID, follow bool) {
	pass, ok := p.pass(id)
	if !ok || pass.Void || !pass.LOS.After(p.now()) {
		p.say(say.OldButton)
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
	p.say(p.armedText(pass))
	if ok {
		p.editTapped(post.Text, withButton(post.Buttons, p.ev.Data, armButton(pass))...)
	}
}

// armedText says whether a pass is followed now, and when its reminder comes.
func (p *plan) armedText(pass storage.Pass) string {
	remind := pass.AOS.Add(-p.op.Remind.Lead)
	switch {
	case pass.Arm == storage.ArmSkipped:
		return say.Skipped(planned(pass))
	case !pass.Decided.IsZero(), !p.now().Before(remind):
		remind = time.Time{}
	}
	return say.Armed(planned(pass), remind)
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
	shown, heading := all, say.Today
	kept := func(c storage.Contact) bool { return c.State != storage.Dropped }
	if own := only(p.contactsOf(pass.ID), kept); pass.ID != "" && len(own) > 0 {
		shown, heading = own, say.PassName(planned(pass))
	}
	waiting := only(p.waiting(), func(c storage.Contact) bool { return !slices.ContainsFunc(shown, sameID(c)) })
	most, before := say.Lines-4, len(p.posts)
	if every {
		most = say.MostPages * say.Lines
	}
	p.say(say.Log(heading, contactViews(shown), most, say.LogCounts{Worth: worth(shown), Today: worth(all), Waiting: len(waiting)}))
	for i := range p.posts[before:] {
		post := &p.posts[before+i]
		post.About, post.List, post.Pass = ids(shown), true, pass.ID
	}
}

// worth is how many contacts count: a station once a pass.
func worth(all []storage.Contact) int { return len(logbook.Entries(all)) }

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
		p.say(say.OldButton)
		return
	}
	p.forgotten = true // also for one who is not known (any more): a crash may have come between
}

// askForget asks before everything is removed.
func (p *plan) askForget() {
	n := len(list(p, func() ([]storage.Contact, error) {
		return p.view.Contacts(p.op.ID, time.Time{}, p.ev.At.Add(day))
	}))
	p.say(say.AskForget(n), []storage.Button{{Label: say.LabelForget, Data: fmt.Sprintf("%s:%d", tapForget, p.ev.At.Unix())}})
}
