package bot

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/say"
	"skyslate/parse"
	"skyslate/storage"
)

// What a button's data begins with.
const (
	tapPick    = "pick"    // contact:version:candidate
	tapKeep    = "keep"    // contact:version
	tapDrop    = "drop"    // contact:version
	tapHeard   = "heard"   // contact:version
	tapNoTime  = "notime"  // contact:version: the time or offset typed is wrong
	tapPass    = "pass"    // pass: the one that lines belong to
	tapInOrder = "inorder" // contact: the parts of its heap, a pass each
	tapArm     = "arm"     // pass
	tapSkip    = "skip"    // pass
	tapTell    = "tell"    // pass: its whole timetable
	tapForget  = "forget"  // yes
	tapSlate   = "slate"   // Unix seconds:voice message:pass
	tapNext    = "next"    // contact: the doubt after this one
	tapBulk    = "bulk"    // message:1, or 0 to leave all as it is
	tapHere    = "here"    // Unix seconds: the place set then still holds
	tapSky     = "look"    // pass: its picture
	tapReach   = "reach"   // pass: what it reaches
)

// tapped answers a button.
func (p *plan) tapped() {
	verb, rest, _ := strings.Cut(p.ev.Data, ":")
	switch verb {
	case tapPick, tapKeep, tapDrop, tapHeard, tapNoTime:
		p.settleDoubt(verb, rest)
	case tapInOrder:
		p.tapFileInOrder(rest)
	case tapPass:
		p.tapChoose(storage.PassID(rest))
	case tapArm, tapSkip:
		p.tapArm(storage.PassID(rest), verb == tapArm)
	case tapTell:
		p.tell(storage.PassID(rest))
	case tapOuting, tapCallOff, tapCalendar, tapThere, tapNotThere:
		p.tapOuting(verb, rest)
	case tapSky, tapReach:
		p.tapPicture(verb, storage.PassID(rest))
	case tapGrid:
		p.takeGrid(rest)
	case tapUnsked:
		p.dropSked(rest)
	case tapSked:
		p.tapSked(rest)
	case tapIntoLog, tapOutOfLog:
		p.tapImport(verb, rest)
	case tapSlate:
		p.tapSlateAt(rest)
	case tapNext:
		p.tapNextDoubt(rest)
	case tapBulk:
		p.tapBulkDone(rest)
	case tapHere:
		p.tapStillHere(rest)
	case tapForget:
		p.tapForget(rest)
	default:
		p.say(say.OldButton)
	}
}

// settleDoubt applies the answer to a question about a contact.
func (p *plan) settleDoubt(verb, rest string) {
	var n [3]int
	for i, s := range strings.SplitN(rest, ":", 3) {
		v, err := strconv.Atoi(s)
		if err != nil {
			p.say(say.OldButton)
			return
		}
		n[i] = v
	}
	c, ok := p.contact(uint64(n[0]))
	if !ok || c.Version != n[1] {
		p.say(say.Settled(contactView(c), ok))
		return
	}
	c.Cause = storage.Cause{Kind: "tap", Message: c.Message}
	switch {
	case verb == tapDrop:
		c.State = storage.Dropped
	case verb == tapHeard:
		c.State, c.Why = storage.Heard, ""
	case verb == tapNoTime:
		c.Clock, c.Mark = parse.Clock{}, nil
		p.answered(p.refile(c, p.filingOfContact(c), c.Cause))
		return
	case verb == tapPick && n[2] >= 0 && n[2] < len(c.Candidates):
		cand := c.Candidates[n[2]]
		c.Call, c.Grids = cand.Call, cand.Grids
		c = judge(p.cleared(c))
	case verb == tapKeep && c.Call.IsValid():
		c = judge(p.cleared(c))
	default:
		p.say(say.OldButton)
		return
	}
	p.answered(p.add(c))
}

// cleared is a contact whose doubt is answered; a time off the pass, which no
// question showed yet, is one still.
func (p *plan) cleared(c storage.Contact) storage.Contact {
	was := c.Why
	c.Why = ""
	told := c.TimeSource == storage.FromTyped || c.TimeSource == storage.FromRecording
	if pass, ok := p.pass(c.Pass); ok && told && was != whyTime && !fitting(pass, c.Time) {
		c.Why = whyTime
	}
	return c
}

// twoNumbers reads the two numbers of a button's data.
func twoNumbers(s string) (a, b int64, ok bool) {
	first, second, _ := strings.Cut(s, ":")
	a, err := strconv.ParseInt(first, 10, 64)
	b, err2 := strconv.ParseInt(second, 10, 64)
	return a, b, err == nil && err2 == nil
}

// filingOfContact is what a contact is filed under.
func (p *plan) filingOfContact(c storage.Contact) filing {
	f := filing{named: c.Named}
	if pass, ok := p.pass(c.Pass); ok {
		f = p.under(pass)
	} else if bird, ok := p.sky.ByCatalog(c.Bird.Catalog); ok && c.Bird.Name != "" {
		f.bird = bird
	}
	return f
}

// answered shows in place of a question how it was settled.
func (p *plan) answered(c storage.Contact) {
	text := say.DroppedNow(contactView(c))
	if c.State != storage.Dropped {
		text = p.echoed(c)
	}
	if _, asked := got(p, func() (storage.Post, bool, error) { return p.view.Post(p.name("ask", c.ID)) }); !asked {
		p.refreshAcks(0) // the summary asked, and shows the answer
		p.refreshSummaries()
		return
	}
	p.put(storage.Post{Name: p.name("ask", c.ID), ReplyTo: c.Message, Text: text, About: []uint64{c.ID}, Pass: c.Pass})
	p.refreshAcks(0)
	p.refreshSummaries()
}

// tapChoose makes a pass the one that lines belong to and files under it what
// waited for the answer.
func (p *plan) tapChoose(id storage.PassID) {
	pass, ok := p.pass(id)
	if !ok {
		p.say(say.OldButton)
		return
	}
	p.choose(pass)
	moved := p.fileWaiting(p.under(pass))
	text, rows := p.askOthers(say.Chosen(planned(pass), len(only(moved, storage.Contact.Exported))))
	p.editTapped(text, rows...)
	p.showMoved(moved)
}

// choose makes a pass the one that lines belong to.
func (p *plan) choose(pass storage.Pass) {
	p.op.Chosen, p.op.ChosenAt = pass.ID, p.ev.At
	if pass.Closed.IsZero() {
		p.at(momentSet, later(pass.LOS, p.now()), pass.ID)
		p.moveCard(pass)
	}
}

// fileWaiting files under a pass the contacts that have waited for one and could
// belong to it. A bird's name in a heap says nothing of the lines before it.
func (p *plan) fileWaiting(f filing) []storage.Contact {
	if f.pass.ID == "" && f.bird.Name == "" {
		return nil
	}
	var moved []storage.Contact
	for _, c := range p.waiting() {
		_, changed := p.contacts[c.ID]
		sameDelivery := p.ev.Kind == Said && p.delayed(p.ev.At) && !c.Made.Before(p.op.Delivery)
		if !changed && !sameDelivery && (len(c.Rivals) == 0 || f.pass.ID == "" || slices.Contains(c.Rivals, f.pass.ID)) {
			moved = append(moved, p.refile(c, f, storage.Cause{Kind: "tap", Message: c.Message}))
		}
	}
	return moved
}

// waiting returns the contacts of the last hours that no pass is known for.
func (p *plan) waiting() []storage.Contact {
	from, to := p.ev.At.Add(-lookBack-day), p.ev.At.Add(day)
	all := list(p, func() ([]storage.Contact, error) { return p.view.Contacts(p.op.ID, from, to) })
	return p.overlay(all, func(c storage.Contact) bool {
		return c.Pass == "" && c.Bird.Name == "" && c.State != storage.Dropped && !imported(c)
	})
}

// editTapped replaces the text of the post whose button was tapped, and its
// buttons.
func (p *plan) editTapped(text string, rows ...[]storage.Button) {
	post, ok := got(p, func() (storage.Post, bool, error) { return p.view.PostByApp(p.op.ID, p.ev.Post) })
	if !ok {
		p.say(text, rows...)
		return
	}
	post.Text, post.Buttons = text, rows
	post.NotAfter = time.Time{}
	p.put(post)
}

// later returns the later of two moments.
func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
