package ledger

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/filing"
	"skyslate/storage"
)

// What undo takes back is found here: each phone's own evidence, the newest first, and the
// steps that say in words what it did.
//
// Undo never jumps: it takes back the last that was said or decided on the phone of the log,
// and where that makes no difference (it never did, or what was said since stands in its
// place), it says so, and goes no further by itself. What speaks of the log is a message
// that made or changed a contact, or meant to, a bird, a time or a slate told, and each
// answer by a tap. Notes and questions are passed over.

// TakeBack marks the evidence of an event as taken back, and derives anew.
func (l *Ledger) TakeBack(event string, in []*Sitting) {
	mark(event, in, true)
	for _, s := range in {
		l.Derive(s)
	}
}

// PassOver marks what an event only noted as taken back, on the way to what was said before
// it; false if there may be more to it, so that deriving tells. Nothing is derived: there
// may be thousands of notes.
func (l *Ledger) PassOver(event string, in []*Sitting) bool {
	for _, s := range in {
		for _, ev := range s.Evidence {
			if ev.Event == event && (ev.Kind != storage.EvSaid || s.Message(ev.Message).Speaks()) {
				return false
			}
		}
	}
	mark(event, in, true)
	return true
}

// Restore lets evidence of events stand again that was taken back, by their sittings, and
// derives anew.
func (l *Ledger) Restore(passed map[string][]*Sitting) {
	all := map[uint64]*Sitting{}
	for event, in := range passed {
		mark(event, in, false)
		for _, s := range in {
			all[s.ID] = s
		}
	}
	for _, id := range slices.Sorted(maps.Keys(all)) {
		l.Derive(all[id])
	}
}

func mark(event string, in []*Sitting, undone bool) {
	for _, s := range in {
		for i := range s.Evidence {
			if s.Evidence[i].Event == event {
				s.Evidence[i].Undone = undone
			}
		}
	}
}

// Speaks reports whether what an event left in sittings speaks of the log.
func (l *Ledger) Speaks(event string, in []*Sitting) bool {
	for _, s := range in {
		for _, ev := range s.Evidence {
			if ev.Event != event {
				continue
			}
			if ev.Kind != storage.EvSaid && ev.Kind != storage.EvEdited || s.Message(ev.Message).Speaks() {
				return true
			}
		}
	}
	return false
}

// NewestEvidence is the event whose evidence is the newest that stands, of those that came
// from the same phone, and the sittings that hold it: older ones, too, that its last steps
// corrected.
func (l *Ledger) NewestEvidence() (event string, at time.Time, in []*Sitting) {
	last := l.View.LastSitting(l.Op.ID)
	look := map[uint64]bool{last: true}
	if last > 1 {
		look[last-1] = true
	}
	standing := "" // the event of the last step
	l.Visit(func() error {
		return l.View.VisitLatestSteps(l.Op.ID, func(step storage.Step) bool {
			if step.Phone != l.Event.By {
				return true
			}
			for _, id := range step.Sittings {
				look[id] = true
			}
			standing = step.Event
			return !l.stands(step)
		})
	})
	later := false // of two sittings' at one moment, that behind the last step's
	for _, id := range slices.Sorted(maps.Keys(look)) {
		s, ok := l.SittingOf(id)
		if !ok {
			continue
		}
		stands := func(ev storage.Evidence) bool {
			return !ev.Undone && ev.Event != adopted && ev.Phone == l.Event.By
		}
		for _, ev := range slices.Backward(s.Evidence) {
			if stands(ev) {
				if ev.At.After(at) || ev.At.Equal(at) && !later {
					event, at = ev.Event, ev.At
					later = slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool { return ev.Event == standing })
				}
				break
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(l.sittings)) {
		if s := l.sittings[id]; slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool { return ev.Event == event }) {
			in = append(in, s)
		}
	}
	for _, s := range in {
		if len(s.Log.Messages) == 0 {
			l.Read(s)
		}
	}
	return event, at, in
}

// LastStep is the newest step of the phone at hand that still says what holds, the zero
// Step if there is none.
func (l *Ledger) LastStep() (last storage.Step) {
	l.Visit(func() error {
		return l.View.VisitLatestSteps(l.Op.ID, func(step storage.Step) bool {
			if step.Phone == l.Event.By && l.stands(step) {
				last = step
			}
			return last.Event == ""
		})
	})
	return last
}

// LastDropped is the newest step of the phone at hand that did nothing but drop contacts, which
// are out of the log since: one that is answered among them or, where nothing is, any, unless
// a pass was skipped since.
func (l *Ledger) LastDropped() (dropped storage.Step, ok bool) {
	post, replies := l.RepliedPost()
	if d := l.Op.Decided; d != nil && !replies {
		if pass, _ := l.Pass(d.Pass); pass.Arm == storage.ArmSkipped {
			return dropped, false
		}
	}
	means := func(c storage.Contact) bool { return !replies || slices.Contains(post.About, c.ID) }
	l.Visit(func() error {
		return l.View.VisitLatestSteps(l.Op.ID, func(step storage.Step) bool {
			is := false
			stays := slices.ContainsFunc(step.Moves, func(m storage.Move) bool {
				c, known := l.Contact(m.Contact)
				is = is || known && means(c)
				return m.From == 0 || c.State != storage.Dropped || c.Version != m.To
			})
			if step.Phone == l.Event.By && is && !stays && l.stands(step) {
				dropped, ok = step, true
			}
			return !ok && step.At.After(l.Event.At.Add(-clocksApart))
		})
	})
	return dropped, ok
}

// stands reports whether a step still says what holds: its evidence may have been
// taken back on the way to that of an earlier one, because it made no difference then.
func (l *Ledger) stands(step storage.Step) bool {
	return !step.Undone && (len(step.Sittings) == 0 || slices.ContainsFunc(step.Sittings, func(id uint64) bool {
		s, ok := l.SittingOf(id)
		return ok && slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool { return ev.Event == step.Event && !ev.Undone })
	}))
}

// clocksApart is how far back clocks may have been set between two events.
const clocksApart = 24 * time.Hour

// StepOf is the step of an event of a moment, in the words of then; known is false of one
// that made no difference then.
func (l *Ledger) StepOf(event string, at time.Time) (step storage.Step, known bool) {
	step = storage.Step{Phone: l.Event.By, Operator: l.Op.ID, Seq: l.View.NextStep(l.Op.ID), At: l.Event.At, Event: event, What: l.StepName()}
	l.Visit(func() error {
		return l.View.VisitLatestSteps(l.Op.ID, func(s storage.Step) bool {
			if s.Event == event {
				step, known = s, true
			}
			return !known && s.At.After(at.Add(-clocksApart))
		})
	})
	return step, known
}

// Held is what sittings hold for lines to come: slates, and times told alone.
func Held(in []*Sitting) string {
	var held strings.Builder
	for _, s := range in {
		fmt.Fprint(&held, s.Log.Slates, s.Log.Carried)
	}
	return held.String()
}

// Words are the words of an event in sittings, empty if it was a tap.
func Words(event string, in []*Sitting) (text string) {
	for _, s := range in {
		for _, ev := range s.Evidence {
			if ev.Event == event {
				text = cmp.Or(text, ev.Text)
			}
		}
	}
	return text
}

// Counts reports whether a move makes a difference: its contact stood, or stands now, and
// is another than it was, but for the words that it was read from.
func (l *Ledger) Counts(m storage.Move) bool {
	old, known := l.StoredContact(m.Contact)
	now := l.Contacts[m.Contact]
	if now.State == storage.Dropped && old.State == storage.Dropped {
		return false
	}
	now.Text = old.Text
	return !known || !contact.Same(old, now)
}

// SittingWith is the sitting of the last hours that holds a delivery, and the first message
// of it there; of buttons that don't name their phone, of any that began one then.
func (l *Ledger) SittingWith(delivery filing.DeliveryID) (in *Sitting, said *storage.Evidence) {
	for id := l.View.LastSitting(l.Op.ID); id > 0; id-- {
		s, ok := l.SittingOf(id)
		if !ok || s.Last.Before(delivery.Began()) {
			break
		}
		for i := range s.Evidence {
			ev := &s.Evidence[i]
			switch of := filing.DeliveryOf(ev); {
			case ev.Kind != storage.EvSaid:
			case of == delivery:
				return s, ev
			case said == nil && of.Began().Equal(delivery.Began()):
				in, said = s, ev
			}
		}
	}
	return in, said
}
