package storage

import (
	"errors"
	"fmt"
	"time"
)

// longestPass bounds the search for passes that overlap a range of time.
const longestPass = 24 * time.Hour

// sighting is when an event was worked or set aside, in which transaction and,
// if it was a moment on the agenda, for whom.
type sighting struct {
	At       time.Time  `json:"at"`
	Tx       int        `json:"tx"`
	Operator OperatorID `json:"operator,omitempty"`
}

// handOver is the newest version of a contact that is out in a file.
type handOver struct {
	Version int       `json:"version"`
	At      time.Time `json:"at"`
	// Withdrawn: the operator was told to delete it there since.
	Withdrawn bool `json:"withdrawn,omitempty"`
}

// Commit writes all that an event changes in one durable transaction: the
// event leaves the inbox and the agenda (event is the ID of the one or the key
// of the other) and is remembered as seen. An event that was seen already
// changes nothing, unless it is on the agenda anew. An error means that nothing
// was changed; ErrNoSpace that there was no room.
//
// The new versions then go to the contact journal. If that fails the commit
// stands all the same: a notice says so, and the next commit or opening makes
// up for it.
func (s *Store) Commit(event string, at time.Time, c Changes) error {
	if err := c.check(event); err != nil {
		return fmt.Errorf("commit %q: %w", event, err)
	}
	var lines []entry
	var id int
	err := s.update(func(t tx) (err error) {
		id = t.ID()
		lines, err = t.commit(event, at, c)
		return err
	})
	if unsure := new(uncertain); errors.As(err, &unsure) {
		err = s.askSeen(event, id, err)
	}
	if err != nil {
		return fmt.Errorf("commit %q: %w", event, err)
	}
	s.journalise(lines)
	return nil
}

// askSeen says whether transaction id has made it to the disk after all.
func (s *Store) askSeen(event string, id int, cause error) error {
	var seen sighting
	err := s.read(func(t tx) (err error) {
		seen, _, err = get[sighting](t.in(inSeen), textKey(event))
		return err
	})
	switch {
	case err != nil:
		return errors.Join(cause, err)
	case seen.Tx != id:
		return cause
	}
	return nil
}

// check refuses what no index could hold.
func (c Changes) check(event string) error {
	errs := []error{checkName("the event", event)}
	if c.Operator != nil {
		errs = append(errs, checkName("the operator's ID", string(c.Operator.ID)))
	}
	for _, p := range c.Passes {
		errs = append(errs, p.check())
	}
	for _, m := range c.Messages {
		errs = append(errs, checkName("a message's operator", string(m.Operator)))
	}
	for _, s := range c.Steps {
		errs = append(errs, checkName("a step's operator", string(s.Operator)))
	}
	for _, s := range c.Sittings {
		errs = append(errs, checkName("a sitting's operator", string(s.Operator)))
	}
	for _, i := range c.Agenda {
		errs = append(errs, checkName("an agenda key", i.Key))
	}
	for _, p := range c.Posts {
		errs = append(errs, checkName("a post's name", p.Name), checkName("a post's operator", string(p.Operator)))
	}
	return errors.Join(errs...)
}

func (p Pass) check() error {
	if p.LOS.Before(p.AOS) || p.LOS.Sub(p.AOS) > longestPass {
		return fmt.Errorf("pass %q lasts from %s to %s: want at most a day", p.ID, p.AOS.Format(time.RFC3339), p.LOS.Format(time.RFC3339))
	}
	return errors.Join(checkName("a pass's ID", string(p.ID)), checkName("a pass's operator", string(p.Operator)))
}

// commit returns what the journal is to hold of it.
func (t tx) commit(event string, at time.Time, c Changes) ([]entry, error) {
	over, err := t.takeEvent(event, at)
	if err != nil || over {
		return nil, err
	}
	lines, err := t.journalLines(c)
	if err != nil {
		return nil, err
	}
	if c.Operator != nil {
		if err := put(t.in(inOperators), opKey(c.Operator.ID), c.Operator); err != nil {
			return nil, err
		}
	}
	return lines, errors.Join(
		each(c.Passes, t.putPass),
		each(c.Contacts, t.addContact),
		t.markHandedIn(c, at),
		each(c.Messages, t.putMessage),
		each(c.Steps, t.putStep),
		each(c.Sittings, t.putSitting),
		each(c.Cancel, t.cancel),
		each(c.Agenda, t.putItem),
		each(c.Posts, t.owe),
		t.keep(c.Keep),
	)
}

func each[T any](vs []T, do func(T) error) error {
	for _, v := range vs {
		if err := do(v); err != nil {
			return err
		}
	}
	return nil
}

// takeEvent removes the event from where it waits; over: it was seen already
// and does not wait on the agenda again.
func (t tx) takeEvent(event string, at time.Time) (over bool, err error) {
	item, planned, err := get[Item](t.in(inAgenda), textKey(event))
	if err != nil {
		return false, err
	}
	if !planned && t.in(inSeen).Get(textKey(event)) != nil {
		return true, nil
	}
	if err := errors.Join(t.takeRaw(event), t.cancel(event)); err != nil {
		return false, err
	}
	return false, put(t.in(inSeen), textKey(event), sighting{at, t.ID(), item.Operator})
}
