package contact

import (
	"slices"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/storage"
)

// Log is what evidence comes to.
type Log struct {
	Contacts []Contact        // in the order of the evidence, dropped ones too
	Messages []filing.Outcome // in the order of the evidence
	// Open are the deliveries that wait for the answer which pass is meant.
	Open []Question
	// Slates are the recordings whose slate is known, with the last one told;
	// Waiting are those that contacts wait for.
	Slates  map[storage.Recording]time.Time
	Waiting []storage.Recording
	// Chosen is the pass that a name or a tap holds for what comes; "": none.
	Chosen storage.PassID
	// Carried are the times on lines of their own that hold, by the phone that told each last.
	Carried map[int64]Carried
}

// Carried is a time told on a line of its own for a pass; At is when that was, if it tells
// the hour and the pass is known.
type Carried struct {
	Clock parse.Clock
	At    time.Time
	For   storage.PassID
}

// Contact is a derived contact: without its ID and version, which the store gives.
type Contact struct {
	Key storage.ContactKey
	storage.Contact
	// By are the messages that made it what it is, its own first.
	By []int64
	// Joined is the contact that it was a part of: its grid went there.
	Joined storage.ContactKey
	// Earlier is the pass that it may belong to after all.
	Earlier storage.PassID
	// Delivery is the one that its pass is asked for.
	Delivery filing.DeliveryID
	// Late: what it was told in came after its whole pass, so that the summary of
	// the pass asks what is in doubt.
	Late bool
}

// Question is a delivery whose pass is asked for.
type Question struct {
	Delivery filing.DeliveryID
	Message  int64 // the last one of it
	Rivals   []storage.Pass
	Contacts []storage.ContactKey
	InOrder  bool   // each part can be one pass's, in order
	NotUp    string // a bird that its last message names and that had no pass
}

// log is what the run came to.
func (d *derivation) log() Log {
	g := Log{
		Contacts: make([]Contact, 0, len(d.contacts)), Messages: make([]filing.Outcome, 0, len(d.Order)),
		Slates: map[storage.Recording]time.Time{}, Carried: map[int64]Carried{},
	}
	for _, c := range d.contacts {
		out := Contact{Key: c.key, Contact: c.Contact, By: c.by, Earlier: c.m.Earlier}
		if c.joined != nil && c.State == storage.Dropped {
			out.Joined = c.joined.key
		}
		v := c.line.Message.Delivery
		out.Late = v.Held || !v.Silent.IsZero() && !c.m.Pass.AOS.Before(v.Silent) && !c.m.Pass.LOS.After(v.Began)
		if len(c.m.Rivals) > 0 || c.m.Reason == filing.ByNothing || c.m.Earlier != "" {
			out.Delivery = v.ID()
		}
		g.Contacts = append(g.Contacts, out)
		if c.Why == WhySlate && c.State == storage.Doubtful && !slices.Contains(g.Waiting, c.recording()) {
			g.Waiting = append(g.Waiting, c.recording())
		}
	}
	for _, m := range d.Order {
		g.Messages = append(g.Messages, m.Told())
	}
	for _, s := range d.slates {
		g.Slates[s.Of] = s.Slate
	}
	if d.Hold != nil {
		g.Chosen = d.Hold.Pass.ID
	}
	for phone, c := range d.carried {
		told, pass := Carried{Clock: c.clock}, c.line.Match.Pass
		if c.clock.HasHour() && pass.ID != "" {
			told.At, told.For = timing.Nearest(c.clock, pass.TCA), pass.ID
		}
		g.Carried[phone] = told
	}
	g.Open = d.questions()
	return g
}

// questions are the deliveries that wait for a pass.
func (d *derivation) questions() []Question {
	var all []Question
	for _, v := range d.Deliveries {
		var q Question
		var parts []int
		same := true
		for _, c := range d.contacts {
			if c.line.Message.Delivery != v || c.State != storage.Doubtful || c.Why != WhyPass {
				continue
			}
			q.Contacts = append(q.Contacts, c.key)
			q.Message = c.key.Message
			parts = append(parts, c.m.Part)
			same = same && len(c.m.Rivals) > 0 && c.m.Rivals[0].Bird.Catalog == c.m.Rivals[len(c.m.Rivals)-1].Bird.Catalog
			for _, p := range c.m.Rivals {
				if !filing.Holds(q.Rivals, p.ID) {
					q.Rivals = append(q.Rivals, p)
				}
			}
		}
		if len(q.Contacts) == 0 {
			continue
		}
		slices.SortStableFunc(q.Rivals, func(a, b storage.Pass) int { return a.AOS.Compare(b.AOS) })
		slices.Sort(parts)
		parts = slices.Compact(parts)
		q.Delivery, q.NotUp = v.ID(), d.Messages[q.Message].Outcome.NotUp
		if n := len(all); n > 0 && samePasses(all[n-1].Rivals, q.Rivals) {
			all[n-1].Contacts = append(all[n-1].Contacts, q.Contacts...)
			continue
		}
		q.InOrder = same && len(parts) > 1 && len(parts) == len(q.Rivals) && parts[0] == 1 && parts[len(parts)-1] == len(parts)
		all = append(all, q)
	}
	return all
}

func samePasses(a, b []storage.Pass) bool {
	return slices.EqualFunc(a, b, func(p, q storage.Pass) bool { return p.ID == q.ID })
}
