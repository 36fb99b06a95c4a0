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
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
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
	if p.SetUpFirst() {
		return
	}
	if strings.EqualFold(word, wordStale) {
		p.showStale()
		return
	}
	p.replan()
	text, buttons := p.passList()
	p.Say(text, buttons...)
}

func (p *plan) passList() (string, [][]storage.Button) {
	now := p.Now()
	ahead := tx.Filter(p.PassesIn(now, now.Add(planDays*tx.Day)), func(pass storage.Pass) bool {
		return p.listed(pass)
	})
	var rows []say.Pass
	var buttons [][]storage.Button
	refused := strings.Trim(p.warnings()+"\n"+p.refusals(), "\n")
	for _, pass := range ahead[:min(len(ahead), say.ListedPasses)] {
		view, ok := p.PassView(pass)
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
	return say.Passes(rows, shown.Place(p.Op.Place), refused), buttons
}

// listed reports whether a pass is worth a line: followed, skipped by hand, or
// of a bird followed and not grazing.
func (p *plan) listed(pass storage.Pass) bool {
	return pass.Arm != storage.ArmNone || p.Follows(pass) && pass.PeakElDeg >= grazingDeg
}

// grazingDeg is the peak below which a pass is not offered unasked: hardly
// above the trees. Common practice, no source.
const grazingDeg = 10

func armButton(pass storage.Pass) storage.Button {
	if pass.Followed() {
		return storage.Button{Label: say.SkipLabel(shown.Planned(pass)), Data: tapSkip + ":" + string(pass.ID)}
	}
	return storage.Button{Label: say.ArmLabel(shown.Planned(pass)), Data: tapArm + ":" + string(pass.ID)}
}

// refusals says which followed birds can't be predicted, and why.
func (p *plan) refusals() string {
	var errs []error
	var never []string
	for _, bird := range p.Sky.Birds() {
		if !p.Sky.Follows(p.Op.Remind, bird) {
			continue
		}
		if e, ok := p.Sky.Elements(bird.Catalog); ok && !e.EverRises(sky.Site(p.Op.Place)) {
			never = append(never, bird.Name)
			continue
		}
		if _, err := p.Sky.Ephemeris(bird.Catalog, p.Now(), p.Now()); err != nil {
			errs = append(errs, err)
		}
	}
	return strings.Trim(say.Refusals(shown.Refused(errs))+"\n"+say.NeverUp(never), "\n")
}

// tapArm arms or skips a pass and brings the post that was tapped up to date.
func (p *plan) tapArm(id storage.PassID, follow bool) {
	pass, ok := p.Pass(id)
	if !ok || pass.Void || !pass.LOS.After(p.Now()) {
		p.Say(say.OldButton)
		return
	}
	if follow && p.armedFull(id) {
		return
	}
	pass = p.arm(pass, follow)
	post, ok := tx.Got(p.Tx, func() (storage.Post, bool, error) { return p.View.PostByApp(p.Op.ID, p.Event.Post) })
	if date, is := p.eveningDate(post.Name); ok && is {
		text, buttons := p.eveningList(date)
		p.EditTapped(text, buttons...)
		return
	}
	if ok && post.Pass == "" {
		text, buttons := p.passList()
		p.EditTapped(text, buttons...)
		return
	}
	p.Say(p.armedText(pass))
	if ok {
		p.EditTapped(post.Text, withButton(post.Buttons, p.Event.Data, armButton(pass))...)
	}
}

// armedText says whether a pass is followed now, and when its reminder comes.
func (p *plan) armedText(pass storage.Pass) string {
	remind := pass.AOS.Add(-p.Op.Remind.Lead)
	switch {
	case pass.Arm == storage.ArmSkipped:
		return say.Skipped(shown.Planned(pass))
	case !pass.Decided.IsZero(), !p.Now().Before(remind):
		remind = time.Time{}
	}
	return say.Armed(shown.Planned(pass), remind)
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
	pass, _ := p.passAtHand(p.Event.At)
	today := tx.StartOfDay(p.Event.At, p.Local())
	all := tx.List(p.Tx, func() ([]storage.Contact, error) {
		return p.View.Contacts(p.Op.ID, today, today.Add(2*tx.Day))
	})
	all = tx.Filter(all, func(c storage.Contact) bool { return c.State != storage.Remembered })
	told, heading := all, say.Today
	kept := func(c storage.Contact) bool { return c.State != storage.Dropped }
	if own := tx.Filter(p.ContactsOf(pass.ID), kept); pass.ID != "" && len(own) > 0 {
		told, heading = own, say.PassName(shown.Planned(pass))
	}
	waiting := tx.Filter(p.waiting(), func(c storage.Contact) bool { return !slices.ContainsFunc(told, sameID(c)) })
	most, before := say.Lines-4, len(p.Posts)
	if every {
		most = say.MostPages * say.Lines
	}
	p.Say(say.Log(heading, shown.Contacts(told), most, say.LogCounts{Worth: worth(told), Today: worth(all), Waiting: len(waiting)}))
	for i := range p.Posts[before:] {
		post := &p.Posts[before+i]
		post.About, post.List, post.Pass = tx.IDs(told), true, pass.ID
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
	near := p.PassesIn(at.Add(-contact.LookBack), at.Add(contact.LookAhead))
	near = tx.Filter(near, func(pass storage.Pass) bool { return pass.Followed() || p.Follows(pass) })
	slices.SortFunc(near, func(a, b storage.Pass) int { return cmp.Compare(b.AOS.Unix(), a.AOS.Unix()) })
	return near
}

// forgetWithin is how long the button that removes everything works.
const forgetWithin = 10 * time.Minute

// tapForget removes everything, if the button is the one just asked for.
func (p *plan) tapForget(rest string) {
	asked, err := strconv.ParseInt(rest, 10, 64)
	at := time.Unix(asked, 0)
	if err != nil || at.Before(p.Op.Joined.Truncate(time.Second)) && !p.Fresh || p.Event.At.Sub(at) > forgetWithin {
		p.Say(say.OldButton)
		return
	}
	p.forgotten = true // also for one who is not known (any more): a crash may have come between
}

// askForget asks before everything is removed.
func (p *plan) askForget() {
	n := len(tx.List(p.Tx, func() ([]storage.Contact, error) {
		return p.View.Contacts(p.Op.ID, time.Time{}, p.Event.At.Add(tx.Day))
	}))
	p.Say(say.AskForget(n), []storage.Button{{Label: say.LabelForget, Data: fmt.Sprintf("%s:%d", tapForget, p.Event.At.Unix())}})
}
