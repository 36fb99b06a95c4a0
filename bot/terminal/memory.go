package terminal

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/storage"
)

// memoryKey is where the phone's memory stands beside the inbox.
func (p *phone) memoryKey() string {
	if p.who == Operator {
		return "terminal"
	}
	return "terminal/" + string(p.who)
}

// memory is all that has to outlive the program. It is stored as JSON; fields
// may be added, never renamed or given another meaning.
type memory struct {
	Clock   time.Time `json:"clock,omitzero"` // of the simulated clock
	M       int64     `json:"m"`              // the last number given to a message
	B       int64     `json:"b"`              // ... and to a post
	Events  uint64    `json:"events"`         // the last number given to an event
	Offline bool      `json:"offline,omitempty"`

	Held   []event.Event `json:"held,omitempty"`   // done while offline, not delivered yet
	Missed []record      `json:"missed,omitempty"` // posts that came while offline

	Buttons map[int64][]storage.Button `json:"buttons,omitempty"` // by post, those of the latest posts

	Pinned map[int64]string `json:"pinned,omitempty"` // the texts of posts that are pinned

	Live      int64     `json:"live,omitempty"` // the message that is the live location
	LiveSince time.Time `json:"live_since,omitzero"`
}

const (
	buttonsKept = 200 // posts whose buttons are remembered
	liveFor     = 8 * time.Hour
)

// clone is a copy that can be changed and thrown away.
func (m *memory) clone() memory {
	c := *m
	c.Held = slices.Clone(m.Held)
	c.Missed = slices.Clone(m.Missed)
	c.Buttons, c.Pinned = map[int64][]storage.Button{}, map[int64]string{}
	maps.Copy(c.Buttons, m.Buttons)
	maps.Copy(c.Pinned, m.Pinned)
	return c
}

// setButtons remembers the buttons of a post, and forgets the oldest posts'.
func (m *memory) setButtons(post int64, rows [][]storage.Button) {
	delete(m.Buttons, post)
	if flat := slices.Concat(rows...); len(flat) > 0 {
		m.Buttons[post] = flat
	}
	for len(m.Buttons) > buttonsKept {
		delete(m.Buttons, slices.Min(slices.Collect(maps.Keys(m.Buttons))))
	}
}

// setPinned remembers what a pinned post reads, while it is pinned, and returns
// what it read before.
func (m *memory) setPinned(post int64, o bot.Outgoing) (before string, pinned bool) {
	before, pinned = m.Pinned[post]
	switch {
	case o.Pin == storage.PinOff:
		delete(m.Pinned, post)
		return "", false
	case o.Pin == storage.PinOn || pinned:
		m.Pinned[post] = o.Text
	}
	return before, pinned
}

// event starts an event of whose phone it is.
func (p *phone) event(m *memory, kind event.Kind, at time.Time) event.Event {
	m.Events++
	return event.Event{ID: fmt.Sprintf("%s/%d", p.who, m.Events), Operator: p.who, At: at, Kind: kind}
}

// message starts an event that is a new message.
func (p *phone) message(m *memory, kind event.Kind, at time.Time) event.Event {
	m.M++
	e := p.event(m, kind, at)
	e.Message = m.M
	return e
}
