package bot

import (
	"slices"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/event"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/storage"
)

// showDeliveries asks, once a delivery, which pass it belongs to, and closes the
// question when nothing waits for it any more.
func (sc screen) showDeliveries(s *sitting) {
	open := map[string]bool{}
	for _, q := range s.log.Open {
		name := sc.whichPost(q.Delivery)
		open[name] = true
		sc.againAfter(q.Rivals)
		if sc.askedAtRise(q) {
			continue
		}
		text, buttons := sc.whichPass(s, q)
		post := storage.Post{Name: name, ReplyTo: q.Message, Silent: true, Text: text, Buttons: buttons}
		old, out := sc.StoredPost(name)
		if out && len(old.Buttons) > 0 {
			sc.Put(post)
			continue
		}
		if sc.Event.Kind == event.Said || sc.Event.Kind == event.Edited || !out {
			sc.Put(post)
		}
	}
	asked := map[string]bool{}
	for _, ev := range s.Evidence {
		name := sc.whichPost(ev.Began)
		if ev.Kind != storage.EvSaid || open[name] || asked[name] {
			continue
		}
		asked[name] = true
		if post, ok := sc.StoredPost(name); ok && len(post.Buttons) > 0 {
			sc.Put(storage.Post{Name: name, ReplyTo: post.ReplyTo, Text: sc.settledBy(s, ev.Began)})
		}
	}
}

// askedAtRise reports whether the same question stands since the second of two
// birds rose.
func (sc screen) askedAtRise(q contact.Question) bool {
	m, _ := sc.MessageOf(q.Message)
	if len(q.Rivals) < 2 || slices.ContainsFunc(q.Rivals, func(pass storage.Pass) bool { return !pass.Up(m.At) }) {
		return false
	}
	post, ok := sc.StoredPost(watch.RisePost(sc.Tx, q.Rivals))
	return ok && len(post.Buttons) > 0
}

func (sc screen) whichPost(delivery time.Time) string { return sc.Name("which", delivery.UnixMilli()) }

// settledBy says how the question which pass a delivery is of was settled.
func (sc screen) settledBy(s *sitting, delivery time.Time) string {
	for _, ev := range slices.Backward(s.Evidence) {
		switch {
		case ev.Undone || ev.Kind != storage.EvPass || !ev.Delivery.Equal(delivery):
		case ev.Pass == "":
			return sc.inOrder(s, delivery)
		default:
			if pass, ok := sc.Pass(ev.Pass); ok {
				n := len(tx.Filter(sc.Touched(), func(c storage.Contact) bool { return c.Pass == pass.ID && c.Exported() }))
				return say.Chosen(shown.Planned(pass), n)
			}
		}
	}
	return say.PartKnown
}

func (sc screen) cameIn(s *sitting, message int64, delivery time.Time) bool {
	return slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool {
		return ev.Kind == storage.EvSaid && ev.Message == message && ev.Began.Equal(delivery)
	})
}

// inOrder says how the parts of a delivery were filed.
func (sc screen) inOrder(s *sitting, delivery time.Time) string {
	var passes []storage.Pass
	n := 0
	for _, c := range s.log.Contacts {
		pass, ok := sc.Pass(c.Pass)
		if !ok || !sc.cameIn(s, c.Key.Message, delivery) || c.State == storage.Dropped {
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
func (sc screen) whichPass(s *sitting, q contact.Question) (string, [][]storage.Button) {
	rivals := q.Rivals
	if len(rivals) == 0 {
		rivals = sc.finder.recent(q.Delivery)
	}
	var buttons [][]storage.Button
	for _, pass := range rivals[:min(len(rivals), tx.MaxChoices)] {
		buttons = append(buttons, []storage.Button{passButton(say.PassName(shown.Planned(pass)), q.Delivery, pass.ID)})
	}
	if q.InOrder {
		first := passButton(say.LabelInOrder, q.Delivery, "")
		return say.Parts(len(rivals), rivals[0].Bird.Name), append([][]storage.Button{{first}}, buttons...)
	}
	m, _ := sc.MessageOf(q.Message)
	text := say.WhichPass(shown.PlannedAll(rivals), m.At, s.log.NotUp[q.Message])
	if answered := sc.lastAnswer(s, q.Delivery); answered != "" {
		if pass, ok := sc.Pass(answered); ok {
			first, _ := sc.Contact(s.known[q.Contacts[0]])
			left := make([]say.Contact, len(q.Contacts))
			left[0] = shown.Contact(first)
			text = say.Chosen(shown.Planned(pass), sc.filedUnder(s, pass.ID, q.Delivery)) + "\n" + say.LeftOver(left) + "\n" + text
		}
	}
	return text, buttons
}

func (sc screen) filedUnder(s *sitting, pass storage.PassID, delivery time.Time) int {
	n := 0
	for _, c := range s.log.Contacts {
		if c.Pass == pass && c.Exported() && sc.cameIn(s, c.Key.Message, delivery) {
			n++
		}
	}
	return n
}

func (sc screen) lastAnswer(s *sitting, delivery time.Time) storage.PassID {
	for _, ev := range slices.Backward(s.Evidence) {
		if !ev.Undone && ev.Kind == storage.EvPass && ev.Delivery.Equal(delivery) {
			return ev.Pass
		}
	}
	return ""
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
	waiting := tx.Filter(sc.finder.waiting(), func(c storage.Contact) bool { return slices.Contains(c.Rivals, end.ID) })
	if len(waiting) == 0 {
		return
	}
	m, _ := sc.MessageOf(waiting[0].Message)
	s, ok := sc.ledger.sittingOf(m.Sitting)
	if !ok {
		return
	}
	i := slices.IndexFunc(s.Evidence, func(ev storage.Evidence) bool { return ev.Kind == storage.EvSaid && ev.Message == m.ID })
	if i < 0 {
		return
	}
	var buttons [][]storage.Button
	for _, id := range waiting[0].Rivals[:min(len(waiting[0].Rivals), tx.MaxChoices)] {
		if pass, ok := sc.Pass(id); ok {
			buttons = append(buttons, []storage.Button{passButton(say.PassName(shown.Planned(pass)), s.Evidence[i].Began, id)})
		}
	}
	sc.Put(storage.Post{
		Name: sc.Name("again", end.ID), ReplyTo: waiting[0].Message, About: tx.IDs(waiting), List: true,
		Text: say.StillOpen(shown.Contacts(waiting)), Buttons: buttons,
	})
}

// earlierButton offers the pass that went by in silence.
func (sc screen) earlierButton(c contact.Contact) [][]storage.Button {
	pass, ok := sc.Pass(c.Earlier)
	if !ok {
		return nil
	}
	return [][]storage.Button{{passButton(say.EarlierLabel(shown.Planned(pass)), c.Delivery, pass.ID)}}
}

// passButton answers that a delivery is of a pass; of none, that its parts are in order.
func passButton(label string, delivery time.Time, pass storage.PassID) storage.Button {
	return tx.Button(label, tapFor, delivery.UnixMilli(), pass)
}
