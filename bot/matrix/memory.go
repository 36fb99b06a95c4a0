package matrix

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"skyslate/bot"
	"skyslate/bot/fetch"
	"skyslate/bot/guests"
	"skyslate/storage"
)

// memoryKey is where the transport's memory stands beside the inbox.
const (
	memoryKey  = "matrix"
	underRoom  = memoryKey + "/room/"
	underFetch = memoryKey + "/fetch/"
)

// memory is all that has to outlive the process beside who is let in. It is stored as
// JSON, each room and each fetch as a value of its own beside it; fields may be added,
// never renamed or given another meaning.
type memory struct {
	User  string `json:"user,omitempty"`  // the account that all this is about
	Since string `json:"since,omitempty"` // the server's name of the place to go on from
	Left  string `json:"left,omitempty"`  // the mark of the owner who is forgotten, and invited no more
}

// mark stands for somebody whose name is to be forgotten.
func mark(op storage.OperatorID) string {
	sum := sha256.Sum256([]byte("skyslate owner " + op))
	return hex.EncodeToString(sum[:])
}

// room is an operator's room.
type room struct {
	ID     string    `json:"id,omitempty"` // empty: it is to be opened
	Opened time.Time `json:"opened,omitzero"`
	Joined bool      `json:"joined,omitempty"` // the operator is in it
}

// kept is the memory with the rooms.
type kept struct {
	memory
	rooms   map[storage.OperatorID]room
	owners  map[string]storage.OperatorID // whose a room is
	fetches fetch.Queue
}

func readKept(desk *bot.Desk) (k kept, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("what is kept for Matrix is damaged: %w", err)
		}
	}()
	k.rooms, k.owners = map[storage.OperatorID]room{}, map[string]storage.OperatorID{}
	if k.fetches, err = fetch.Read(desk, underFetch); err != nil {
		return k, err
	}
	text, err := desk.Kept(memoryKey)
	if err != nil || text == nil {
		return k, err
	}
	if err := json.Unmarshal(text, &k.memory); err != nil {
		return k, err
	}
	all, err := desk.KeptUnder(underRoom)
	if err != nil {
		return k, err
	}
	for key, text := range all {
		var r room
		if err := json.Unmarshal(text, &r); err != nil {
			return k, err
		}
		k.set(storage.OperatorID(key[len(underRoom):]), &r)
	}
	return k, nil
}

// set changes an operator's room; nil removes it.
func (k *kept) set(op storage.OperatorID, r *room) {
	delete(k.owners, k.rooms[op].ID)
	delete(k.rooms, op)
	if r != nil {
		k.rooms[op] = *r
		if r.ID != "" {
			k.owners[r.ID] = op
		}
	}
}

// draft is a change of what is kept and of who is let in.
type draft struct {
	*guests.Draft
	memory
	fetches fetch.Queue
	kept    *kept
	changed map[storage.OperatorID]*room
}

// room is an operator's room as this change leaves it.
func (d *draft) room(op storage.OperatorID) (r room, known bool) {
	if changed, ok := d.changed[op]; ok {
		if changed == nil {
			return room{}, false
		}
		return *changed, true
	}
	r, known = d.kept.rooms[op]
	return r, known
}

// owner is whose a room is as this change leaves it.
func (d *draft) owner(id string) (op storage.OperatorID, known bool) {
	for op, r := range d.changed {
		if r != nil && r.ID == id {
			return op, true
		}
	}
	op, known = d.kept.owners[id]
	if _, changed := d.changed[op]; changed {
		return "", false
	}
	return op, known
}

// values are the values to be written beside the memory.
func (d *draft) values() map[string][]byte {
	values := maps.Clone(d.fetches.Changed())
	for op, r := range d.changed {
		values[underRoom+string(op)] = encoded(r)
	}
	return values
}

// write puts a change on disk. The place to go on from alone can wait for the next one:
// after it came nothing but what was sent from here, which is passed over again.
func (d *draft) write(accept guests.Accept, values map[string][]byte, raws []storage.Raw) error {
	movedOn := d.kept.memory
	movedOn.Since = d.Since
	if d.memory == movedOn && d.Since != "" && d.kept.Since != "" && len(values)+len(raws) == 0 {
		return nil
	}
	values[memoryKey] = encoded(&d.memory)
	return accept(values, raws...)
}

// encoded is a value as it is written; nil for nil.
func encoded[T any](v *T) []byte {
	if v == nil {
		return nil
	}
	text, _ := json.Marshal(v) // it holds nothing that can't be written
	return text
}

// keep changes what is kept and who is let in, and puts the events into the inbox,
// all or nothing, durable when it returns. Documents of those who are not let in any
// more are given up.
func (t *Transport) keep(change func(*draft) []storage.Raw) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	d := &draft{
		memory: t.kept.memory, fetches: t.kept.fetches, kept: &t.kept, changed: map[storage.OperatorID]*room{},
	}
	accept := func(values map[string][]byte, raws ...storage.Raw) error { return d.write(t.accept, values, raws) }
	err := t.guests.Change(t.now(), accept, func(g *guests.Draft) (map[string][]byte, []storage.Raw, error) {
		d.Draft = g
		raws := change(d)
		d.fetches.Drop(func(w fetch.Wanted) bool { return slices.Contains(d.Out, w.Operator) && !d.Admits(w.Operator) })
		return d.values(), raws, nil
	})
	if err != nil {
		return err
	}
	d.fetches.Written()
	t.kept.memory, t.kept.fetches = d.memory, d.fetches
	for op, r := range d.changed {
		t.kept.set(op, r)
	}
	t.fetcher.CallOff(t.kept.fetches)
	return nil
}

// alter is keep without events.
func (t *Transport) alter(change func(*draft)) error {
	return t.keep(func(d *draft) []storage.Raw {
		change(d)
		return nil
	})
}

// returns lets somebody be invited again who was forgotten.
func (d *draft) returns(op storage.OperatorID) {
	if d.Left == mark(op) {
		d.Left = ""
	}
}

// me is the account's own name, empty while it is not known.
func (t *Transport) me() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.kept.User
}

// roomOf is an operator's room.
func (t *Transport) roomOf(op storage.OperatorID) (r room, known bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	r, known = t.kept.rooms[op]
	return r, known
}

// forget calls the fetches off for an operator who is to be forgotten. Their room is
// known until the farewell is out.
func (t *Transport) forget(op storage.OperatorID) (remains string, err error) {
	err = t.alter(func(d *draft) {
		if op == t.owner {
			d.Left = mark(op)
		}
		d.fetches.Drop(func(w fetch.Wanted) bool { return w.Operator == op })
	})
	if err != nil {
		return "", fmt.Errorf("forget an operator: %w", err)
	}
	return "", nil
}
