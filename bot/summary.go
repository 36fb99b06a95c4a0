package bot

import (
	"slices"

	"skyslate/bot/contact"
	"skyslate/bot/exchange"
	"skyslate/bot/layout"
	"skyslate/bot/lists"
	"skyslate/bot/meant"
	"skyslate/bot/report"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// The summary of a pass asks the doubts that are left, one after the other: each
// answer is one tap and brings the next.

// summarise tells what was logged on a pass, and asks the first doubt, or the
// next one after a contact.
func (sc screen) summarise(pass storage.Pass, after uint64) {
	all := sc.ContactsOf(pass.ID)
	post := storage.Post{
		Name: sc.Name("sum", pass.ID), Class: sc.Asking(), About: tx.IDs(all), List: true, Pass: pass.ID,
	}
	doubts := lists.Filter(all, func(c storage.Contact) bool {
		return c.State == storage.Doubtful && c.Why != contact.WhySlate && c.Why != contact.WhyWords
	})
	var asks *say.Contact
	if len(doubts) > 0 {
		doubt := doubts[max(0, slices.IndexFunc(doubts, func(c storage.Contact) bool { return c.ID > after }))]
		asks, post.Buttons = new(shown.Contact(doubt)), meant.Answers(doubt, sc.Event.At)
		if last := len(post.Buttons) - 1; len(doubts) > 1 {
			post.Buttons[last] = append(post.Buttons[last], tx.Button(say.LabelLater, tapNext, doubt.ID))
		}
	}
	if slices.ContainsFunc(all, exchange.Worded) {
		post.Buttons = append(post.Buttons, []storage.Button{tx.Button(say.LabelAllWorked, exchange.TapWorded)})
	}
	post.Text = say.Summary(pass.Bird.Name, report.Worth(all), len(sc.Waiting(pass)), report.Listed(sc.Tx, all, sc.peers.Agreed(all)), sc.summaryMore(pass, all), asks)
	sc.Put(sc.card.AsCard(pass, post))
}

// set handles LOS: the summary of what was logged.
func (sc screen) set(pass storage.Pass) {
	if !pass.Closed.IsZero() {
		return
	}
	pass.Closed = sc.Now()
	sc.PutPass(pass)
	if pass.Arm == storage.ArmHand || sc.Op.Chosen == pass.ID || !pass.Carded.IsZero() || sc.WorkedOn(pass) {
		sc.summarise(pass, 0)
	}
	sc.card.NextCard(pass)
}

// refreshSummaries brings the summaries up to date of passes that are over and
// whose contacts the plan changed.
func (sc screen) refreshSummaries() {
	done := map[storage.PassID]bool{}
	for _, c := range sc.Touched() {
		old, _ := sc.StoredContact(c.ID)
		for _, id := range slices.Concat([]storage.PassID{old.Pass, c.Pass}, old.Rivals, c.Rivals) {
			if done[id] {
				continue
			}
			done[id] = true
			if pass, ok := sc.Pass(id); ok && !pass.Closed.IsZero() {
				sc.summarise(pass, 0)
			}
		}
	}
}

// compare tells what differs in an hour of the log from those of others, and brings the
// summaries up to date that show what agrees.
func (p *plan) compare(hour string) {
	for _, id := range p.peers.Compare(hour) {
		if pass, ok := p.Pass(id); ok && !pass.Closed.IsZero() {
			p.summarise(pass, 0)
		}
	}
}

// summaryMore is what a summary says beside the contacts: what became of the
// skeds, and what was new.
func (sc screen) summaryMore(pass storage.Pass, all []storage.Contact) []string {
	var lines []string
	if view, ok := sc.PassView(pass); ok {
		for _, s := range view.Skeds {
			worked := slices.ContainsFunc(all, func(c storage.Contact) bool { return c.Call == s.Call && c.Exported() })
			lines = append(lines, say.SkedOutcome(view, s, worked)...)
		}
	}
	good := lists.Filter(all, func(c storage.Contact) bool { return c.Exported() && !sc.Repeats(c) })
	if len(good) > 0 && sc.past.HasPast(good[0]) {
		lines = append(lines, sc.past.Tally(good)...)
	}
	lines = append(lines, say.NotesKept(len(sc.ledger.Notes(pass)))...)
	return lines[:min(len(lines), layout.Lines/2)]
}
