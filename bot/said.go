package bot

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/exchange"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// arrivalSpan is how far apart messages of one delivery may come in.
const arrivalSpan = 10 * time.Second

// arrive notes that something came in.
func (p *plan) arrive() {
	if p.Event.At.Sub(p.Op.Heard) > arrivalSpan || p.Op.Delivery.IsZero() {
		p.Op.Silent, p.Op.Delivery = p.Op.Heard, p.Event.At
	}
	p.Op.Heard = p.Event.At
}

// alive notes that the operator tapped a button. Taps are never held back, so
// the phone is connected and whatever comes next is live.
func (p *plan) alive() {
	p.Op.Heard, p.Op.Silent, p.Op.Delivery = p.Event.At, p.Event.At, time.Time{}
}

// delayed reports whether what comes in now follows a silence that covers a
// whole followed pass, so that it may have been written during that.
func (p *plan) delayed(at time.Time) bool {
	silent := p.Op.Silent
	return !silent.IsZero() && slices.ContainsFunc(p.PassesIn(tx.Later(silent, at.Add(-contact.LookBack)), at), func(pass storage.Pass) bool {
		return pass.Followed() && !pass.AOS.Before(silent) && !pass.LOS.After(at)
	})
}

// log takes a message as evidence, and answers it.
func (p *plan) log(m *storage.Message) {
	reply, s := p.answeredBy()
	if s == nil {
		s = p.present()
	}
	m.Sitting = s.ID
	p.offer(s, storage.Evidence{
		Kind: storage.EvSaid, At: m.At, Message: m.ID, Text: m.Text,
		Began: p.Op.Delivery, Silent: p.Op.Silent, Reply: reply,
	})
	for _, derived := range s.log.Messages {
		if derived.ID == m.ID {
			m.Pass = derived.Pass
		}
	}
	p.show()
	p.CheckPlace()
}

// answeredBy is what the message at hand replies to, and the sitting that knows of
// it; nil where it replies to nothing that the log is about.
func (p *plan) answeredBy() (*storage.Answered, *sitting) {
	if p.Event.ReplyTo == 0 {
		return nil, nil
	}
	if post, ok := p.repliedPost(); ok {
		return p.answeredPost(post)
	}
	m, ok := p.MessageOf(p.Event.ReplyTo)
	if !ok {
		return nil, nil
	}
	if m.Voice != "" {
		return &storage.Answered{Voice: m.ID, Pass: m.Pass}, nil
	}
	return p.answeredMessage(m)
}

func (p *plan) answeredMessage(m storage.Message) (*storage.Answered, *sitting) {
	s, ok := p.sittingOf(m.Sitting)
	if !ok && len(m.Lines) > 0 {
		s, ok = p.adopt(m), true
	}
	if !ok {
		return nil, nil
	}
	return &storage.Answered{Message: m.ID}, s
}

func (p *plan) answeredPost(post storage.Post) (*storage.Answered, *sitting) {
	if p.isSlatePost(post) {
		if r := p.recordingOfPost(post); r != nil {
			return &storage.Answered{Slate: r, Pass: post.Pass}, nil
		}
	}
	if id, ok := strings.CutPrefix(post.Name, p.Name("ack")+"/"); ok {
		n, err := strconv.ParseInt(strings.TrimSuffix(id, "/edit"), 10, 64)
		if m, known := p.MessageOf(n); err == nil && known {
			return p.answeredMessage(m)
		}
	}
	r := &storage.Answered{List: post.List, Pass: post.Pass}
	var in *sitting
	for _, id := range post.About {
		c, ok := p.Contact(id)
		if !ok {
			continue
		}
		if s, key, ok := p.keyOf(c); ok && (in == nil || s == in) {
			in = s
			r.Contacts = append(r.Contacts, key)
		}
	}
	if r.Pass == "" && len(r.Contacts) == 0 {
		return nil, nil
	}
	return r, in
}

// repliedPost returns our post that the message answers.
func (p *plan) repliedPost() (storage.Post, bool) {
	if p.Event.ReplyTo == 0 {
		return storage.Post{}, false
	}
	return tx.Got(p.Tx, func() (storage.Post, bool, error) { return p.View.PostByApp(p.Op.ID, p.Event.ReplyTo) })
}

// repliedContacts returns the contacts that an answer to a message, ours or the
// operator's, means.
func (p *plan) repliedContacts() []storage.Contact {
	post, ours := p.repliedPost()
	about := post.About
	if m, ok := p.MessageOf(p.Event.ReplyTo); ok && !ours {
		about = p.contactsBy(m)
	}
	var all []storage.Contact
	for _, id := range about {
		if c, ok := p.Contact(id); ok && c.State != storage.Dropped {
			all = append(all, c)
		}
	}
	return all
}

// contactsBy are the contacts that a message made, by ID.
func (p *plan) contactsBy(m storage.Message) []uint64 {
	var all []uint64
	if s, ok := p.sittingOf(m.Sitting); ok {
		for _, known := range s.Contacts {
			if known.Key.Message == m.ID {
				all = append(all, known.ID)
			}
		}
		return all
	}
	for _, line := range m.Lines {
		all = append(all, line.Contacts...)
	}
	return all
}

// edited takes a message changed after it was sent: what it says now counts from
// when it was sent. Reactions cause edits that change nothing.
func (p *plan) edited() {
	m, ok := tx.Got(p.Tx, func() (storage.Message, bool, error) { return p.View.Message(p.Op.ID, p.Event.Message) })
	if !ok {
		p.arrive()
		p.said() // never seen before: it counts as sent now
		return
	}
	if m.Text == p.Event.Text {
		return
	}
	before := m.Text
	m.Edits = keepEdits(append(m.Edits, storage.Revision{Replaced: p.Event.At, Text: m.Text}))
	m.Text = p.Event.Text
	p.Message = &m
	if _, _, is := tx.Command(m.Text); is {
		p.Say(say.EditedCommand)
		return
	}
	if m.Answers != "" {
		p.answer(m.Answers, m.Text)
		return
	}
	if len(p.contactsBy(m)) == 0 && p.Pasted(m.Text) || !p.Ready() {
		return
	}
	s, ok := p.sittingOf(m.Sitting)
	if !ok {
		m.Text = before
		s = p.adopt(m)
		m = *p.Message
		m.Text = p.Event.Text
	}
	stood := p.standing(s)
	p.offer(s, storage.Evidence{Kind: storage.EvEdited, Message: m.ID, Text: m.Text})
	p.show()
	p.sayMoved(s, stood)
	switch {
	case len(p.Posts) > 0 || len(p.contactsBy(m)) == 0:
	case !slices.ContainsFunc(p.Touched(), p.entersOtherwise):
		p.Say(say.LaterHolds)
	case p.correctedLater(s, m.ID):
		p.Say(say.LaterHoldsStill)
	default: // what no echo shows, such as a report
		p.Post(storage.Post{Name: p.Name("sign", m.ID, p.Event.ID), Op: storage.React, ReplyTo: m.ID, Text: say.NoteSign, Silent: true})
	}
}

// correctedLater reports whether an answer or another message says something of a
// contact of a message.
func (p *plan) correctedLater(s *sitting, id int64) bool {
	return slices.ContainsFunc(s.log.Contacts, func(c contact.Contact) bool { return c.Key.Message == id && len(c.By) > 1 }) ||
		slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool {
			return !ev.Undone && ev.Kind == storage.EvAnswer && ev.Contact.Message == id
		})
}

// entersOtherwise reports whether a contact is another entry of a log than it was
// before the event.
func (p *plan) entersOtherwise(c storage.Contact) bool {
	old, known := p.StoredContact(c.ID)
	return !known || !exchange.SameEntry(old, c)
}

// standing says under which pass each contact of a sitting stands.
func (p *plan) standing(s *sitting) map[uint64]storage.PassID {
	passes := map[uint64]storage.PassID{}
	for _, known := range s.Contacts {
		if c, ok := p.Contact(known.ID); ok && c.State != storage.Dropped {
			passes[known.ID] = c.Pass
		}
	}
	return passes
}

// sayMoved says under which pass contacts stand now that stood under another.
func (p *plan) sayMoved(s *sitting, before map[uint64]storage.PassID) {
	var now storage.Pass
	n := 0
	for id, pass := range p.standing(s) {
		if was, ok := before[id]; ok && was != pass {
			if to, ok := p.Pass(pass); ok {
				now, n = to, n+1
			}
		}
	}
	if n > 0 {
		p.Say(say.Moved(shown.Planned(now), n))
	}
}

// follow makes the pass that a name or a tap holds the one that the card follows.
func (p *plan) follow(chosen storage.PassID) {
	if chosen == p.Op.Chosen {
		return
	}
	p.Op.Chosen = chosen
	pass, ok := p.Pass(chosen)
	if !ok {
		return
	}
	p.followed = chosen
	if pass.Closed.IsZero() {
		p.At(tx.MomentSet, tx.Later(pass.LOS, p.Now()), pass.ID)
		p.MoveCard(pass)
	}
}
