package bot

import (
	"slices"
	"time"

	"skyslate/bot/say"
	"skyslate/parse"
	"skyslate/storage"
)

// liveClock is how long a time sent as a message of its own holds while its pass
// is up: by then the message's own stamp is better.
const liveClock = 2 * time.Minute

// carried is the time on a line of an earlier message, if it still holds: for
// what was delivered with it; else two minutes during the pass and, after it,
// until the next followed pass begins.
func (p *plan) carried(f filing, at time.Time) parse.Clock {
	t := p.op.Timing
	if t == nil || at.Before(t.At) {
		return parse.Clock{}
	}
	if !p.op.Delivery.IsZero() && !t.At.Before(p.op.Delivery) && at.Sub(t.At) <= liveClock {
		return t.Clock
	}
	if t.Pass != f.pass.ID || at.Sub(t.At) > lookBack || f.pass.Up(at) && at.Sub(t.At) > liveClock {
		return parse.Clock{}
	}
	begun := slices.ContainsFunc(p.passesIn(t.At, at.Add(time.Second)), func(pass storage.Pass) bool {
		return pass.Followed() && pass.AOS.After(t.At)
	})
	if begun {
		return parse.Clock{}
	}
	return t.Clock
}

// carry keeps the time that holds after a message's last line for those to come;
// a bird's name or a slate ends it.
func (s *scribe) carry() {
	switch {
	case !s.clock.IsSet():
		s.op.Timing = nil
	case s.clockTold:
		s.op.Timing = &storage.Timing{Clock: s.clock, At: s.message.At, Pass: s.timed(s.filing, s.clock, s.message.At).pass.ID}
	}
}

// clockBefore is the time told in earlier messages that held for a message.
func clockBefore(m storage.Message) parse.Clock {
	if len(m.Lines) == 0 || parse.Read(m.Lines[0].Text, parse.Known{})[0].Clock.IsSet() {
		return parse.Clock{}
	}
	return m.Lines[0].Clock
}

// firstPart files what a heap holds before its first name or time: if every
// later pass of the silence has its lines, told by name or time, what is left is
// the first pass's.
func (p *plan) firstPart() {
	if p.op.Delivery.IsZero() {
		return
	}
	all := p.delivered()
	var used []storage.Pass
	for _, c := range all {
		pass, ok := p.pass(c.Pass)
		if ok && (c.Named || c.Clock.IsSet()) && !among(used, pass) {
			used = append(used, pass)
		}
	}
	for _, c := range all {
		if c.Bird.Name != "" || len(c.Rivals) < 2 || c.Clock.IsSet() || c.Named {
			continue
		}
		left := slices.DeleteFunc(slices.Clone(c.Rivals), func(id storage.PassID) bool { return among(used, storage.Pass{ID: id}) })
		if len(left) != 1 {
			continue
		}
		pass, ok := p.pass(left[0])
		first := ok && !slices.ContainsFunc(used, func(other storage.Pass) bool { return !other.AOS.After(pass.AOS) })
		if first {
			f := p.under(pass)
			f.late = true
			p.refile(c, f, storage.Cause{Kind: "refile", Message: p.ev.Message})
			p.partKnown(c)
			p.lineUnder(c, pass.ID)
		}
	}
}

// lineUnder keeps with a contact's line that it belongs to a pass.
func (p *plan) lineUnder(c storage.Contact, pass storage.PassID) {
	m, ok := p.messageOf(c.Message)
	if !ok {
		return
	}
	m.Lines = slices.Clone(m.Lines)
	for i := range m.Lines {
		if slices.Contains(m.Lines[i].Contacts, c.ID) {
			m.Lines[i].Pass = pass
		}
	}
	if p.message != nil && p.message.ID == m.ID {
		*p.message = m
		return
	}
	p.changeMessage(m)
}

// delivered are the contacts of the present delivery, by ID.
func (p *plan) delivered() []storage.Contact {
	stored := list(p, func() ([]storage.Contact, error) {
		return p.view.Contacts(p.op.ID, p.ev.At.Add(-lookBack-day), p.ev.At.Add(day))
	})
	now := func(c storage.Contact) bool {
		return !c.Made.Before(p.op.Delivery) && c.State != storage.Dropped
	}
	return p.overlay(only(stored, now), now)
}

// partKnown closes the question that the first part of a heap was asked with.
func (p *plan) partKnown(c storage.Contact) {
	var rivals []storage.Pass
	for _, id := range c.Rivals {
		if pass, ok := p.pass(id); ok {
			rivals = append(rivals, pass)
		}
	}
	if len(p.unplaced(func(other storage.Contact) bool { return !other.Made.Before(p.op.Delivery) })) > 0 {
		return // the question is about others too
	}
	name := either(p.op.Which, p.name("which", p.whichKey(rivals)))
	if post, ok := got(p, func() (storage.Post, bool, error) { return p.view.Post(name) }); ok && len(post.Buttons) > 0 {
		p.put(storage.Post{Name: name, ReplyTo: post.ReplyTo, Text: say.PartKnown})
	}
}
