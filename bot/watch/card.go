package watch

import (
	"slices"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/lists"
	"skyslate/bot/phrase"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// The card is one post for each pass, silent and pinned, that is edited from AOS
// on at each row of its timetable and with each contact, and becomes the summary
// at LOS. Two birds up at once have one card: that of the pass chosen, or of the
// one that rose first.

// CardTime is the moment that a card shows: never earlier than one it showed
// before, so not when a message was sent but when it is handled.
func (p Card) CardTime() time.Time { return timing.Later(p.Now(), p.Event.Now) }

// StepCard puts a pass's card up, or brings it to the moment, and says when the
// next step is.
func (p Card) StepCard(pass storage.Pass) {
	view, ok := p.PassView(pass)
	if !ok || !p.hasCard(pass) {
		return
	}
	now := p.CardTime()
	if pass.Carded.IsZero() {
		p.Caution()
		pass.Carded = now
		p.PutPass(pass)
		for _, other := range p.up(now) {
			if other.ID != pass.ID && !other.Followed() && p.keepsCard(other) {
				p.restCard(other, say.WorkedElsewhere(shown.Planned(other), shown.Planned(pass)))
			}
		}
	}
	if p.Op.Advised == "" {
		p.Op.Advised = pass.ID
	}
	p.putCard(pass, view)
	if next := say.NextRow(view, now); next.Before(pass.LOS) {
		p.At(MomentCard, next, pass.ID)
	}
}

// hasCard reports whether a pass is the one that a card follows now.
func (p Card) hasCard(pass storage.Pass) bool {
	now := p.CardTime()
	if pass.Void || !pass.Closed.IsZero() || !pass.Up(now) {
		return false
	}
	if p.Op.Chosen == pass.ID {
		return true
	}
	return (pass.Followed() || p.keepsCard(pass)) && !slices.ContainsFunc(p.up(now), func(other storage.Pass) bool {
		comesFirst := !pass.Followed() || pass.Carded.IsZero() && !other.Carded.IsZero()
		return other.ID != pass.ID && (other.ID == p.Op.Chosen || other.Followed() && comesFirst)
	})
}

// keepsCard reports whether a pass keeps its card though it is not followed any more: with
// contacts on it that goes on to their summary.
func (p Card) keepsCard(pass storage.Pass) bool {
	return !pass.Carded.IsZero() && pass.Up(p.CardTime()) && p.WorkedOn(pass)
}

// up returns the passes up at a moment that something stands on.
func (p Card) up(now time.Time) []storage.Pass {
	return lists.Filter(p.StoredIn(now, now.Add(time.Second)), func(pass storage.Pass) bool { return pass.Up(now) })
}

func (p Card) putCard(pass storage.Pass, view say.Pass) {
	all := p.ContactsOf(pass.ID)
	last := ""
	if good := lists.Filter(all, func(c storage.Contact) bool { return c.State != storage.Dropped }); len(good) > 0 {
		last = p.Echoed(good[len(good)-1], time.Time{})
	}
	open := len(lists.Filter(all, func(c storage.Contact) bool { return c.State == storage.Doubtful })) + len(p.Waiting(pass))
	p.Put(storage.Post{
		Name: p.Name("card", pass.ID), Class: storage.ClassCard, Pin: storage.PinOn, Pass: pass.ID, About: tx.IDs(all), List: true,
		Text:    say.Card(view, p.CardTime(), len(logbook.Entries(all)), open, last, p.Op.Advised == pass.ID),
		Buttons: [][]storage.Button{{tx.Button(say.TellLabel(view.Pass), TapTell, pass.ID)}},
	})
}

// RefreshCards shows on the card what became of contacts.
func (p Card) RefreshCards() {
	if len(p.Contacts) == 0 || !p.Ready() {
		return
	}
	for _, pass := range p.up(p.CardTime()) {
		if pass.Carded.IsZero() || !p.hasCard(pass) {
			continue
		}
		if view, ok := p.PassView(pass); ok {
			p.putCard(pass, view)
		}
		if !pass.Followed() { // it may have rested since it was skipped
			p.At(MomentCard, p.CardTime(), pass.ID)
		}
	}
}

// AsCard puts a pass's last word into its card, if it has one.
func (p Card) AsCard(pass storage.Pass, post storage.Post) storage.Post {
	if !pass.Carded.IsZero() {
		post.Name, post.Pin = p.Name("card", pass.ID), storage.PinOff
	}
	return post
}

// MoveCard lets the card follow the pass that was chosen, from AOS on.
func (p Card) MoveCard(pass storage.Pass) {
	if !pass.LOS.After(p.CardTime()) {
		return
	}
	if pass.Up(p.CardTime()) {
		p.StepCard(pass)
	} else {
		p.At(MomentCard, pass.AOS, pass.ID)
	}
	for _, other := range p.up(p.CardTime()) {
		if other.ID != pass.ID && other.Closed.IsZero() {
			p.restCard(other, say.WorkedElsewhere(shown.Planned(other), shown.Planned(pass)))
		}
	}
}

// Unchosen lets the card follow the pass again that it follows where none is chosen.
func (p Card) Unchosen() {
	for _, pass := range p.up(p.CardTime()) {
		if p.hasCard(pass) {
			p.MoveCard(pass)
			return
		}
	}
}

// leaveCard ends the card of a pass that is not followed any more.
func (p Card) leaveCard(pass storage.Pass) {
	if p.keepsCard(pass) {
		return
	}
	p.Off(MomentCard, pass.ID)
	if pass.Closed.IsZero() && p.Op.Chosen != pass.ID {
		p.restCard(pass, say.Skipped(shown.Planned(pass)))
	}
}

// restCard shows on a card that it moves no more; the summary may still come.
func (p Card) restCard(pass storage.Pass, text string) {
	if !pass.Carded.IsZero() {
		p.Put(p.AsCard(pass, storage.Post{Class: storage.ClassCard, Text: text, Pass: pass.ID}))
	}
}

// NextCard puts up the card of another pass that waited for this one to end.
func (p Card) NextCard(ended storage.Pass) {
	for _, pass := range p.up(p.CardTime()) {
		if pass.ID != ended.ID && pass.Followed() {
			p.At(MomentCard, p.CardTime(), pass.ID)
		}
	}
}

// SayChosen says under which pass lines go from now on, and where that is still to rise
// which one is up, whose card gives way.
func (p Card) SayChosen(pass storage.Pass) {
	now := p.Event.At
	for _, other := range p.StoredIn(now, now.Add(time.Second)) {
		if other.Up(now) && other.Followed() && other.ID != pass.ID && pass.AOS.After(now) {
			p.Say(say.ChosenAhead(shown.Planned(pass), shown.Planned(other), now))
			return
		}
	}
	p.Say(p.Chosen(pass))
}

// Chosen says under which pass lines go from now on, and what the event filed there.
func (p Card) Chosen(pass storage.Pass) string {
	chosen := say.Chosen(shown.Planned(pass), len(lists.Filter(p.Touched(), storage.Contact.Exported)))
	return chosen + phrase.When(!pass.LOS.After(p.Event.At), "\n"+say.HoldsSet(filing.HoldsSet))
}
