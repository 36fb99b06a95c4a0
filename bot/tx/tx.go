// Package tx is one event's view of the store with its own changes on top: what
// every room reads, and how it says what is to change.
//
// # Which passes are stored
//
// Most passes of most birds nobody ever works. So a pass is stored once something
// stands on it: it is followed, or was skipped by hand; a contact is arranged for it,
// or it was told of; evidence or a question names it (Use), and then it stays as it
// was, wherever the operator goes. All others are worked out when they are asked for
// (passes.go), from the tables that all operators share, over the place where the
// operator was at AOS. One that overlaps a stored one of its bird is that. Its name
// holds what finds it again, also when fresher elements have moved it: AOS to the
// second, and the bird. So passes are known a week back, and as far ahead as is
// planned; farther only what is stored. A day, as long as a phone holds messages
// back, would not do: an edit, or a correction of the bird, comes later than that, and
// has to find the passes that the message could have meant.
package tx

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/sky"
	"skyslate/parse"
	"skyslate/storage"
)

// A Tx collects what one event changes. It reads through one view of the store,
// with its own changes on top, and writes nothing. The first failing read is kept
// in Err and every later one does nothing, so that the rules read as rules.
type Tx struct {
	View  *storage.View
	Event event.Event
	Err   error
	Skies *sky.Skies

	Op    storage.Operator
	was   storage.Settings // before the event
	Sky   *sky.Sky         // as this operator has it
	Fresh bool             // the operator was not known before

	Message  *storage.Message           // the one at hand
	Contacts map[uint64]storage.Contact // new versions
	Posts    []storage.Post
	Moves    []storage.Move // what undo takes back
	Steps    []storage.Step
	Agenda   []storage.Item
	// Elsewhere and Withdrawn are what counts as handed over without a file of ours,
	// and what the operator is told to delete elsewhere.
	Elsewhere, Withdrawn []storage.ContactRef

	passes map[storage.PassID]storage.Pass
	gone   map[storage.PassID]bool // passes that nothing is stored of any more
	cancel []string
	kept   map[string][]byte
	makes  bool              // it asks for files
	others []storage.Message // earlier messages that change too
	nextID uint64
	called map[parse.Callsign]map[uint64]bool // the new versions that ever had a call

	// stored, messages, storedPasses, passLists, groups and workedIn are what was
	// read.
	stored       map[uint64]storage.Contact
	messages     map[int64]storage.Message
	storedPasses map[storage.PassID]storage.Pass
	passLists    map[[2]time.Time][]storage.Pass
	groups       map[groupKey]*group
	workedIn     map[squareKey]storage.Contact // one of those that did, as far as known
}

// New reads what every event needs.
func New(v *storage.View, ev event.Event, skies *sky.Skies) *Tx {
	t := &Tx{
		View: v, Event: ev, Skies: skies,
		Contacts:     map[uint64]storage.Contact{},
		passes:       map[storage.PassID]storage.Pass{},
		gone:         map[storage.PassID]bool{},
		kept:         map[string][]byte{},
		stored:       map[uint64]storage.Contact{},
		messages:     map[int64]storage.Message{},
		storedPasses: map[storage.PassID]storage.Pass{},
		passLists:    map[[2]time.Time][]storage.Pass{},
		groups:       map[groupKey]*group{},
		workedIn:     map[squareKey]storage.Contact{},
		called:       map[parse.Callsign]map[uint64]bool{},
	}
	op, ok := Got(t, func() (storage.Operator, bool, error) { return v.Operator(ev.Operator) })
	if !ok {
		op = storage.Operator{ID: ev.Operator, Joined: ev.At, Remind: storage.DefaultRemind()}
	}
	t.Op, t.Fresh, t.was = op, !ok, op.Settings()
	t.Sky, _ = Got(t, func() (*sky.Sky, bool, error) {
		s, err := skies.Of(v, ev.Operator)
		return s, true, err
	})
	return t
}

// Got runs a read of the store unless one failed before, and keeps its failure.
func Got[T any](t *Tx, read func() (T, bool, error)) (T, bool) {
	var zero T
	if t.Err != nil {
		return zero, false
	}
	v, ok, err := read()
	if err != nil {
		t.Err = err
		return zero, false
	}
	return v, ok
}

// List is Got for reads that return a list.
func List[T any](t *Tx, read func() ([]T, error)) []T {
	all, _ := Got(t, func() ([]T, bool, error) {
		all, err := read()
		return all, true, err
	})
	return all
}

// Visit runs a visit of the store unless a read failed before.
func (t *Tx) Visit(walk func() error) {
	if t.Err == nil {
		t.Err = walk()
	}
}

// Changes is what it all comes to.
func (t *Tx) Changes() storage.Changes {
	ch := storage.Changes{
		Agenda: t.Agenda, Cancel: t.cancel, Posts: t.Posts, Keep: t.kept,
		Steps: t.Steps, Messages: t.others, Handed: t.Elsewhere, Withdrawn: t.Withdrawn,
	}
	if t.Op.ID != "" {
		ch.Operator = &t.Op
	}
	for _, c := range t.Contacts {
		ch.Contacts = append(ch.Contacts, c)
	}
	slices.SortFunc(ch.Contacts, func(a, b storage.Contact) int { return cmp.Compare(a.ID, b.ID) })
	if t.Message != nil {
		ch.Messages = append(ch.Messages, *t.Message)
	}
	for _, pass := range t.passes {
		ch.Passes = append(ch.Passes, pass)
	}
	slices.SortFunc(ch.Passes, func(a, b storage.Pass) int { return strings.Compare(string(a.ID), string(b.ID)) })
	ch.Gone = slices.Sorted(maps.Keys(t.gone))
	return ch
}

// Now is the moment at which things go out; what was typed counts at Event.At.
func (t *Tx) Now() time.Time {
	if t.Event.Kind == event.Moment {
		return t.Event.Now
	}
	return t.Event.At
}

// Day is a day without a change of the clocks.
const Day = 24 * time.Hour
