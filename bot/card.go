package bot

import (
	"slices"
	"time"

	"skyslate/bot/say"
	"skyslate/storage"
)

// momentCard is when a card moves on to its next row.
const momentCard = "card"

// The card is one post for each pass, silent and pinned, that is edited from AOS
// on at each row of its timetable and with each contact, and becomes the summary
// at LOS. Two birds up at once have one card: that of the pass chosen, or of the
// one that rose first.

// stepCard puts a pass's card up, or brings it to the moment, and says when the
// next step is.
func (p *plan) stepCard(pass storage.Pass) {
	view, ok := p.passView(pass)
	if !ok || !p.hasCard(pass) {
		return
	}
	now := p.cardTime()
	if pass.Carded.IsZero() {
		p.caution()
		pass.Carded = now
		p.passes[pass.ID] = pass
	}
	if p.op.Advised == "" {
		p.op.Advised = pass.ID
	}
	p.putCard(pass, view)
	if next := say.NextRow(view, now); next.Before(pass.LOS) {
		p.at(momentCard, next, pass.ID)
	}
}

// cardTime is the moment that a card shows: never earlier than one it showed
// before, so not when a message was sent but when it is handled.
func (p *plan) cardTime() time.Time { return later(p.now(), p.ev.Now) }

// hasCard reports whether a pass is the one that a card follows now.
func (p *plan) hasCard(pass storage.Pass) bool {
	now := p.cardTime()
	if pass.Void || !pass.Closed.IsZero() || !pass.Up(now) {
		return false
	}
	if p.op.Chosen == pass.ID {
		return true
	}
	return pass.Followed() && !slices.ContainsFunc(p.up(now), func(other storage.Pass) bool {
		return other.ID != pass.ID && (other.ID == p.op.Chosen ||
			pass.Carded.IsZero() && !other.Carded.IsZero() && other.Followed())
	})
}

// up returns the passes that are up at a moment.
func (p *plan) up(now time.Time) []storage.Pass {
	return only(p.passesIn(now, now.Add(time.Second)), func(pass storage.Pass) bool { return pass.Up(now) })
}

func (p *plan) putCard(pass storage.Pass, view say.Pass) {
	all := p.contactsOf(pass.ID)
	last := ""
	if good := only(all, func(c storage.Contact) bool { return c.State != storage.Dropped }); len(good) > 0 {
		last = p.echoed(good[len(good)-1])
	}
	open := len(only(all, func(c storage.Contact) bool { return c.State == storage.Doubtful }))
	p.put(storage.Post{
		Name: p.name("card", pass.ID), Pin: storage.PinOn, Pass: pass.ID, About: ids(all), List: true,
		Text: say.Card(view, p.cardTime(), worth(all), open, last, p.op.Advised == pass.ID),
		Buttons: [][]storage.Button{{
			{Label: say.TellLabel(view.Pass), Data: tapTell + ":" + string(pass.ID)},
		}},
	})
}

// refreshCards shows on the card what became of contacts.
func (p *plan) refreshCards() {
	if len(p.contacts) == 0 || !p.ready() {
		return
	}
	for _, pass := range p.up(p.cardTime()) {
		if pass.Carded.IsZero() || !p.hasCard(pass) {
			continue
		}
		if view, ok := p.passView(pass); ok {
			p.putCard(pass, view)
		}
	}
}

// asCard puts a pass's last word into its card, if it has one.
func (p *plan) asCard(pass storage.Pass, post storage.Post) storage.Post {
	if !pass.Carded.IsZero() {
		post.Name, post.Pin = p.name("card", pass.ID), storage.PinOff
	}
	return post
}

// moveCard lets the card follow the pass that was chosen, from AOS on.
func (p *plan) moveCard(pass storage.Pass) {
	if !pass.LOS.After(p.cardTime()) {
		return
	}
	if pass.Up(p.cardTime()) {
		p.stepCard(pass)
	} else {
		p.at(momentCard, pass.AOS, pass.ID)
	}
	for _, other := range p.up(p.cardTime()) {
		if other.ID != pass.ID && other.Closed.IsZero() {
			p.restCard(other, say.WorkedElsewhere(planned(other), planned(pass)))
		}
	}
}

// leaveCard ends the card of a pass that is not followed any more.
func (p *plan) leaveCard(pass storage.Pass) {
	p.off(momentCard, pass.ID)
	if pass.Closed.IsZero() && p.op.Chosen != pass.ID {
		p.restCard(pass, say.Skipped(planned(pass)))
	}
}

// restCard shows on a card that it moves no more; the summary may still come.
func (p *plan) restCard(pass storage.Pass, text string) {
	if !pass.Carded.IsZero() {
		p.put(p.asCard(pass, storage.Post{Text: text, Pass: pass.ID}))
	}
}

// nextCard puts up the card of another pass that waited for this one to end.
func (p *plan) nextCard(ended storage.Pass) {
	for _, pass := range p.up(p.cardTime()) {
		if pass.ID != ended.ID && pass.Followed() {
			p.at(momentCard, p.cardTime(), pass.ID)
		}
	}
}
