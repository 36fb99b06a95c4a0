package bot

import (
	"slices"
	"strings"

	"skyslate/bot/say"
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
	m.Edits = keepEdits(append(m.Edits, storage.Revision{Replaced: p.ev.At, Text: m.Text}))
	m.Text = p.ev.Text
	p.message = &m
	if _, _, is := command(m.Text); is {
		p.say(say.EditedCommand)
		return
	}
	if m.Answers != "" {
		p.answer(m.Answers, m.Text)
		return
	}
	if !holdsContacts(m) && p.pasted(m.Text) {
		return
	}
	if !p.ready() {
		return
	}
	if m.Tells != nil {
		p.retell(&m)
		return
	}
	if !m.OwnCall.IsValid() {
		m.OwnCall, m.OwnGrids = p.op.Call, p.op.Place.Grids
	}
	before := p.own(m)
	p.rewrite(&m, p.filingOfMessage(m))
	if p.op.ChosenAt.Equal(m.At) && m.Pass != "" {
		p.op.Chosen = m.Pass // the choice that the message made is corrected
	}
	p.acknowledge(m)
	for _, r := range p.slates {
		p.saySlate(r)
	}
	p.askSlates(p.touched())
	p.sayMoved(before)
	p.refreshSummaries()
}

// sayMoved says under which pass contacts stand now that stood under another.
func (p *plan) sayMoved(before []storage.Contact) {
	var now storage.Pass
	n := 0
	for _, old := range before {
		c, ok := p.contact(old.ID)
		if pass, known := p.pass(c.Pass); ok && known && c.State != storage.Dropped && c.Pass != old.Pass {
			now, n = pass, n+1
		}
	}
	if n > 0 {
		p.say(say.Moved(planned(now), n))
	}
}

// filingOfMessage is what the first line of a message was filed under, before
// any bird that it names.
func (p *plan) filingOfMessage(m storage.Message) filing {
	f := p.filingAt(m.At)
	if len(m.Lines) > 0 {
		if pass, ok := p.pass(m.Lines[0].Pass); ok {
			f = p.under(pass)
		}
	}
	if own := p.own(m); f.pass.ID == "" || len(m.Lines) > 0 && m.Lines[0].Pass == "" {
		for _, c := range own[:min(1, len(own))] { // filed by an answer since
			if pass, ok := p.pass(c.Pass); ok {
				f = p.under(pass)
			}
		}
	}
	f.late = slices.ContainsFunc(p.own(m), func(c storage.Contact) bool { return c.TimeSource == storage.FromPass })
	return f
}

// own returns the contacts that a message made itself.
func (p *plan) own(m storage.Message) []storage.Contact {
	var all []storage.Contact
	for _, line := range m.Lines {
		for _, id := range line.Contacts {
			if c, ok := p.contact(id); ok && c.Message == m.ID {
				all = append(all, c)
			}
		}
	}
	return all
}

// rewrite files the changed lines of a message anew: each takes the place of
// the old line that it replaces. The unchanged ones are filed anew only where a
// line above them says something else now.
func (p *plan) rewrite(m *storage.Message, f filing) {
	cause := storage.Cause{Kind: "edit", Message: m.ID}
	s := p.scribe(m, f, cause)
	s.voice = voiceOf(p.own(*m))
	s.clock = clockBefore(*m)
	lines := p.readLines(m.Text, f, m.ID)
	before := m.Lines
	kept, replaced, gone := diffLines(before, lines)
	p.rewritten = before
	for _, old := range gone {
		for _, id := range old.Contacts {
			s.retract(id)
		}
	}
	m.Lines = nil
	for i, line := range lines {
		if old, ok := kept[i]; ok {
			m.Lines = append(m.Lines, s.again(line, old))
			continue
		}
		m.Lines = append(m.Lines, s.line(line, replaced[i].Contacts))
	}
	s.end(m)
}

// again keeps a line that did not change, and files its contacts under what
// holds for it now.
func (s *scribe) again(line parse.Line, old storage.MessageLine) storage.MessageLine {
	s.number, s.ids = line.Number, old.Contacts
	s.heed(line)
	if s.filing.pass.ID == old.Pass && s.clock == old.Clock {
		return s.done(old.Text)
	}
	for _, id := range old.Contacts {
		c, ok := s.plan.contact(id)
		if !ok || c.Message != s.message.ID || c.State == storage.Dropped {
			continue
		}
		if c.Clock == old.Clock {
			c.Clock = s.clock
		}
		s.refile(c, s.filing, s.cause)
	}
	return s.done(old.Text)
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
	lines := parse.Read(m.Text, p.known(p.under(pass), 0))
	if len(lines) != 1 {
		return false
	}
	c, ok := answerIn(lines[0])
	if !ok && len(targets) == 1 {
		c, ok = suffixIn(m.Text, targets[0])
	}
	if !ok && len(targets) == 1 && p.dialReply(m, targets[0]) {
		return true
	}
	if !ok || says(m.Text, workedWords) && !slices.ContainsFunc(targets, questioned) {
		return false
	}
	if post, ours := p.repliedPost(); ours && post.List && c.Call.IsValid() && !c.Corrects && !holds(targets, c.Call) {
		return false // another station: a late line of that pass
	}
	target, ok := targetOf(targets, c)
	if !ok {
		p.say(say.WhichContact)
		return true
	}
	cause := storage.Cause{Kind: "reply", Message: m.ID}
	id := p.amend(target, c, cause)
	m.Lines = []storage.MessageLine{{Text: m.Text, Contacts: []uint64{id}, Pass: target.Pass}}
	m.Pass = target.Pass
	now, _ := p.contact(id)
	p.showAmended(now)
	return true
}

// dialReply takes an answer that states nothing but a dial frequency.
func (p *plan) dialReply(m *storage.Message, target storage.Contact) bool {
	if !p.takeDial(&target, m.Text) {
		return false
	}
	target.Cause = storage.Cause{Kind: "reply", Message: m.ID}
	now := p.add(target)
	m.Lines = []storage.MessageLine{{Text: m.Text, Contacts: []uint64{now.ID}, Pass: now.Pass}}
	m.Pass = now.Pass
	p.showAmended(now)
	return true
}

// What a reply may say of a contact that was only heard, or is in doubt.
var (
	workedWords = []string{"worked", "worked him", "worked her", "yes", "yes worked"}
	heardWords  = []string{"heard", "only heard", "heard only", "not worked", "no"}
)

func says(text string, words []string) bool {
	text = strings.Trim(strings.ToLower(text), " .!")
	return slices.Contains(words, text)
}

// questioned reports whether a contact is one that may not have been worked.
func questioned(c storage.Contact) bool {
	return c.State == storage.Heard || c.Why == string(parse.Doubted) || c.Why == string(parse.Denied)
}

// holds reports whether one of the contacts is with a station.
func holds(contacts []storage.Contact, call parse.Callsign) bool {
	return slices.ContainsFunc(contacts, func(c storage.Contact) bool { return c.Call == call })
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
	case line.Denies, says(line.Text, heardWords):
		return parse.Contact{Verdict: parse.Log, Heard: true}, true
	case says(line.Text, workedWords):
		return parse.Contact{Verdict: parse.Log}, true
	}
	if offset := offsetIn(line.Text); offset.IsSet() {
		return parse.Contact{Offset: offset, Verdict: parse.Log}, true
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
	if c.State == storage.Doubtful && c.Why != whyPass {
		p.question(c)
	} else {
		p.say(p.echoed(c))
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

// undo takes back the newest step that is not taken back yet.
func (p *plan) undo() {
	step, ok := got(p, func() (storage.Step, bool, error) { return p.view.LastStep(p.op.ID) })
	if !ok {
		p.say(say.NothingToUndo)
		return
	}
	step.Undone = true
	p.steps = append(p.steps, step)
	var now []storage.Contact
	for _, move := range slices.Backward(step.Moves) {
		if c, ok := p.revert(move); ok {
			p.restoreSlate(c)
			now = append(now, c)
		}
	}
	p.moves = nil // undo is not undone: it goes on backwards
	p.restoreLines(step)
	p.say(say.Undone(step.What, contactViews(now)))
	for _, c := range now {
		p.reask(c)
	}
	if slices.ContainsFunc(now, func(c storage.Contact) bool { return c.Why == whyPass && len(c.Rivals) > 0 }) {
		if p.op.ChosenAt.Equal(step.At) {
			p.op.Chosen = "" // by the answer that is taken back
		}
		p.askPass(storage.Message{ID: p.ev.Message, At: p.ev.At})
	}
	p.refreshAcks(0)
	p.refreshSummaries()
}

// restoreLines gives the message that a step edited the lines that it had, so
// that a later edit finds the contacts again.
func (p *plan) restoreLines(step storage.Step) {
	if step.Message == 0 {
		return
	}
	m, ok := got(p, func() (storage.Message, bool, error) { return p.view.Message(p.op.ID, step.Message) })
	if ok {
		m.Lines = step.Lines
		p.others = append(p.others, m)
	}
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
