package bot

import (
	"fmt"
	"slices"
	"strconv"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// The summary of a pass asks the doubts that are left, one after the other: each
// answer is one tap and brings the next.

// doubtsOf are the contacts of a pass that a tap can settle.
func doubtsOf(all []storage.Contact) []storage.Contact {
	return tx.Filter(all, func(c storage.Contact) bool { return c.State == storage.Doubtful && c.Why != contact.WhySlate })
}

// summarise tells what was logged on a pass, and asks the first doubt, or the
// next one after a contact.
func (p *plan) summarise(pass storage.Pass, after uint64) {
	all := p.ContactsOf(pass.ID)
	post := storage.Post{Name: p.Name("sum", pass.ID), About: tx.IDs(all), List: true, Pass: pass.ID}
	doubts, more := doubtsOf(all), p.summaryMore(pass, all)
	if len(doubts) == 0 {
		post.Text = say.Summary(pass.Bird.Name, worth(all), shown.Contacts(all), more, nil)
		p.Put(p.AsCard(pass, post))
		return
	}
	now := doubts[0]
	for _, c := range doubts {
		if c.ID > after {
			now = c
			break
		}
	}
	asks := shown.Contact(now)
	post.Text, post.Buttons = say.Summary(pass.Bird.Name, worth(all), shown.Contacts(all), more, &asks), answerButtons(now)
	if len(doubts) > 1 {
		last := len(post.Buttons) - 1
		post.Buttons[last] = append(post.Buttons[last], storage.Button{
			Label: say.LabelLater, Data: fmt.Sprintf("%s:%d", tapNext, now.ID),
		})
	}
	p.Put(p.AsCard(pass, post))
}

// tapNextDoubt leaves a doubt for later and asks the next.
func (p *plan) tapNextDoubt(rest string) {
	id, err := strconv.ParseUint(rest, 10, 64)
	c, ok := p.Contact(id)
	pass, known := p.Pass(c.Pass)
	if err != nil || !ok || !known {
		p.Say(say.OldButton)
		return
	}
	p.summarise(pass, id)
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
	p.NextCard(pass)
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

// summaryMore is what a summary says beside the contacts: what became of the
// skeds, and what was new.
func (p *plan) summaryMore(pass storage.Pass, all []storage.Contact) []string {
	var lines []string
	if view, ok := p.PassView(pass); ok {
		for _, s := range view.Skeds {
			worked := slices.ContainsFunc(all, func(c storage.Contact) bool { return c.Call == s.Call && c.Exported() })
			lines = append(lines, say.SkedOutcome(view, s, worked)...)
		}
	}
	good := tx.Filter(all, func(c storage.Contact) bool { return c.Exported() && !p.Repeats(c) })
	if len(good) > 0 && p.HasPast(good[0]) {
		lines = append(lines, p.newsTally(good)...)
	}
	return lines[:min(len(lines), say.Lines/2)]
}
