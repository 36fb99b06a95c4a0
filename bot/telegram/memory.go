package telegram

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"skyslate/storage"
)

// memoryKey is where the transport's memory stands beside the inbox.
const memoryKey = "telegram"

// memory is all that has to outlive the process. It is stored as JSON; fields
// may be added, never renamed or given another meaning.
type memory struct {
	// Offset is the id of the last update on disk, and when it came: ids may be
	// drawn anew, lower, after a week without any.
	Offset   int64     `json:"offset,omitempty"`
	OffsetAt time.Time `json:"offset_at,omitzero"`

	Owner   int64                `json:"owner,omitempty"`
	Members map[int64]time.Time  `json:"members,omitempty"` // let in by invitation, and when
	Invites map[string]time.Time `json:"invites,omitempty"` // of an older form: see number
	Gone    map[int64]time.Time  `json:"gone,omitempty"`    // those who have blocked the bot
	Told    map[int64]time.Time  `json:"told,omitempty"`    // strangers and groups who had their sentence

	// Invited are the invitations, in the order of their numbers; Numbered is the
	// last number given.
	Invited  []invitation `json:"invited,omitempty"`
	Numbered int          `json:"numbered,omitempty"`
	// Used is the hash of the code that the owner came in by.
	Used string `json:"used,omitempty"`

	// Rival is when the owner was last told that another program polls.
	Rival time.Time `json:"rival,omitzero"`
	// Faults is when the owner was last told of messages that failed.
	Faults time.Time `json:"faults,omitzero"`

	Notices []notice `json:"notices,omitempty"`
	Fetches []fetch  `json:"fetches,omitempty"`
	Count   uint64   `json:"count,omitempty"` // names notices
}

// notice is a sentence that the transport itself owes somebody.
type notice struct {
	ID    uint64 `json:"id"`
	Chat  int64  `json:"chat"`
	Text  string `json:"text"`
	Leave bool   `json:"leave,omitempty"` // the group, after it is said
}

// fetch is a document that is still to be fetched.
type fetch struct {
	Raw    string          `json:"raw"` // the event's ID
	At     time.Time       `json:"at"`
	File   string          `json:"file"` // the service's name of it
	Update json.RawMessage `json:"update"`
}

const (
	offsetFresh = 6 * 24 * time.Hour
	toldFor     = 30 * 24 * time.Hour
	// mostTold bounds what strangers can make us remember; beyond it they get no
	// sentence.
	mostTold = 500
	// mostFetches bounds it for all operators together.
	mostFetches = 500
)

func readMemory(b []byte) (memory, error) {
	var m memory
	if len(b) == 0 {
		return m, nil
	}
	if err := json.Unmarshal(b, &m); err != nil {
		return m, fmt.Errorf("what is kept for Telegram is damaged: %w", err)
	}
	m.number()
	return m, nil
}

func (m *memory) encode() (map[string][]byte, error) {
	b, err := json.Marshal(m)
	if err != nil {
		return nil, err
	}
	return map[string][]byte{memoryKey: b}, nil
}

// clone is a copy that can be changed and thrown away.
func (m *memory) clone() memory {
	c := *m
	c.Members, c.Gone, c.Told = filled(m.Members), filled(m.Gone), filled(m.Told)
	c.Notices, c.Fetches, c.Invited = slices.Clone(m.Notices), slices.Clone(m.Fetches), slices.Clone(m.Invited)
	return c
}

func filled[K comparable, V any](m map[K]V) map[K]V {
	if m == nil {
		return map[K]V{}
	}
	return maps.Clone(m)
}

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }

// forget removes somebody who is to be forgotten.
func (m *memory) forget(id int64) {
	delete(m.Members, id)
	delete(m.Gone, id)
	delete(m.Told, id)
	if m.Owner == id {
		m.Owner = 0
	}
	m.dropFetches(id)
	m.Notices = slices.DeleteFunc(m.Notices, func(n notice) bool { return n.Chat == id })
	m.Invited = slices.DeleteFunc(m.Invited, func(i invitation) bool { return i.Guest == id })
}

// dropFetches gives up what somebody's documents are still to bring.
func (m *memory) dropFetches(id int64) {
	m.Fetches = slices.DeleteFunc(m.Fetches, func(f fetch) bool { return writer(f.Update) == id })
}

// owe adds a sentence to those that are still to be said.
func (m *memory) owe(chat int64, text string, leave bool) {
	m.Count++
	m.Notices = append(m.Notices, notice{m.Count, chat, text, leave})
}

// tellOnce owes a stranger or a group its one sentence, and reports whether it
// was owed only now.
func (m *memory) tellOnce(chat int64, text string, leave bool, now time.Time) bool {
	maps.DeleteFunc(m.Told, func(_ int64, at time.Time) bool { return now.Sub(at) > toldFor })
	if _, told := m.Told[chat]; told || len(m.Told) >= mostTold {
		return false
	}
	m.Told[chat] = now
	m.owe(chat, text, leave)
	return true
}

// start is the id to go on from: 0 if ids may have been drawn anew since.
func (m *memory) start(now time.Time) int64 {
	if now.Sub(m.OffsetAt) > offsetFresh {
		return 0
	}
	return m.Offset
}

// keep changes the memory and puts what came in into the inbox, all or nothing,
// durable when it returns.
func (t *Transport) keep(change func(*memory) []storage.Raw) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	m := t.mem.clone()
	raws := change(&m)
	kept, err := m.encode()
	if err != nil {
		return err
	}
	if err := t.accept(kept, raws...); err != nil {
		return err
	}
	t.mem = m
	t.callOff()
	return nil
}

// remembered returns the memory as it stands; nobody changes its maps.
func (t *Transport) remembered() memory {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.mem
}
