package bot

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

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
