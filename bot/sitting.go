package bot

import (
	"cmp"
	"maps"
	"reflect"
	"slices"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/event"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// mostLines bounds what is derived together.
const mostLines = 2000

// A sitting is the evidence of one sitting as the plan leaves it, and the log that
// it comes to.
type sitting struct {
	storage.Sitting
	log     contact.Log
	known   map[storage.ContactKey]uint64
	changed bool
	newest  bool // it takes what comes next
}

// sittingOf is a sitting by its number.
func (p *plan) sittingOf(id uint64) (*sitting, bool) {
	if s, ok := p.sittings[id]; ok || id == 0 {
		return s, ok
	}
	stored, ok := tx.Got(p.Tx, func() (storage.Sitting, bool, error) { return p.View.Sitting(p.Op.ID, id) })
	if !ok {
		return nil, false
	}
	return p.hold(stored), true
}

func (p *plan) hold(stored storage.Sitting) *sitting {
	s := &sitting{Sitting: stored, known: map[storage.ContactKey]uint64{}}
	for _, c := range s.Contacts {
		s.known[c.Key] = c.ID
	}
	s.newest = s.ID >= p.View.LastSitting(p.Op.ID)
	p.sittings[s.ID] = s
	return s
}

// present is the sitting that a message of now is evidence in: the last one, unless
// a pause or its length closed it.
func (p *plan) present() *sitting {
	id := p.View.LastSitting(p.Op.ID)
	for held := range maps.Keys(p.sittings) {
		id = max(id, held)
	}
	if s, ok := p.sittingOf(id); ok && p.Event.At.Sub(s.Last) < contact.LookBack && s.Lines < mostLines {
		return s
	}
	return p.hold(storage.Sitting{Operator: p.Op.ID, ID: id + 1, Began: p.Event.At, Last: p.Event.At})
}

// offer adds evidence to a sitting, and derives anew.
func (p *plan) offer(s *sitting, ev storage.Evidence) {
	ev.Event, ev.At = p.Event.ID, cmp.Or(ev.At, p.Event.At)
	p.noteOwnSide()
	s.Own = ownSince(s.Own, p.Op.Own)
	ev.Own = len(s.Own)
	s.Evidence = append(s.Evidence, ev)
	if ev.Kind == storage.EvSaid {
		s.Last = tx.Later(s.Last, ev.At)
		s.Lines += 1 + strings.Count(ev.Text, "\n")
	}
	p.derive(s)
}

// derive works out the log of a sitting and writes a version of each contact that
// differs from the stored one.
func (p *plan) derive(s *sitting) {
	s.changed = true
	clear(p.matched)
	s.log = contact.Derive(p.facts(s), s.Evidence)
	if p.Err != nil {
		return
	}
	stands := map[uint64]bool{}
	for _, c := range s.log.Contacts {
		id, ok := s.known[c.Key]
		if !ok {
			id = p.NewID()
			s.known[c.Key] = id
			s.Contacts = append(s.Contacts, storage.Identity{Key: c.Key, ID: id})
		}
		stands[id] = true
		p.version(id, c)
	}
	for _, known := range s.Contacts {
		c, ok := p.Contact(known.ID)
		if ok && !stands[known.ID] && c.State != storage.Dropped {
			c.State, c.Cause = storage.Dropped, p.cause(contact.Contact{Key: known.Key})
			p.Add(c)
		}
	}
	if s.newest {
		p.follow(s.log.Chosen)
	}
}

// version writes a new version of a contact if it isn't as it was derived.
func (p *plan) version(id uint64, c contact.Contact) {
	now := c.Contact
	now.Cause = p.cause(c)
	old, ok := p.Contact(id)
	if ok {
		now.ID, now.Version, now.Operator, now.Fields, now.Note = old.ID, old.Version, old.Operator, old.Fields, old.Note
		if sameContact(old, now) {
			return
		}
	}
	now.ID = id
	p.Add(now)
}

// Causes after which a contact that comes to be in doubt is asked about by the
// summary of its pass alone: a question for each of many would be too much at once.
const (
	causeBulk = "bulk"
	causeUndo = "undo"
)

// cause says what the event at hand did to a contact.
func (p *plan) cause(c contact.Contact) storage.Cause {
	cause := storage.Cause{Kind: "tap", Message: p.Event.Message}
	switch {
	case p.undoing:
		cause.Kind = causeUndo
	case p.changing:
		cause.Kind = causeBulk
	case p.Event.Kind == event.Edited:
		cause.Kind = "edit"
	case p.Event.Kind == event.Said && c.Key.Message == p.Event.Message:
		cause.Kind = "typed"
	case p.Event.Kind == event.Said && !slices.Contains(c.By, p.Event.Message):
		cause.Kind = "refile"
		if c.Mark != nil {
			cause.Kind = "slate"
		}
	case p.Event.Kind == event.Said && p.Event.ReplyTo != 0:
		cause.Kind = "reply"
	case p.Event.Kind == event.Said:
		cause.Kind = "typed"
	default:
		cause.Message = c.Key.Message
	}
	return cause
}

// sameContact reports whether two versions say the same.
func sameContact(a, b storage.Contact) bool {
	return reflect.DeepEqual(bare(a), bare(b))
}

// bare is a contact without what only tells its version, in a form that compares.
func bare(c storage.Contact) storage.Contact {
	c.Operator, c.ID, c.Version, c.Made, c.Cause, c.Line = "", 0, 0, time.Time{}, storage.Cause{}, 0
	c.Time = c.Time.UTC()
	c.Candidates, c.Grids, c.OwnGrids, c.Rivals = filled(c.Candidates), filled(c.Grids), filled(c.OwnGrids), filled(c.Rivals)
	for i := range c.Candidates {
		if len(c.Candidates[i].Grids) == 0 {
			c.Candidates = slices.Clone(c.Candidates)
			c.Candidates[i].Grids = nil
		}
	}
	if c.Mark != nil {
		mark := *c.Mark
		mark.Slate = mark.Slate.UTC()
		c.Mark = &mark
	}
	return c
}

func filled[T any](list []T) []T {
	if len(list) == 0 {
		return nil
	}
	return list
}

// noteOwnSide keeps what the own call and grids are, and since when.
func (p *plan) noteOwnSide() {
	now := storage.OwnSide{Since: p.Event.At, Call: p.Op.Call, Grids: p.Op.Place.Grids}
	n := len(p.Op.Own)
	switch {
	case !now.Call.IsValid() || len(now.Grids) == 0:
	case n == 0:
		now.Since = p.Op.Place.Set
		p.Op.Own = []storage.OwnSide{now}
	case p.Op.Own[n-1].Call != now.Call || !slices.Equal(p.Op.Own[n-1].Grids, now.Grids):
		p.Op.Own = append(p.Op.Own, now)
		old := func(o storage.OwnSide) bool { return o.Since.Before(p.Event.At.Add(-2 * tx.Day)) }
		for len(p.Op.Own) > 1 && old(p.Op.Own[1]) {
			p.Op.Own = p.Op.Own[1:]
		}
	}
}

// ownSince adds to what a sitting knows of the own side the changes since.
func ownSince(known, now []storage.OwnSide) []storage.OwnSide {
	for _, o := range now {
		switch n := len(known); {
		case n == 0 || o.Since.After(known[n-1].Since):
			known = append(known, o)
		case o.Since.Equal(known[n-1].Since):
			known[n-1] = o // both changed at once
		}
	}
	return known
}

// keyOf names a contact as evidence does, and its sitting. One that was logged
// before evidence was kept is taken into the present sitting.
func (p *plan) keyOf(c storage.Contact) (*sitting, storage.ContactKey, bool) {
	m, ok := p.MessageOf(c.Message)
	if !ok {
		return nil, storage.ContactKey{}, false
	}
	s, ok := p.sittingOf(m.Sitting)
	if !ok {
		s = p.adopt(m)
	}
	for _, known := range s.Contacts {
		if known.ID == c.ID {
			return s, known.Key, true
		}
	}
	return s, storage.ContactKey{}, false
}

// adopted is the event of evidence that was known before evidence was kept.
const adopted = "adopted"

// adopt makes a message from before evidence was kept evidence in the present
// sitting, with what it is known to have come to.
func (p *plan) adopt(m storage.Message) *sitting {
	s := p.present()
	ev := storage.Evidence{Kind: storage.EvSaid, Event: adopted, At: m.At, Message: m.ID, Text: m.Text, Began: m.At}
	for i, line := range m.Lines {
		kept := storage.Kept{Text: line.Text}
		for _, id := range line.Contacts {
			if c, ok := p.Contact(id); ok && c.Message == m.ID {
				kept.Contacts = append(kept.Contacts, c)
				key := storage.ContactKey{Message: m.ID, Line: i + 1, Place: len(kept.Contacts)}
				s.known[key] = id
				s.Contacts = append(s.Contacts, storage.Identity{Key: key, ID: id})
			}
		}
		ev.Kept = append(ev.Kept, kept)
	}
	s.Evidence = append(s.Evidence, ev)
	m.Sitting = s.ID
	p.ChangeMessage(m)
	return s
}

// undo takes back the newest evidence, up to that which makes a difference: it
// counts as if it had never come.
func (p *plan) undo() {
	p.undoing = true
	passed := map[string][]*sitting{}
	for {
		event, in := p.newestEvidence()
		if event == "" {
			break
		}
		passed[event] = in
		p.takeBack(event, in, true)
		if len(p.Moves) > 0 {
			step := p.stepOf(event)
			step.Undone = true
			p.Steps = append(p.Steps, step)
			p.Moves = nil // undo is not undone: it goes on backwards
			p.Say(say.Undone(step.What, shown.Contacts(p.Touched())))
			p.show()
			return
		}
	}
	for event, in := range passed {
		p.takeBack(event, in, false)
	}
	p.Say(say.NothingToUndo)
}

// takeBack marks the evidence of an event as taken back, or as not, and derives anew.
func (p *plan) takeBack(event string, in []*sitting, undone bool) {
	for _, s := range in {
		for i := range s.Evidence {
			if s.Evidence[i].Event == event {
				s.Evidence[i].Undone = undone
			}
		}
		p.derive(s)
	}
}

// newestEvidence is the event whose evidence is the newest that stands, and the
// sittings that hold it. What answers or corrects an older sitting
// is newer than that, so the sittings of the last steps are looked at, too.
func (p *plan) newestEvidence() (event string, in []*sitting) {
	last := p.View.LastSitting(p.Op.ID)
	look := map[uint64]bool{last: true, last - 1: last > 1}
	standing := "" // the event of the last step: of two sittings' at one moment it is the later
	p.Visit(func() error {
		return p.View.VisitLatestSteps(p.Op.ID, func(step storage.Step) bool {
			for _, id := range step.Sittings {
				look[id] = !step.Undone
			}
			standing = step.Event
			return step.Undone
		})
	})
	var at time.Time
	for _, id := range slices.Sorted(maps.Keys(look)) {
		s, ok := p.sittingOf(id)
		if !ok {
			continue
		}
		stands := func(ev storage.Evidence) bool { return !ev.Undone && ev.Event != adopted }
		for _, ev := range slices.Backward(s.Evidence) {
			if stands(ev) {
				if ev.At.After(at) || ev.At.Equal(at) && event != standing {
					event, at = ev.Event, ev.At
				}
				break
			}
		}
	}
	for _, s := range p.sittings {
		if slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool { return ev.Event == event }) {
			in = append(in, s)
		}
	}
	return event, in
}

// stepOf is the step of an event, in the words of then.
func (p *plan) stepOf(event string) storage.Step {
	step := storage.Step{Operator: p.Op.ID, Seq: p.View.NextStep(p.Op.ID), At: p.Event.At, Event: event, What: p.what()}
	p.Visit(func() error {
		return p.View.VisitLatestSteps(p.Op.ID, func(s storage.Step) bool {
			if s.Event == event {
				step = s
			}
			return s.Event != event
		})
	})
	return step
}
