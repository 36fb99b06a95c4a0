package bot

import (
	"cmp"
	"fmt"
	"hash/fnv"
	"slices"
	"strings"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/sky"
	"skyslate/storage"
)

// A plan collects what one event changes. It reads through one view of the
// store, with its own changes on top, and writes nothing. The first failing
// read is kept in err and every later one does nothing, so that the rules read
// as rules.
type plan struct {
	desk *Desk
	view *storage.View
	ev   Event
	err  error

	op    storage.Operator
	sky   *sky.Sky // as this operator has it
	fresh bool     // the operator was not known before

	message  *storage.Message
	contacts map[uint64]storage.Contact // new versions
	stored   map[uint64]storage.Contact // as read
	groups   map[groupKey]*group
	workedIn map[squareKey]storage.Contact // one of those that did, as far as known
	// messages, storedPasses and passLists are what was read of them.
	messages     map[int64]storage.Message
	storedPasses map[storage.PassID]storage.Pass
	passLists    map[[2]time.Time][]storage.Pass
	passes       map[storage.PassID]storage.Pass
	agenda       []storage.Item
	cancel       []string
	posts        []storage.Post
	keep         map[string][]byte
	moves        []storage.Move
	steps        []storage.Step
	others       []storage.Message // earlier messages that change too
	// elsewhere and withdrawn are what counts as handed over without a file of ours,
	// and what the operator is told to delete elsewhere.
	elsewhere, withdrawn []storage.ContactRef
	nextID               uint64
	step                 string // what the step is, where it isn't told by its contacts
	// sittings are those read or opened, undoing and changing what is done to them.
	sittings          map[uint64]*sitting
	undoing, changing bool
	followed          storage.PassID // chosen by the event
	// forgotten: the operator and all that is theirs is to be removed.
	forgotten bool
}

func newPlan(d *Desk, v *storage.View, ev Event) *plan {
	p := &plan{
		desk: d, view: v, ev: ev,
		workedIn:     map[squareKey]storage.Contact{},
		contacts:     map[uint64]storage.Contact{},
		stored:       map[uint64]storage.Contact{},
		messages:     map[int64]storage.Message{},
		passes:       map[storage.PassID]storage.Pass{},
		storedPasses: map[storage.PassID]storage.Pass{},
		passLists:    map[[2]time.Time][]storage.Pass{},
		sittings:     map[uint64]*sitting{},
	}
	op, ok := got(p, func() (storage.Operator, bool, error) { return v.Operator(ev.Operator) })
	if !ok {
		op = storage.Operator{ID: ev.Operator, Joined: ev.At, Remind: DefaultRemind()}
	}
	p.op, p.fresh = op, !ok
	p.sky, _ = got(p, func() (*sky.Sky, bool, error) {
		s, err := d.skies.Of(v, ev.Operator)
		return s, true, err
	})
	return p
}

// got runs a read of the store unless one failed before, and keeps its failure.
func got[T any](p *plan, read func() (T, bool, error)) (T, bool) {
	var zero T
	if p.err != nil {
		return zero, false
	}
	v, ok, err := read()
	if err != nil {
		p.err = err
		return zero, false
	}
	return v, ok
}

// list is got for reads that return a list.
func list[T any](p *plan, read func() ([]T, error)) []T {
	all, _ := got(p, func() ([]T, bool, error) {
		all, err := read()
		return all, true, err
	})
	return all
}

// changes is what the plan comes to.
func (p *plan) changes() storage.Changes {
	ch := storage.Changes{
		Agenda: p.agenda, Cancel: p.cancel, Posts: p.posts, Keep: p.keep,
		Steps: p.steps, Messages: p.others, Handed: p.elsewhere, Withdrawn: p.withdrawn,
	}
	if p.op.ID != "" {
		ch.Operator = &p.op
	}
	for _, c := range p.contacts {
		ch.Contacts = append(ch.Contacts, c)
	}
	slices.SortFunc(ch.Contacts, func(a, b storage.Contact) int { return cmp.Compare(a.ID, b.ID) })
	for _, pass := range p.passes {
		ch.Passes = append(ch.Passes, pass)
	}
	slices.SortFunc(ch.Passes, func(a, b storage.Pass) int { return strings.Compare(string(a.ID), string(b.ID)) })
	for _, s := range p.changedSittings() {
		ch.Sittings = append(ch.Sittings, s.Sitting)
	}
	if p.message != nil {
		ch.Messages = append(ch.Messages, *p.message)
	}
	return ch
}

// finish makes the step that undo can take back.
func (p *plan) finish() {
	p.noteOwnSide()
	p.notice()
	p.weigh()
	if len(p.moves) == 0 {
		return
	}
	step := storage.Step{
		Operator: p.op.ID, Seq: p.view.NextStep(p.op.ID), At: p.ev.At, Event: p.ev.ID, What: p.what(), Moves: p.moves,
	}
	for _, s := range p.changedSittings() {
		step.Sittings = append(step.Sittings, s.ID)
	}
	p.steps = append(p.steps, step)
}

// what names the step in the operator's words.
func (p *plan) what() string {
	if p.step != "" {
		return p.step
	}
	var parts []string
	for _, move := range p.moves {
		parts = append(parts, say.Step(contactView(p.contacts[move.Contact]), move.From == 0))
	}
	return say.Steps(parts)
}

// messageOf returns a message as the plan leaves it.
func (p *plan) messageOf(id int64) (storage.Message, bool) {
	if p.message != nil && p.message.ID == id {
		return *p.message, true
	}
	if i := slices.IndexFunc(p.others, func(m storage.Message) bool { return m.ID == id }); i >= 0 {
		return p.others[i], true
	}
	return p.storedMessage(id)
}

// storedMessage returns a message as it is in the store.
func (p *plan) storedMessage(id int64) (storage.Message, bool) {
	m, read := p.messages[id]
	if !read {
		m, _ = got(p, func() (storage.Message, bool, error) { return p.view.Message(p.op.ID, id) })
		p.messages[id] = m // one that isn't there has no ID
	}
	return m, m.ID == id && m.Operator != ""
}

// contact returns the latest version of a contact.
func (p *plan) contact(id uint64) (storage.Contact, bool) {
	if c, ok := p.contacts[id]; ok {
		return c, true
	}
	return p.storedContact(id)
}

// storedContact returns a contact as it is in the store.
func (p *plan) storedContact(id uint64) (storage.Contact, bool) {
	c, read := p.stored[id]
	if !read {
		c, _ = got(p, func() (storage.Contact, bool, error) { return p.view.Contact(p.op.ID, id) })
		p.stored[id] = c // one that isn't there has no ID
	}
	return c, c.ID != 0
}

// pass returns a pass by its ID.
func (p *plan) pass(id storage.PassID) (storage.Pass, bool) {
	if pass, ok := p.passes[id]; ok {
		return pass, true
	}
	if id == "" {
		return storage.Pass{}, false
	}
	pass, read := p.storedPasses[id]
	if !read {
		pass, _ = got(p, func() (storage.Pass, bool, error) { return p.view.Pass(p.op.ID, id) })
		p.storedPasses[id] = pass // one that isn't there has no ID
	}
	return pass, pass.ID != ""
}

// passesIn returns the passes any part of which lies in [from, to), by AOS, but
// for those that no longer take place.
func (p *plan) passesIn(from, to time.Time) []storage.Pass {
	return only(p.allPassesIn(from, to), func(pass storage.Pass) bool { return !pass.Void })
}

func (p *plan) allPassesIn(from, to time.Time) []storage.Pass {
	span := [2]time.Time{from, to}
	stored, read := p.passLists[span]
	if !read {
		stored = list(p, func() ([]storage.Pass, error) { return p.view.Passes(p.op.ID, from, to) })
		p.passLists[span] = stored
	}
	var all []storage.Pass
	for _, pass := range stored {
		if _, changed := p.passes[pass.ID]; !changed {
			all = append(all, pass)
		}
	}
	for _, pass := range p.passes {
		if pass.AOS.Before(to) && pass.LOS.After(from) {
			all = append(all, pass)
		}
	}
	slices.SortFunc(all, func(a, b storage.Pass) int {
		return cmp.Or(a.AOS.Compare(b.AOS), strings.Compare(string(a.ID), string(b.ID)))
	})
	return all
}

// add puts a new contact, or a new version of a known one, into the plan and
// into the step that undo takes back.
func (p *plan) add(c storage.Contact) storage.Contact {
	c.Operator, c.Made = p.op.ID, p.ev.At
	c.Cause.Event = p.ev.ID
	from := 0
	if c.ID == 0 {
		c.ID = p.newID()
		c.Version = 1
	} else if planned, ok := p.contacts[c.ID]; ok {
		// One version an event: a second change in the same one refines it.
		c.Version = planned.Version
		p.keepContact(c)
		return c
	} else {
		from = c.Version
		c.Version++
	}
	p.keepContact(c)
	p.expectSummary(c)
	p.moves = append(p.moves, storage.Move{Contact: c.ID, From: from, To: c.Version})
	return c
}

// keepContact makes c the version that the plan leaves.
func (p *plan) keepContact(c storage.Contact) {
	p.contacts[c.ID] = c
	clear(p.workedIn)
	for _, g := range p.groups {
		g.put(&c)
	}
}

// expectSummary makes sure that a pass with contacts is summed up after LOS, also
// if nobody armed it.
func (p *plan) expectSummary(c storage.Contact) {
	pass, ok := p.pass(c.Pass)
	if over := !pass.LOS.After(p.now()); ok && pass.Closed.IsZero() && (over || !pass.Followed()) {
		p.at(momentSet, later(pass.LOS, p.now()), pass.ID)
	}
}

func (p *plan) newID() uint64 {
	if p.nextID == 0 {
		p.nextID = p.view.NextContact(p.op.ID)
	}
	id := p.nextID
	p.nextID++
	return id
}

// at puts an item on the agenda.
func (p *plan) at(kind string, when time.Time, pass storage.PassID) {
	p.agenda = append(p.agenda, item(p.op.ID, kind, when, pass, p.ev.ID))
}

// off takes an item off the agenda.
func (p *plan) off(kind string, pass storage.PassID) {
	p.cancel = append(p.cancel, itemKey(p.op.ID, kind, pass))
}

const day = 24 * time.Hour

// The kinds of moment.
const (
	momentPlan   = "plan"   // work out the coming passes
	momentRemind = "remind" // the one reminder of a pass
	momentRise   = "rise"   // AOS
	momentSet    = "set"    // LOS
	momentAgain  = "again"  // contacts still wait for "which pass?"
	momentMissed = "missed" // what was caught up can be told
)

func itemKey(op storage.OperatorID, kind string, pass storage.PassID) string {
	return kind + "/" + string(op) + "/" + string(pass)
}

func item(op storage.OperatorID, kind string, when time.Time, pass storage.PassID, by string) storage.Item {
	h := fnv.New32a()
	h.Write([]byte(by)) // a hash never fails
	return storage.Item{
		Key: itemKey(op, kind, pass), At: when, Operator: op, Kind: kind, Pass: pass,
		By: fmt.Sprintf("#%08x", h.Sum32()),
	}
}

func planItem(op storage.OperatorID, when time.Time, by string) storage.Item {
	return item(op, momentPlan, when, "", by)
}

// name makes the name of a post: unique, and the same on a replay.
func (p *plan) name(parts ...any) string {
	var name strings.Builder
	name.WriteString(string(p.op.ID))
	for _, part := range parts {
		name.WriteString("/" + fmt.Sprint(part))
	}
	return name.String()
}

// post owes the operator something. Everything but a reminder is silent.
func (p *plan) post(post storage.Post) {
	post.Operator, post.Made = p.op.ID, p.now()
	if post.Op == "" {
		post.Op = storage.Send
	}
	post.Text = shaped(post.Text, post.Op)
	p.posts = append(p.posts, post)
}

// say answers the operator's message with a text, in as many messages as it takes;
// the last one has the buttons.
func (p *plan) say(text string, buttons ...[]storage.Button) {
	pages := say.Pages(text)
	for i, page := range pages {
		post := storage.Post{Name: p.name("say", p.ev.ID, len(p.posts)), ReplyTo: p.ev.Message, Text: page, Silent: true}
		if i == len(pages)-1 {
			post.Buttons = buttons
		}
		p.post(post)
	}
}

// now is the moment at which things go out; what was typed counts at ev.At.
func (p *plan) now() time.Time {
	if p.ev.Kind == Moment {
		return p.ev.Now
	}
	return p.ev.At
}
