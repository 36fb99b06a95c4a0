package storage

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"skyslate/storage/fault"
	"skyslate/storage/keys"
	"skyslate/storage/names"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// deadRaw is something that could not be worked, and why.
type deadRaw struct {
	Raw Raw       `json:"raw"`
	Why string    `json:"why"`
	At  time.Time `json:"at"`
}

// Accept puts what came in into the inbox, in order, and replaces the values
// kept for transports under the given keys, all in one durable transaction.
// What is in the inbox or was seen already, judged by its exact ID, is passed
// over.
func (s *Store) Accept(keep map[string][]byte, raws ...Raw) error {
	err := s.update(func(t *tx) {
		t.keep(keep)
		for _, r := range raws {
			t.acceptRaw(r)
		}
	})
	if err == nil {
		for _, r := range raws {
			s.documents.CameIn(r.ID)
		}
	}
	return fault.In("accept", err)
}

func (t *tx) acceptRaw(r Raw) {
	t.checkName("an incoming ID", r.ID)
	id := keys.Text(r.ID)
	if t.In(schema.InboxByID).Has(id) || t.In(schema.Seen).Has(id) {
		return
	}
	k, _ := t.In(schema.Inbox).Last(nil)
	next := keys.UintOf(k) + 1
	if seat := t.seat(r.From); seat.Holds(r.At) {
		r.Turn = seat.Log
	}
	rawRecords.Put(t.Tx, keys.Uint(next), r)
	t.news.Arrive(r.queue(), next)
	if r.From != "" {
		t.number(r.From, r.Name, names.Theirs, r.At)
	}
}

// Kept is what is kept under key; nil if there is nothing.
func (s *Store) Kept(key string) (kept []byte, err error) {
	err = s.read(func(t *tx) { kept, _ = table.Get[[]byte](t.In(schema.Kept), keys.Text(key)) })
	return kept, err
}

// KeptUnder is what is kept under keys that begin with prefix.
func (s *Store) KeptUnder(prefix string) (map[string][]byte, error) {
	kept := map[string][]byte{}
	err := s.read(func(t *tx) {
		for k, value := range table.Scan[[]byte](t.In(schema.Kept), []byte(prefix)) {
			kept[keys.TextOf(k)] = value
		}
	})
	return kept, err
}

// Kept is what is kept under key; nil if there is nothing.
func (v *View) Kept(key string) ([]byte, error) {
	kept, _ := table.Get[[]byte](v.t.In(schema.Kept), keys.Text(key))
	return kept, v.t.Err()
}

// OwnKey is the key of a kept value that belongs to an operator and is
// forgotten with them.
func OwnKey(op OperatorID, what string) string { return "own/" + string(op) + "/" + what }

// Oldest is the oldest of what waits of the operator whose turn it is: they take
// turns, so that nobody waits for all that another one sent.
func (s *Store) Oldest() (r Raw, ok bool, err error) {
	number, ok := s.pending.Oldest()
	if !ok {
		return r, false, nil
	}
	err = s.read(func(t *tx) { r, ok = table.Get[Raw](t.In(schema.Inbox), keys.Uint(number)) })
	return r, ok, err
}

// SetAside takes what can't be worked out of the inbox and keeps it apart. An
// ID that isn't in the inbox is passed over.
func (s *Store) SetAside(id, why string, at time.Time) error {
	return fault.In(fmt.Sprintf("set %q aside", id), s.update(func(t *tx) {
		if raw, known := t.takeRaw(id); known {
			t.In(schema.Dead).Set(keys.Text(id), deadRaw{raw, why, at})
			t.see(id, at)
		}
	}))
}

// takeRaw removes an ID from the inbox if it is there.
func (t *tx) takeRaw(id string) (r Raw, known bool) {
	seq, known := table.Get[uint64](t.In(schema.InboxByID), keys.Text(id))
	if !known {
		return r, false
	}
	r, _ = rawRecords.Get(t.Tx, keys.Uint(seq))
	rawRecords.Remove(t.Tx, keys.Uint(seq))
	t.news.Leave(r.queue(), seq)
	return r, true
}

// queue is in whose order it is worked.
func (r Raw) queue() string { return string(cmp.Or(r.Turn, r.From)) }

// see remembers what came in as seen.
func (t *tx) see(id string, at time.Time) {
	t.In(schema.Seen).Set(keys.Text(id), sighting{At: at, Tx: t.ID()})
}

// Fault is something that failed and is kept: what came in and could not be
// worked, or a post that could never go out.
type Fault struct {
	Name string // the ID of what came in, or the post's name
	Post bool
	Why  string
	At   time.Time
}

// Faults are what failed after a moment and is still kept, the oldest first.
func (s *Store) Faults(after time.Time) (all []Fault, err error) {
	err = s.read(func(t *tx) { all = t.faults() })
	return slices.DeleteFunc(all, func(f Fault) bool { return !f.At.After(after) }), fault.In("faults", err)
}

func (t *tx) faults() (all []Fault) {
	for _, d := range table.Scan[deadRaw](t.In(schema.Dead), nil) {
		all = append(all, Fault{Name: d.Raw.ID, Why: d.Why, At: d.At})
	}
	for _, p := range table.Scan[outPost](t.In(schema.Posts), nil) {
		if p.Failed {
			all = append(all, Fault{Name: p.Name, Post: true, Why: p.Dropped, At: p.Ended})
		}
	}
	slices.SortStableFunc(all, func(a, b Fault) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Name, b.Name)) })
	return all
}
