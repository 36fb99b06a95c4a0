package fetch

import (
	"cmp"
	"encoding/json"
	"maps"
	"slices"
	"time"

	"skyslate/bot"
	"skyslate/storage"
)

// Wanted is a document that is still to be fetched. It is stored as JSON; fields may
// be added, never renamed or given another meaning.
type Wanted struct {
	Raw      string             `json:"raw"` // the event's ID
	At       time.Time          `json:"at"`
	File     string             `json:"file"`   // the app's name of it
	Update   json.RawMessage    `json:"update"` // what came in, in the app's form
	Operator storage.OperatorID `json:"operator,omitempty"`
}

// Queue is the documents still to be fetched, each a value beside the inbox. A copy can
// be changed and thrown away.
type Queue struct {
	under   string            // how the keys of the values begin
	list    []Wanted          // in the order in which they came; never changed in place
	changed map[string][]byte // the values of those that came or went, by their keys
}

// most bounds the queue for all operators together.
const most = 500

// Read reads the queue whose values stand under keys that begin so.
func Read(desk *bot.Desk, under string) (Queue, error) {
	q := Queue{under: under}
	kept, err := desk.KeptUnder(under)
	if err != nil {
		return q, err
	}
	for _, body := range kept {
		var w Wanted
		if err := json.Unmarshal(body, &w); err != nil {
			return q, err
		}
		q.Await(w)
	}
	q.Written()
	return q, nil
}

// Own names the operators of documents that an older program kept without.
func (q *Queue) Own(whose func(Wanted) storage.OperatorID) {
	q.list = slices.Clone(q.list)
	for i, w := range q.list {
		if w.Operator == "" {
			q.list[i].Operator = whose(w)
		}
	}
}

// HasRoom reports whether an operator may have one more fetched, of those that they may
// hand over.
func (q *Queue) HasRoom(op storage.OperatorID, may int) bool {
	waiting := 0
	for _, w := range q.list {
		if w.Operator == op {
			waiting++
		}
	}
	return waiting < may && len(q.list) < most
}

// Await adds a document.
func (q *Queue) Await(w Wanted) {
	q.list = append(slices.Clip(q.list), w)
	slices.SortStableFunc(q.list, func(a, b Wanted) int {
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(len(a.Raw), len(b.Raw)), cmp.Compare(a.Raw, b.Raw))
	})
	body, _ := json.Marshal(w) // it was read as JSON
	q.change(w.Raw, body)
}

// change notes a value in a map that no copy has.
func (q *Queue) change(raw string, body []byte) {
	changed := q.Changed()
	changed[q.under+raw] = body
	q.changed = changed
}

// Drop gives documents up.
func (q *Queue) Drop(unwanted func(Wanted) bool) {
	var left []Wanted
	for _, w := range q.list {
		if unwanted(w) {
			q.change(w.Raw, nil)
		} else {
			left = append(left, w)
		}
	}
	q.list = left
}

// Len is how many documents wait.
func (q *Queue) Len() int { return len(q.list) }

// Awaits reports whether an event's document is still to be fetched.
func (q *Queue) Awaits(raw string) bool {
	return slices.ContainsFunc(q.list, func(w Wanted) bool { return w.Raw == raw })
}

// Changed are the values to be written, by their keys.
func (q *Queue) Changed() map[string][]byte {
	values := map[string][]byte{}
	maps.Copy(values, q.changed)
	return values
}

// Written says that the changes are on disk.
func (q *Queue) Written() { q.changed = nil }
