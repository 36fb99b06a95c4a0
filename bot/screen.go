package bot

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/event"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// What stands on the operator's screen about the log follows from the log: each
// message's echo, the questions, the card, the summaries. show compares what should
// stand with what does, and posts the difference.

// show brings the screen in line with the sittings that the event changed.
func (p *plan) show() {
	for _, s := range p.changedSittings() {
		stale := p.stale(s)
		for _, m := range s.log.Messages {
			if stale[m.ID] || p.Message != nil && m.ID == p.Message.ID {
				p.showMessage(s, m)
			}
		}
		p.showGone(s, stale)
		p.closeQuestions(s)
		p.showDeliveries(s)
		p.showSlates(s)
	}
	p.refreshSummaries()
}

// showGone says of messages that were taken back that nothing of them is left.
func (p *plan) showGone(s *sitting, stale map[int64]bool) {
	for _, ev := range s.Evidence {
		stands := slices.ContainsFunc(s.log.Messages, func(m contact.Message) bool { return m.ID == ev.Message })
		if ev.Kind == storage.EvSaid && stale[ev.Message] && !stands && p.acked(ev.Message) {
			p.Put(storage.Post{Name: p.Name("ack", ev.Message), ReplyTo: ev.Message, Text: say.NothingLeft})
		}
	}
}

func (p *plan) changedSittings() []*sitting {
	var all []*sitting
	for _, s := range p.sittings {
		if s.changed {
			all = append(all, s)
		}
	}
	slices.SortFunc(all, func(a, b *sitting) int { return cmp.Compare(a.ID, b.ID) })
	return all
}

// stale are the messages whose echo may say something else now: contacts of theirs
// changed, or what their echo holds them against.
func (p *plan) stale(s *sitting) map[int64]bool {
	calls, squares, passes := map[parse.Callsign]bool{}, map[parse.Grid]bool{}, map[storage.PassID]bool{}
	var past time.Time // from which on contacts have a past now, or none any more
	for id, c := range p.Contacts {
		old, known := p.StoredContact(id)
		if tx.Remembered(c) != tx.Remembered(old) && (past.IsZero() || c.Time.Before(past)) {
			past = c.Time
		}
		if !known {
			continue
		}
		calls[c.Call], calls[old.Call] = true, true
		for _, g := range slices.Concat(c.Grids, old.Grids) {
			squares[g.Square()] = true
		}
		if old.Pass != c.Pass {
			passes[c.Pass], passes[old.Pass] = true, true
		}
	}
	messages := map[int64]bool{}
	moved := map[storage.ContactKey]bool{}
	for _, c := range s.log.Contacts {
		_, changed := p.Contacts[s.known[c.Key]]
		held := calls[c.Call] || passes[c.Pass] || slices.ContainsFunc(c.Grids, func(g parse.Grid) bool { return squares[g.Square()] })
		moved[c.Key] = changed || held || !past.IsZero() && c.Time.After(past)
	}
	for _, m := range s.log.Messages {
		messages[m.ID] = slices.ContainsFunc(m.Contacts, func(key storage.ContactKey) bool { return moved[key] })
	}
	// A line that is gone may have left its message without contacts.
	for _, known := range s.Contacts {
		if _, changed := p.Contacts[known.ID]; changed {
			messages[known.Key.Message] = true
		}
	}
	return messages
}

// told are the contacts that a message made or changed, by ID.
func (p *plan) told(s *sitting, m contact.Message) []contact.Contact {
	var all []contact.Contact
	for _, c := range s.log.Contacts {
		if slices.Contains(m.Contacts, c.Key) {
			c.Contact, _ = p.Contact(s.known[c.Key])
			all = append(all, c)
		}
	}
	return all
}

// showMessage echoes a message: a line for each contact that is settled, a
// question for each doubt, a sign for a note.
func (p *plan) showMessage(s *sitting, m contact.Message) {
	answering := p.Message != nil && m.ID == p.Message.ID && p.Event.Kind == event.Said
	told := p.told(s, m)
	for _, c := range told {
		if p.asksItself(c) {
			p.question(c.Contact)
		}
	}
	if post, ok := p.echoOf(m, told); ok {
		p.Put(post)
	}
	if answering {
		p.answerWords(s, m, len(told) > 0)
	}
}

// echoOf is the echo that a message should have, if it should have one.
func (p *plan) echoOf(m contact.Message, told []contact.Contact) (storage.Post, bool) {
	var all, sure []storage.Contact
	var rows [][]storage.Button
	acked := p.acked(m.ID)
	for _, c := range told {
		all = append(all, c.Contact)
		if p.asksItself(c) || c.Message == m.ID && p.asked(c.ID) {
			continue // its question shows it
		}
		sure = append(sure, c.Contact)
		if c.Earlier != "" && len(rows) == 0 && c.Pass != "" {
			rows = p.earlierButton(c)
		}
	}
	if !acked && len(sure) == 0 {
		return storage.Post{}, false
	}
	if len(sure) == 0 {
		sure = all
	}
	return storage.Post{
		Name: p.Name("ack", m.ID), ReplyTo: m.ID, Text: p.echo(sure), Buttons: append(p.suggestions(sure), rows...), About: tx.IDs(sure), Pass: m.Pass,
	}, true
}

// answerWords answers what a message says beside contacts.
func (p *plan) answerWords(s *sitting, m contact.Message, logged bool) {
	bird := m.NotUp
	if m.Unheld.Clock.IsSet() {
		pass, _ := p.Pass(m.Unheld.Pass)
		p.Say(say.TimeUnheld(m.Unheld.Clock, shown.Planned(pass), m.Unheld.Pass != ""))
		if !logged {
			return
		}
	}
	switch {
	case m.Ignored == contact.WhichOne:
		p.Say(say.WhichContact)
	case m.Ignored == contact.NoRewrite:
		p.Say(say.NoRewrite)
	case logged:
	case bird != "":
		p.Say(say.NotUp(bird))
	case len(m.Told) > 0:
	case m.Alone && p.followed != "":
		if pass, ok := p.Pass(p.followed); ok {
			p.Say(say.Chosen(shown.Planned(pass), 0))
		}
	default:
		p.Post(storage.Post{Name: p.Name("sign", m.ID), Op: storage.React, ReplyTo: m.ID, Text: say.NoteSign, Silent: true})
	}
}

// earlierButton offers the pass that went by in silence.
func (p *plan) earlierButton(c contact.Contact) [][]storage.Button {
	pass, ok := p.Pass(c.Earlier)
	if !ok {
		return nil
	}
	return [][]storage.Button{{{Label: say.EarlierLabel(shown.Planned(pass)), Data: forButton(c.Delivery, pass.ID)}}}
}

func forButton(delivery time.Time, pass storage.PassID) string {
	return fmt.Sprintf("%s:%d:%s", tapFor, delivery.UnixMilli(), pass)
}

// asksItself reports whether a contact is asked about in a post of its own: its
// pass and its slate are asked together with others, and what came late by the
// summary of its pass.
func (p *plan) asksItself(c contact.Contact) bool {
	if c.State != storage.Doubtful || c.Why == contact.WhyPass || c.Why == contact.WhySlate {
		return false
	}
	pass, ok := p.Pass(c.Pass)
	switch {
	case p.asked(c.ID):
		return true
	case c.Cause.Kind == causeBulk || c.Cause.Kind == causeUndo:
		return false
	case !ok || pass.Closed.IsZero():
		return true
	}
	m, _ := p.MessageOf(c.Message)
	return !c.Late && !pass.Closed.After(m.At) && (p.Event.Kind == event.Said || p.Event.Kind == event.Edited)
}

// asked reports whether a contact is asked about in a post of its own, or was.
func (p *plan) asked(id uint64) bool {
	_, ok := p.StoredPost(p.Name("ask", id))
	return ok
}

// closeQuestions shows as answered the questions about contacts that are settled
// now, whatever settled them.
func (p *plan) closeQuestions(s *sitting) {
	for _, c := range p.Touched() {
		post, ok := p.StoredPost(p.Name("ask", c.ID))
		if !ok || len(post.Buttons) == 0 {
			continue
		}
		i := slices.IndexFunc(s.log.Contacts, func(o contact.Contact) bool { return s.known[o.Key] == c.ID })
		if i >= 0 {
			as := s.log.Contacts[i]
			as.Contact = c
			if p.asksItself(as) {
				p.question(c)
				continue
			}
		}
		text := say.DroppedNow(shown.Contact(c))
		if c.State != storage.Dropped {
			text = p.Echoed(c)
		}
		p.Put(storage.Post{Name: post.Name, ReplyTo: c.Message, Text: text, About: []uint64{c.ID}, Pass: c.Pass})
	}
}

// acked reports whether a message has been echoed.
func (p *plan) acked(id int64) bool {
	_, ok := p.StoredPost(p.Name("ack", id))
	return ok
}

// showDeliveries asks, once a delivery, which pass it belongs to, and closes the
// question when nothing waits for it any more.
func (p *plan) showDeliveries(s *sitting) {
	open := map[string]bool{}
	for _, q := range s.log.Open {
		name := p.whichPost(q.Delivery)
		open[name] = true
		p.againAfter(q.Rivals)
		if p.askedAtRise(q) {
			continue
		}
		text, buttons := p.whichPass(s, q)
		post := storage.Post{Name: name, ReplyTo: q.Message, Silent: true, Text: text, Buttons: buttons}
		old, out := p.StoredPost(name)
		if out && len(old.Buttons) > 0 {
			p.Put(post)
			continue
		}
		if p.Event.Kind == event.Said || p.Event.Kind == event.Edited || !out {
			p.Put(post)
		}
	}
	asked := map[string]bool{}
	for _, ev := range s.Evidence {
		name := p.whichPost(ev.Began)
		if ev.Kind != storage.EvSaid || open[name] || asked[name] {
			continue
		}
		asked[name] = true
		if post, ok := p.StoredPost(name); ok && len(post.Buttons) > 0 {
			p.Put(storage.Post{Name: name, ReplyTo: post.ReplyTo, Text: p.settledBy(s, ev.Began)})
		}
	}
}

// askedAtRise reports whether the same question stands since the second of two
// birds rose.
func (p *plan) askedAtRise(q contact.Question) bool {
	m, _ := p.MessageOf(q.Message)
	if len(q.Rivals) < 2 || slices.ContainsFunc(q.Rivals, func(pass storage.Pass) bool { return !pass.Up(m.At) }) {
		return false
	}
	post, ok := p.StoredPost(p.RisePost(q.Rivals))
	return ok && len(post.Buttons) > 0
}

func (p *plan) whichPost(delivery time.Time) string { return p.Name("which", delivery.UnixMilli()) }

// settledBy says how the question which pass a delivery is of was settled.
func (p *plan) settledBy(s *sitting, delivery time.Time) string {
	for _, ev := range slices.Backward(s.Evidence) {
		switch {
		case ev.Undone || ev.Kind != storage.EvPass || !ev.Delivery.Equal(delivery):
		case ev.Pass == "":
			return p.inOrder(s, delivery)
		default:
			if pass, ok := p.Pass(ev.Pass); ok {
				n := len(tx.Filter(p.Touched(), func(c storage.Contact) bool { return c.Pass == pass.ID && c.Exported() }))
				return say.Chosen(shown.Planned(pass), n)
			}
		}
	}
	return say.PartKnown
}

func (p *plan) cameIn(s *sitting, message int64, delivery time.Time) bool {
	return slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool {
		return ev.Kind == storage.EvSaid && ev.Message == message && ev.Began.Equal(delivery)
	})
}

// inOrder says how the parts of a delivery were filed.
func (p *plan) inOrder(s *sitting, delivery time.Time) string {
	var passes []storage.Pass
	n := 0
	for _, c := range s.log.Contacts {
		pass, ok := p.Pass(c.Pass)
		if !ok || !p.cameIn(s, c.Key.Message, delivery) || c.State == storage.Dropped {
			continue
		}
		n++
		if !slices.ContainsFunc(passes, func(o storage.Pass) bool { return o.ID == pass.ID }) {
			passes = append(passes, pass)
		}
	}
	return say.InOrder(shown.PlannedAll(passes), n)
}

// whichPass is the question which pass a delivery is of.
func (p *plan) whichPass(s *sitting, q contact.Question) (string, [][]storage.Button) {
	rivals := q.Rivals
	if len(rivals) == 0 {
		rivals = p.recent(q.Delivery)
	}
	var buttons [][]storage.Button
	for _, pass := range rivals[:min(len(rivals), tx.MaxChoices)] {
		buttons = append(buttons, []storage.Button{{Label: say.PassName(shown.Planned(pass)), Data: forButton(q.Delivery, pass.ID)}})
	}
	if q.InOrder {
		first := storage.Button{Label: say.LabelInOrder, Data: forButton(q.Delivery, "")}
		return say.Parts(len(rivals), rivals[0].Bird.Name), append([][]storage.Button{{first}}, buttons...)
	}
	m, _ := p.MessageOf(q.Message)
	text := say.WhichPass(shown.PlannedAll(rivals), m.At, q.NotUp)
	if answered := p.lastAnswer(s, q.Delivery); answered != "" {
		if pass, ok := p.Pass(answered); ok {
			first, _ := p.Contact(s.known[q.Contacts[0]])
			left := make([]say.Contact, len(q.Contacts))
			left[0] = shown.Contact(first)
			text = say.Chosen(shown.Planned(pass), p.filedUnder(s, pass.ID, q.Delivery)) + "\n" + say.LeftOver(left) + "\n" + text
		}
	}
	return text, buttons
}

func (p *plan) filedUnder(s *sitting, pass storage.PassID, delivery time.Time) int {
	n := 0
	for _, c := range s.log.Contacts {
		if c.Pass == pass && c.Exported() && p.cameIn(s, c.Key.Message, delivery) {
			n++
		}
	}
	return n
}

func (p *plan) lastAnswer(s *sitting, delivery time.Time) storage.PassID {
	for _, ev := range slices.Backward(s.Evidence) {
		if !ev.Undone && ev.Kind == storage.EvPass && ev.Delivery.Equal(delivery) {
			return ev.Pass
		}
	}
	return ""
}

// showSlates asks for the slates that contacts wait for, and says what was told.
func (p *plan) showSlates(s *sitting) {
	for _, m := range s.log.Messages {
		if p.Message == nil || m.ID != p.Message.ID {
			continue
		}
		for _, told := range m.Told {
			p.saySlate(s, told)
		}
	}
	for _, c := range p.Touched() {
		r := contact.RecordingOf(c, c.Pass)
		if c.State == storage.Doubtful && c.Why == contact.WhySlate && slices.Contains(s.log.Waiting, r) {
			p.Put(storage.Post{
				Name: p.slatePost(r), ReplyTo: c.Message, Text: say.AskSlate(p.recordingName(r)),
				Buttons: p.slateOffers(s, r), Pass: r.Pass,
			})
		}
	}
}

// againAfter puts on the agenda that the question is asked once more when the
// last of the passes is over.
func (p *plan) againAfter(rivals []storage.Pass) {
	var end storage.Pass
	for _, pass := range rivals {
		if pass.LOS.After(end.LOS) {
			end = pass
		}
	}
	if end.LOS.After(p.Now()) {
		p.At(tx.MomentAgain, end.LOS, end.ID)
	}
}

// askAgain asks once more which pass the contacts belong to that still wait, now
// that hands are free.
func (p *plan) askAgain(end storage.Pass) {
	waiting := tx.Filter(p.waiting(), func(c storage.Contact) bool { return slices.Contains(c.Rivals, end.ID) })
	if len(waiting) == 0 {
		return
	}
	m, _ := p.MessageOf(waiting[0].Message)
	s, ok := p.sittingOf(m.Sitting)
	if !ok {
		return
	}
	i := slices.IndexFunc(s.Evidence, func(ev storage.Evidence) bool { return ev.Kind == storage.EvSaid && ev.Message == m.ID })
	if i < 0 {
		return
	}
	var buttons [][]storage.Button
	for _, id := range waiting[0].Rivals[:min(len(waiting[0].Rivals), tx.MaxChoices)] {
		if pass, ok := p.Pass(id); ok {
			buttons = append(buttons, []storage.Button{{Label: say.PassName(shown.Planned(pass)), Data: forButton(s.Evidence[i].Began, id)}})
		}
	}
	p.Put(storage.Post{
		Name: p.Name("again", end.ID), ReplyTo: waiting[0].Message, About: tx.IDs(waiting), List: true,
		Text: say.StillOpen(shown.Contacts(waiting)), Buttons: buttons,
	})
}

// waiting are the contacts of the last hours that no pass is known for.
func (p *plan) waiting() []storage.Contact {
	from, to := p.Event.At.Add(-contact.LookBack-tx.Day), p.Event.At.Add(tx.Day)
	all := tx.List(p.Tx, func() ([]storage.Contact, error) { return p.View.Contacts(p.Op.ID, from, to) })
	return p.Overlay(all, func(c storage.Contact) bool {
		return c.Pass == "" && c.Bird.Name == "" && c.State == storage.Doubtful && !tx.Imported(c)
	})
}
