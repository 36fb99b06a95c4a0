package telegram

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"skyslate/bot/guests"
	"skyslate/storage"
)

// MemoryKey is where the transport's memory stands beside the inbox. An older
// program kept there, too, who is let in: see [guests.Config].
const MemoryKey = "telegram"

// memory is all that has to outlive the process beside who is let in. It is
// stored as JSON; fields may be added, never renamed or given another meaning.
type memory struct {
	// Offset is the id of the last update on disk, and when it came: ids may be
	// drawn anew, lower, after a week without any.
	Offset   int64     `json:"offset,omitempty"`
	OffsetAt time.Time `json:"offset_at,omitzero"`

	// Rival is when the owner was last told that another program polls.
	Rival time.Time `json:"rival,omitzero"`

	Fetches []fetch `json:"fetches,omitempty"`
}

// fetch is a document that is still to be fetched.
type fetch struct {
	Raw    string          `json:"raw"` // the event's ID
	At     time.Time       `json:"at"`
	File   string          `json:"file"` // the service's name of it
	Update json.RawMessage `json:"update"`
}

func (f fetch) operator() storage.OperatorID { return operatorID(writer(f.Update)) }

const (
	offsetFresh = 6 * 24 * time.Hour
	// mostFetches bounds them for all operators together.
	mostFetches = 500
)

func readMemory(b []byte) (m memory, err error) {
	if len(b) == 0 {
		return m, nil
	}
	if err := json.Unmarshal(b, &m); err != nil {
		return m, fmt.Errorf("what is kept for Telegram is damaged: %w", err)
	}
	return m, nil
}

// dropFetches gives up the documents of some operators.
func (m *memory) dropFetches(of func(storage.OperatorID) bool) {
	m.Fetches = slices.DeleteFunc(m.Fetches, func(f fetch) bool { return of(f.operator()) })
}

// awaits reports whether a document is still to be fetched.
func (m *memory) awaits(raw string) bool {
	return slices.ContainsFunc(m.Fetches, func(f fetch) bool { return f.Raw == raw })
}

// start is the id to go on from: 0 if ids may have been drawn anew since.
func (m *memory) start(now time.Time) int64 {
	if now.Sub(m.OffsetAt) > offsetFresh {
		return 0
	}
	return m.Offset
}

// keep changes the memory and who is let in, and puts the events into the
// inbox, all or nothing, durable when it returns. Documents of those who are not
// let in any more are given up.
func (t *Transport) keep(change func(*memory, *guests.Draft) []storage.Raw) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	m := t.mem
	m.Fetches = slices.Clone(m.Fetches)
	err := t.guests.Change(t.now(), t.accept, func(d *guests.Draft) (map[string][]byte, []storage.Raw, error) {
		raws := change(&m, d)
		m.dropFetches(func(op storage.OperatorID) bool { return !d.Admits(op) })
		kept, err := json.Marshal(m)
		return map[string][]byte{MemoryKey: kept}, raws, err
	})
	if err != nil {
		return err
	}
	t.mem = m
	if f := t.inFlight; f.cancel != nil && !m.awaits(f.raw) {
		f.cancel() // nobody wants its document any more
	}
	return nil
}

// alter is keep without events.
func (t *Transport) alter(change func(*memory, *guests.Draft)) error {
	return t.keep(func(m *memory, d *guests.Draft) []storage.Raw {
		change(m, d)
		return nil
	})
}

// remembered returns the memory as it stands.
func (t *Transport) remembered() memory {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.mem
}

// forget calls the fetches off for an operator who is to be forgotten.
func (t *Transport) forget(op storage.OperatorID) (remains string, err error) {
	err = t.alter(func(m *memory, _ *guests.Draft) {
		m.dropFetches(func(of storage.OperatorID) bool { return of == op })
	})
	if err != nil {
		return "", fmt.Errorf("forget an operator: %w", err)
	}
	return "", nil
}
