package telegram

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"skyslate/bot"
	"skyslate/bot/fetch"
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

	fetches fetch.Queue
}

// underFetch is how the keys of fetches begin.
const underFetch = MemoryKey + "/fetch/"

const offsetFresh = 6 * 24 * time.Hour

// readMemory reads what was kept. An older program kept the fetches in one value
// with the rest: that is written anew.
func readMemory(desk *bot.Desk) (m memory, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("what is kept for Telegram is damaged: %w", err)
		}
	}()
	if m.fetches, err = fetch.Read(desk, underFetch); err != nil {
		return m, err
	}
	kept, err := desk.Kept(MemoryKey)
	if err != nil || kept == nil {
		return m, err
	}
	var older struct {
		Fetches []fetch.Wanted `json:"fetches"`
	}
	if err := cmp.Or(json.Unmarshal(kept, &m), json.Unmarshal(kept, &older)); err != nil {
		return m, err
	}
	for _, w := range older.Fetches {
		m.fetches.Await(w)
	}
	m.fetches.Own(func(w fetch.Wanted) storage.OperatorID { return operatorID(writer(w.Update)) })
	if len(older.Fetches) > 0 {
		err = desk.Accept(m.values())
		m.fetches.Written()
	}
	return m, err
}

// values are the values to be written.
func (m *memory) values() map[string][]byte {
	values := m.fetches.Changed()
	values[MemoryKey], _ = json.Marshal(m) // it holds nothing that can't be written
	return values
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
			m.fetches.Drop(func(w fetch.Wanted) bool { return slices.Contains(d.Out, w.Operator) && !d.Admits(w.Operator) })
		}
		return m.values(), raws, nil
	})
	if err != nil {
		return err
	}
	m.fetches.Written()
	t.mem = m
	t.fetcher.CallOff(m.fetches)
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
		m.fetches.Drop(func(w fetch.Wanted) bool { return w.Operator == op })
	})
	if err != nil {
		return "", fmt.Errorf("forget an operator: %w", err)
	}
	return "", nil
}
