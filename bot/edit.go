package bot

import (
	"slices"
	"strings"

	"skyslate/parse"
	"skyslate/storage"
)

// edited takes a message changed after it was sent: a difference by line, read
// as of the moment the message was first sent. Lines that did not change keep
// what was corrected in them since. Reactions cause edits that change nothing.
func (p *plan) edited() {
	m, ok := got(p, func() (storage.Message, bool, error) { return p.view.Message(p.op.ID, p.ev.Message) })
	if !ok {
		p.arrive()
		p.said() // never seen before: it counts as sent now
		return
	}
	if m.Text == p.ev.Text {
		return
	}
	m.Edits = append(m.Edits, storage.Revision{Replaced: p.ev.At, Text: m.Text})
	m.Text = p.ev.Text
	p.message = &m
	if _, _, is := command(m.Text); is {
		p.say(textEditedCommand)
		return
	}
	if !p.ready() {
		return
	}
	f := p.filingAt(m.At)
	if pass, ok := p.pass(m.Pass); ok {
		f = p.under(pass)
	}
	p.rewrite(&m, f)
	p.acknowledge(m)
	p.refreshSummaries()
}

// rewrite files the changed lines of a message anew: each takes the place of
// the old line that it replaces.
func (p *plan) rewrite(m *storage.Message, f filing) {
	cause := storage.Cause{Kind: "edit", Message: m.ID}
	s := &scribe{plan: p, filing: f, at: m.At, message: m.ID, cause: cause}
	lines := parse.Read(m.Text, p.known(f))
	kept, replaced, gone := diffLines(m.Lines, lines)
	for _, old := range gone {
		for _, id := range old.Contacts {
			s.retract(id)
		}
	}
	m.Lines = nil
	for i, line := range lines {
		if old, ok := kept[i]; ok {
			if line.Bird != "" {
				s.switchTo(line.Bird)
			}
			m.Lines = append(m.Lines, old)
			continue
		}
		ids := s.line(line, replaced[i].Contacts)
		m.Lines = append(m.Lines, storage.MessageLine{Text: line.Text, Contacts: ids})
	}
	m.Pass = s.filing.pass.ID
	p.rivals = s.filing.rivals
}

// diffLines tells which new lines stood there before, which replace an old one (in
// order), and which old ones are gone.
func diffLines(old []storage.MessageLine, lines []parse.Line) (kept, replaced map[int]storage.MessageLine, gone []storage.MessageLine) {
	kept, replaced = map[int]storage.MessageLine{}, map[int]storage.MessageLine{}
	rest := slices.Clone(old)
	for i, line := range lines {
		j := slices.IndexFunc(rest, func(o storage.MessageLine) bool { return o.Text == line.Text })
		if j >= 0 {
			kept[i] = rest[j]
			rest = slices.Delete(rest, j, j+1)
		}
	}
	for i := range lines {
		if _, ok := kept[i]; !ok && len(rest) > 0 {
			replaced[i], rest = rest[0], rest[1:]
		}
	}
	return kept, replaced, rest
}

// repliedPost returns our post that the message answers.
func (p *plan) repliedPost() (storage.Post, bool) {
	if p.ev.ReplyTo == 0 {
		return storage.Post{}, false
	}
	return got(p, func() (storage.Post, bool, error) { return p.view.PostByApp(p.op.ID, p.ev.ReplyTo) })
}

// repliedContacts returns the contacts that an answer to a message, ours or the
// operator's, means.
func (p *plan) repliedContacts() []storage.Contact {
	var about []uint64
	if post, ok := p.repliedPost(); ok {
		about = post.About
	} else if m, ok := got(p, func() (storage.Message, bool, error) { return p.view.Message(p.op.ID, p.ev.ReplyTo) }); ok {
		for _, line := range m.Lines {
			about = append(about, line.Contacts...)
		}
	}
	var all []storage.Contact
	for _, id := range about {
		if c, ok := p.contact(id); ok && c.State != storage.Dropped {
			all = append(all, c)
		}
	}
	return all
}

// reply completes or corrects the contact that the answered message is about;
// false if it is about none, or the answer says nothing about it.
func (p *plan) reply(m *storage.Message) bool {
	targets := p.repliedContacts()
	if len(targets) == 0 {
		return false
	}
	pass, _ := p.pass(targets[0].Pass)
	lines := parse.Read(m.Text, p.known(p.under(pass)))
	if len(lines) != 1 {
		return false
	}
	c, ok := answerIn(lines[0])
	if !ok {
		return false
	}
	target, ok := targetOf(targets, c)
	if !ok {
		p.say(textWhichContact)
		return true
	}
	cause := storage.Cause{Kind: "reply", Message: m.ID}
	if lines[0].Denies {
		c.Heard = true
	}
	id := p.amend(target, c, cause)
	m.Lines = []storage.MessageLine{{Text: m.Text}} // the contact stays the first message's
	m.Pass = target.Pass
	now, _ := p.contact(id)
	p.showAmended(now)
	return true
}

// answerIn is what a line says about the contact it answers.
func answerIn(line parse.Line) (parse.Contact, bool) {
	switch {
	case len(line.Contacts) == 1:
		c := line.Contacts[0]
		if !c.Clock.IsSet() {
			c.Clock = line.Clock
		}
		return c, true
	case line.Clock.IsSet():
		return parse.Contact{Clock: line.Clock, Verdict: parse.Log}, true
	case line.Denies:
		return parse.Contact{Verdict: parse.Log, Heard: true}, true
	}
	return parse.Contact{}, false
}

// targetOf picks the contact that an answer means: the only one; the one of the
// same call; for a grid alone the only one without.
func targetOf(targets []storage.Contact, c parse.Contact) (storage.Contact, bool) {
	if len(targets) == 1 {
		return targets[0], true
	}
	fitting := only(targets, func(t storage.Contact) bool {
		if c.Call.IsValid() {
			return t.Call == c.Call
		}
		return len(c.Grids) > 0 && len(t.Grids) == 0
	})
	if len(fitting) != 1 {
		return storage.Contact{}, false
	}
	return fitting[0], true
}

// showAmended answers a correction: the contact as it is now.
func (p *plan) showAmended(c storage.Contact) {
	if c.State == storage.Doubtful {
		p.question(c)
	} else {
		p.say(echoLine(c, p.ordinal(c), p.repeats(c), p.op.Place))
		p.posts[len(p.posts)-1].About = []uint64{c.ID}
		p.closeQuestion(c)
	}
	p.refreshAcks(0)
	p.refreshSummaries()
}

// closeQuestion shows an open question about a contact as answered.
func (p *plan) closeQuestion(c storage.Contact) {
	name := p.name("ask", c.ID)
	post, ok := got(p, func() (storage.Post, bool, error) { return p.view.Post(name) })
	if ok && len(post.Buttons) > 0 {
		p.answered(c)
	}
}

// clockOf is the time that was typed for a contact, if one was.
func clockOf(c storage.Contact) parse.Clock {
	if c.TimeSource != storage.FromTyped {
		return parse.Clock{}
	}
	return parse.MakeClock(c.Time.UTC().Hour(), c.Time.UTC().Minute())
}

// undo takes back the newest step that is not taken back yet.
func (p *plan) undo() {
	step, ok := got(p, func() (storage.Step, bool, error) { return p.view.LastStep(p.op.ID) })
	if !ok {
		p.say(textNothingToUndo)
		return
	}
	step.Undone = true
	p.steps = append(p.steps, step)
	var now []storage.Contact
	for _, move := range slices.Backward(step.Moves) {
		if c, ok := p.revert(move); ok {
			now = append(now, c)
		}
	}
	p.moves = nil // undo is not undone: it goes on backwards
	p.say(undoneText(step, now))
	for _, c := range now {
		p.reask(c)
	}
	p.refreshAcks(0)
	p.refreshSummaries()
}

// revert appends to a contact's history what it was before a step.
func (p *plan) revert(move storage.Move) (storage.Contact, bool) {
	c, ok := p.contact(move.Contact)
	if !ok {
		return c, false
	}
	version := c.Version
	if move.From == 0 {
		c.State = storage.Dropped
	} else {
		c, ok = got(p, func() (storage.Contact, bool, error) {
			return p.view.ContactAt(p.op.ID, move.Contact, move.From)
		})
		if !ok {
			return c, false
		}
		c.Version = version
	}
	c.Cause = storage.Cause{Kind: "undo", Message: p.ev.Message}
	return p.add(c), true
}

// reask brings the question about a contact in line with what it is now.
func (p *plan) reask(c storage.Contact) {
	switch {
	case c.State == storage.Doubtful && c.Why != whyPass:
		p.question(c)
	default:
		p.closeQuestion(c)
	}
}

// noteText is a text shortened for a line.
func noteText(s string, width int) string {
	return clip(strings.Join(strings.Fields(s), " "), width)
}
