package telegram

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"skyslate/bot"
	"skyslate/bot/guests"
	"skyslate/storage"
)

// MemoryKey is where the transport's memory stands beside the inbox. An older
// program kept there, too, who is let in: see [guests.Config].
const MemoryKey = "telegram"

// memory is all that has to outlive the process beside who is let in. It is
// stored as JSON, each fetch as a value of its own beside it; fields may be added,
// never renamed or given another meaning.
type memory struct {
	// Offset is the id of the last update on disk, and when it came: ids may be
	// drawn anew, lower, after a week without any.
	Offset   int64     `json:"offset,omitempty"`
	OffsetAt time.Time `json:"offset_at,omitzero"`

	// Rival is when the owner was last told that another program polls.
	Rival time.Time `json:"rival,omitzero"`

	fetches []fetch           // in the order in which they came; never changed in place
	changed map[string][]byte // the values of those that came or went, by their keys
}

// fetch is a document that is still to be fetched.
type fetch struct {
	Raw    string          `json:"raw"` // the event's ID
	At     time.Time       `json:"at"`
	File   string          `json:"file"` // the service's name of it
	Update json.RawMessage `json:"update"`

	operator storage.OperatorID
}

// underFetch is how the keys of fetches begin.
const underFetch = MemoryKey + "/fetch/"

const (
	offsetFresh = 6 * 24 * time.Hour
	// mostFetches bounds them for all operators together.
	mostFetches = 500
)

// readMemory reads what was kept. An older program kept the fetches in one value
// with the rest: that is written anew.
func readMemory(desk *bot.Desk) (m memory, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("what is kept for Telegram is damaged: %w", err)
		}
	}()
	kept, err := desk.Kept(MemoryKey)
	if err != nil || kept == nil {
		return m, err
	}
	var older struct {
		Fetches []fetch `json:"fetches"`
	}
	if err := cmp.Or(json.Unmarshal(kept, &m), json.Unmarshal(kept, &older)); err != nil {
		return m, err
	}
	apart, err := desk.KeptUnder(underFetch)
	if err != nil {
		return m, err
	}
	for _, body := range apart {
		var f fetch
		if err := json.Unmarshal(body, &f); err != nil {
			return m, err
		}
		m.await(f)
	}
	m.changed = nil
	for _, f := range older.Fetches {
		m.await(f)
	}
	slices.SortStableFunc(m.fetches, func(a, b fetch) int {
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(len(a.Raw), len(b.Raw)), cmp.Compare(a.Raw, b.Raw))
	})
	if len(older.Fetches) > 0 {
		err = desk.Accept(m.values())
	}
	return m, err
}

// values are the values to be written.
func (m *memory) values() map[string][]byte {
	values := maps.Clone(m.changed)
	if values == nil {
		values = map[string][]byte{}
	}
	values[MemoryKey], _ = json.Marshal(m) // it holds nothing that can't be written
	return values
}

// await adds a document that is to be fetched.
func (m *memory) await(f fetch) {
	f.operator = operatorID(writer(f.Update))
	m.fetches = append(slices.Clip(m.fetches), f)
	body, _ := json.Marshal(f) // it was read as JSON
	m.change(f.Raw, body)
}

func (m *memory) change(raw string, body []byte) {
	if m.changed == nil {
		m.changed = map[string][]byte{}
	}
	m.changed[underFetch+raw] = body
}

// drop gives documents up.
func (m *memory) drop(unwanted func(fetch) bool) {
	var left []fetch
	for _, f := range m.fetches {
		if unwanted(f) {
			m.change(f.Raw, nil)
		} else {
			left = append(left, f)
		}
	}
	m.fetches = left
}

// awaits reports whether a document is still to be fetched.
func (m *memory) awaits(raw string) bool {
	return slices.ContainsFunc(m.fetches, func(f fetch) bool { return f.Raw == raw })
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
	err := t.guests.Change(t.now(), t.accept, func(d *guests.Draft) (map[string][]byte, []storage.Raw, error) {
		raws := change(&m, d)
		if len(d.Out) > 0 {
			m.drop(func(f fetch) bool { return slices.Contains(d.Out, f.operator) && !d.Admits(f.operator) })
		}
		return m.values(), raws, nil
	})
	if err != nil {
		return err
	}
	m.changed = nil
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
		m.drop(func(f fetch) bool { return f.operator == op })
	})
	if err != nil {
		return "", fmt.Errorf("forget an operator: %w", err)
	}
	return "", nil
}
