package storage

import (
	"errors"
	"fmt"
	"time"
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
	return wrap("accept", s.update(func(t tx) error {
		return errors.Join(t.keep(keep), each(raws, t.acceptRaw))
	}))
}

// keep replaces small values by their keys; nil removes one.
func (t tx) keep(values map[string][]byte) error {
	for k, v := range values {
		if err := checkName("a kept key", k); err != nil {
			return err
		}
		err := t.in(inKept).Delete(textKey(k))
		if v != nil {
			err = put(t.in(inKept), textKey(k), v)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (t tx) acceptRaw(r Raw) error {
	if err := checkName("an incoming ID", r.ID); err != nil {
		return err
	}
	id := textKey(r.ID)
	if t.in(inInboxByID).Get(id) != nil || t.in(inSeen).Get(id) != nil {
		return nil
	}
	k, _ := t.in(inInbox).Cursor().Last()
	next := lastUint(k) + 1
	return errors.Join(put(t.in(inInboxByID), id, next), put(t.in(inInbox), uintKey(next), r))
}

// Kept is what is kept under key; nil if there is nothing.
func (s *Store) Kept(key string) (kept []byte, err error) {
	err = s.View(func(v *View) error {
		kept, err = v.Kept(key)
		return err
	})
	return kept, err
}

// Kept is what is kept under key; nil if there is nothing.
func (v *View) Kept(key string) ([]byte, error) {
	kept, _, err := get[[]byte](v.in(inKept), textKey(key))
	return kept, err
}

// OwnKey is the key of a kept value that belongs to an operator and is
// forgotten with them.
func OwnKey(op OperatorID, what string) string { return ownPrefix(op) + what }

func ownPrefix(op OperatorID) string { return "own/" + string(op) + "/" }

// Oldest is the head of the inbox.
func (s *Store) Oldest() (r Raw, ok bool, err error) {
	err = s.read(func(t tx) error {
		k, data := t.in(inInbox).Cursor().First()
		if k == nil {
			return nil
		}
		ok = true
		r, err = decode[Raw](inInbox, k, data)
		return err
	})
	return r, ok && err == nil, err
}

// SetAside takes what can't be worked out of the inbox and keeps it apart. An
// ID that isn't in the inbox is passed over.
func (s *Store) SetAside(id, why string, at time.Time) error {
	return wrap(fmt.Sprintf("set %q aside", id), s.update(func(t tx) error {
		seq, known, err := get[uint64](t.in(inInboxByID), textKey(id))
		if err != nil || !known {
			return err
		}
		raw, _, err := get[Raw](t.in(inInbox), uintKey(seq))
		return errors.Join(err,
			put(t.in(inDead), textKey(id), deadRaw{raw, why, at}),
			t.takeRaw(id),
			t.see(id, at),
		)
	}))
}

// takeRaw removes an ID from the inbox if it is there.
func (t tx) takeRaw(id string) error {
	seq, known, err := get[uint64](t.in(inInboxByID), textKey(id))
	if err != nil || !known {
		return err
	}
	return errors.Join(t.in(inInbox).Delete(uintKey(seq)), t.in(inInboxByID).Delete(textKey(id)))
}

// see remembers what came in as seen.
func (t tx) see(id string, at time.Time) error {
	return put(t.in(inSeen), textKey(id), sighting{At: at, Tx: t.ID()})
}

// How long things are remembered after they are over.
const (
	seenFor  = 8 * 24 * time.Hour // messaging apps repeat deliveries for a day, and draw ids anew after a week
	postsFor = 60 * 24 * time.Hour
)

// Prune forgets the IDs of events seen more than 8 days ago and posts that were
// out or dropped more than 60 days ago.
func (s *Store) Prune(now time.Time) error {
	return wrap("prune", s.update(func(t tx) error {
		return errors.Join(
			deleteWhere(t.in(inSeen), func(_ []byte, seen sighting) bool { return seen.At.Before(now.Add(-seenFor)) }),
			eachWhere(t.in(inPosts), func(p outPost) bool { return !p.owed() && p.Ended.Before(now.Add(-postsFor)) }, t.deletePost),
		)
	}))
}
