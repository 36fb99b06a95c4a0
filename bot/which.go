package bot

import (
	"slices"

	"skyslate/bot/contact"
	"skyslate/bot/event"
	"skyslate/bot/filing"
	"skyslate/bot/ledger"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// showDeliveries asks, once a delivery, which pass it belongs to, and closes the
// question when nothing waits for it any more.
func (sc screen) showDeliveries(s *ledger.Sitting) {
	open := map[string]bool{}
	for _, q := range s.Log.Open {
		name := sc.whichPost(q.Delivery)
		open[name] = true
		sc.againAfter(q.Rivals)
		old, out := sc.StoredPost(name)
		typed := sc.Event.Kind == event.Said || sc.Event.Kind == event.Edited
		if typed || !out || len(old.Buttons) > 0 {
			text, buttons := sc.whichPass(s, q)
			sc.Put(storage.Post{
				Name: name, Class: sc.Asking(), ReplyTo: q.Message, Text: text, Buttons: buttons,
			})
		}
	}
	closed := map[string]bool{}
	for _, ev := range s.Evidence {
		name := sc.whichPost(filing.DeliveryOf(&ev))
		if ev.Kind != storage.EvSaid || open[name] || closed[name] {
			continue
		}
		closed[name] = true
		if post, ok := sc.StoredPost(name); ok && len(post.Buttons) > 0 && holds(s, post.ReplyTo) {
			sc.Put(storage.Post{Name: name, ReplyTo: post.ReplyTo, Text: sc.settledBy(s, filing.DeliveryOf(&ev))})
		}
	}
}

// holds reports whether a message is evidence of a sitting: of one delivery some may be
// about an older one.
func holds(s *ledger.Sitting, message int64) bool {
	return slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool {
		return ev.Kind == storage.EvSaid && ev.Message == message
	})
}

func (sc screen) whichPost(delivery filing.DeliveryID) string { return sc.Name("which", delivery) }

// delivered are the contacts of the messages that came in with a delivery.
func delivered(s *ledger.Sitting, delivery filing.DeliveryID) []contact.Contact {
	came := map[int64]bool{}
	for _, ev := range s.Evidence {
		if ev.Kind == storage.EvSaid && filing.DeliveryOf(&ev) == delivery {
			came[ev.Message] = true
		}
	}
	return lists.Filter(s.Log.Contacts, func(c contact.Contact) bool { return came[c.Key.Message] })
}

// settledBy says how the question which pass a delivery is of was settled, if it was: it
// may be asked with that of another delivery, or nothing may be left to ask it of.
func (sc screen) settledBy(s *ledger.Sitting, delivery filing.DeliveryID) string {
	id, answered := s.AnswerTo(delivery)
	if answered && id == "" {
		return sc.inOrder(s, delivery)
	}
	left := lists.Filter(delivered(s, delivery), func(c contact.Contact) bool { return c.State != storage.Dropped })
	waits := func(c contact.Contact) bool { return c.State == storage.Doubtful && c.Why == contact.WhyPass }
	pass, ok := sc.Pass(id)
	switch {
	case len(left) == 0:
		return say.NothingLeft
	case slices.ContainsFunc(left, waits):
		return say.AskedElsewhere
	case !ok:
		return say.PartKnown
	}
	filed := lists.Filter(sc.Touched(), func(c storage.Contact) bool { return c.Pass == pass.ID && c.Exported() })
	return say.Chosen(shown.Planned(pass), len(filed))
}

// inOrder says how the parts of a delivery were filed.
func (sc screen) inOrder(s *ledger.Sitting, delivery filing.DeliveryID) string {
	var passes []storage.Pass
	n := 0
	for _, c := range delivered(s, delivery) {
		pass, ok := sc.Pass(c.Pass)
		if !ok || c.State == storage.Dropped {
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
func (sc screen) whichPass(s *ledger.Sitting, q contact.Question) (string, [][]storage.Button) {
	rivals := q.Rivals
	if len(rivals) == 0 { // all that it could be
		rivals = sc.finder.Likely(q.Delivery.Began())
	}
	buttons := passButtons(rivals, q.Delivery)
	if q.InOrder {
		first := passButton(say.LabelInOrder, q.Delivery, "")
		return say.Parts(len(rivals), rivals[0].Bird.Name), append([][]storage.Button{{first}}, buttons...)
	}
	m, _ := sc.MessageOf(q.Message)
	text := say.WhichPass(shown.PlannedAll(rivals), m.At, q.NotUp)
	buttons = append(sc.finder.GridButtons(s, q.Contacts), buttons...)
	id, _ := s.AnswerTo(q.Delivery)
	if pass, ok := sc.Pass(id); ok {
		filed := lists.Filter(delivered(s, q.Delivery), func(c contact.Contact) bool { return c.Pass == id && c.Exported() })
		left := make([]say.Contact, len(q.Contacts))
		first, _ := sc.Contact(s.Known[q.Contacts[0]])
		left[0] = shown.Contact(first)
		text = say.Chosen(shown.Planned(pass), len(filed)) + "\n" + say.LeftOver(left) + "\n" + text
	}
	return text, buttons
}

// passButton answers that a delivery is of a pass; of none, that its parts are in
// order.
func passButton(label string, delivery filing.DeliveryID, pass storage.PassID) storage.Button {
	return tx.Button(label, tapFor, delivery, pass)
}

func passButtons(passes []storage.Pass, delivery filing.DeliveryID) [][]storage.Button {
	var rows [][]storage.Button
	for _, pass := range passes[:min(len(passes), tx.MaxChoices)] {
		rows = append(rows, []storage.Button{passButton(say.PassName(shown.Planned(pass)), delivery, pass.ID)})
	}
	return rows
}

// againAfter puts on the agenda that the question is asked once more when the
// last of the passes is over.
func (sc screen) againAfter(rivals []storage.Pass) {
	var end storage.Pass
	for _, pass := range rivals {
		if pass.LOS.After(end.LOS) {
			end = pass
		}
	}
	if end.LOS.After(sc.Now()) {
		sc.At(tx.MomentAgain, end.LOS, end.ID)
	}
}

// askAgain asks once more which pass the contacts belong to that still wait, now
// that hands are free.
func (sc screen) askAgain(end storage.Pass) {
	waiting := lists.Filter(sc.finder.Waiting(), func(c storage.Contact) bool { return slices.Contains(c.Rivals, end.ID) })
	if len(waiting) == 0 {
		return
	}
	m, _ := sc.MessageOf(waiting[0].Message)
	s, ok := sc.ledger.SittingOf(m.Sitting)
	if !ok {
		return
	}
	i := slices.IndexFunc(s.Evidence, func(ev storage.Evidence) bool { return ev.Kind == storage.EvSaid && ev.Message == m.ID })
	if i < 0 {
		return
	}
	var rivals []storage.Pass
	for _, id := range waiting[0].Rivals {
		if pass, ok := sc.Pass(id); ok {
			rivals = append(rivals, pass)
		}
	}
	sc.Put(storage.Post{
		Name: sc.Name("again", end.ID), Class: storage.ClassQuestion, ReplyTo: m.ID, About: tx.IDs(waiting), List: true,
		Text: say.StillOpen(shown.Contacts(waiting)), Buttons: passButtons(rivals, filing.DeliveryOf(&s.Evidence[i])),
	})
}
