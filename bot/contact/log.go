package contact

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/question"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/storage"
)

// Log is what evidence comes to.
type Log struct {
	Contacts []Contact // in the order of the evidence, dropped ones too
	Messages []Message // in the order of the evidence
	// Open are the deliveries that wait for the answer which pass is meant.
	Open []Question
	// Slates are the recordings whose slate is known, with the last one told;
	// Waiting are those that contacts wait for.
	Slates  map[storage.Recording]time.Time
	Waiting []storage.Recording
	// Chosen is the pass that a name or a tap holds for what comes; "": none.
	Chosen storage.PassID
	// Carried is the time on a line of its own that was told last, for the pass
	// CarriedFor.
	Carried    time.Time
	CarriedFor storage.PassID
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
	Delivery time.Time
	// Late: what it was told in came after its whole pass, so that the summary of
	// the pass asks what is in doubt.
	Late bool
}

// Message is what became of a message: the contacts that its lines made or changed,
// and the pass of the last line.
type Message struct {
	ID       int64
	Contacts []storage.ContactKey
	Pass     storage.PassID
	// Told are the recordings whose slate it tells, with what that was before.
	Told []Told
	// Alone is set where the message does nothing but name a bird, or a time.
	Alone bool
	// NotUp is a bird that it names and that had no pass.
	NotUp string
	// Unheld is a time told on a line of its own that holds for nothing: none of the
	// birds was up then, or another pass has begun since.
	Unheld Unheld
	// Asks are the stations, or grids alone, that it asks about: were they worked?
	Asks []Inquiry
	// Questions are what it asks beside that.
	Questions []question.Question
	// Ignored says that the message answers a contact and says nothing of it. Which are
	// the contacts that it could mean.
	Ignored Ignored
	Which   []storage.ContactKey
}

// Speaks reports whether a message speaks of the log: what it says is no note, and no
// question.
func (m Message) Speaks() bool {
	return len(m.Contacts) > 0 || len(m.Told) > 0 || m.Alone || m.NotUp != "" || m.Unheld.Clock.IsSet() || m.Ignored != ""
}

// An Inquiry asks whether a station, or grids alone, were worked: with a bird, if one is
// named.
type Inquiry struct {
	parse.Station
	Bird storage.BirdRef
}

// Ignored says why an answer to a contact changed nothing.
type Ignored string

// Why an answer changed nothing.
const (
	WhichOne  Ignored = "which"      // it could mean several contacts
	NoRewrite Ignored = "no rewrite" // a word that could be a name or a suffix
	NoNumber  Ignored = "no number"  // no such contact stands under the pass
	NoCall    Ignored = "no call"    // no contact with a call that it names
	NoneGiven Ignored = "none given" // "same grid" of a station that gave none
)

// Told is a slate that was told.
type Told struct {
	Of     storage.Recording
	Slate  time.Time
	Before time.Time // the one told before; zero: none
}

// Question is a delivery whose pass is asked for.
type Question struct {
	Delivery time.Time
	Message  int64 // the last one of it
	Rivals   []storage.Pass
	Contacts []storage.ContactKey
	InOrder  bool   // each part can be one pass's, in order
	NotUp    string // a bird that its last message names and that had no pass
}

// log is what the run came to.
func (d *derivation) log() Log {
	g := Log{
		Contacts: make([]Contact, 0, len(d.contacts)), Messages: make([]Message, 0, len(d.order)),
		Slates: map[storage.Recording]time.Time{},
	}
	for _, c := range d.contacts {
		out := Contact{Key: c.key, Contact: c.Contact, By: c.by, Earlier: c.m.Earlier}
		if c.joined != nil && c.State == storage.Dropped {
			out.Joined = c.joined.key
		}
		v := c.line.message.delivery
		out.Late = v.held || !v.silent.IsZero() && !c.m.Pass.AOS.Before(v.silent) && !c.m.Pass.LOS.After(v.began)
		if len(c.m.Rivals) > 0 || c.m.Reason == ByNothing || c.m.Earlier != "" {
			out.Delivery = v.began
		}
		g.Contacts = append(g.Contacts, out)
		if c.Why == WhySlate && c.State == storage.Doubtful && !slices.Contains(g.Waiting, c.recording()) {
			g.Waiting = append(g.Waiting, c.recording())
		}
	}
	for _, m := range d.order {
		g.Messages = append(g.Messages, m.told())
	}
	for _, s := range d.slates {
		g.Slates[s.of] = s.slate
	}
	if d.hold != nil {
		g.Chosen = d.hold.pass.ID
	}
	if c := d.carried[0]; c != nil && c.clock.HasHour() && c.line.match.Pass.ID != "" {
		pass := c.line.match.Pass
		g.Carried, g.CarriedFor = timing.Nearest(c.clock, pass.TCA), pass.ID
	}
	g.Open = d.questions()
	return g
}

// told is what became of a message.
func (m *message) told() Message {
	out := m.outcome
	out.ID, out.Alone = m.said.Message, true
	for _, l := range m.lines {
		out.Contacts = append(out.Contacts, l.came...)
		out.Pass = cmp.Or(l.match.Pass.ID, out.Pass)
		out.Alone = out.Alone && (l.alone || l.look.Clock.IsSet() || strings.TrimSpace(l.text) == "")
	}
	return out
}

// questions are the deliveries that wait for a pass.
func (d *derivation) questions() []Question {
	var all []Question
	for _, v := range d.deliveries {
		var q Question
		var parts []int
		same := true
		for _, c := range d.contacts {
			if c.line.message.delivery != v || c.State != storage.Doubtful || c.Why != WhyPass {
				continue
			}
			q.Contacts = append(q.Contacts, c.key)
			q.Message = c.key.Message
			parts = append(parts, c.m.Part)
			same = same && len(c.m.Rivals) > 0 && c.m.Rivals[0].Bird.Catalog == c.m.Rivals[len(c.m.Rivals)-1].Bird.Catalog
			for _, p := range c.m.Rivals {
				if !holds(q.Rivals, p.ID) {
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
		q.Delivery, q.NotUp = v.began, d.messages[q.Message].outcome.NotUp
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
