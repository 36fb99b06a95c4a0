package storage

import (
	"slices"
	"time"

	"skyslate/parse"
)

// Bulk is one change to several contacts that is shown and not decided yet; Value
// is what the field becomes, in text.
type Bulk struct {
	Message  int64        `json:"message"` // the one that asked for it
	Change   Change       `json:"change"`  // without its contacts
	Value    string       `json:"value"`
	Contacts []ContactRef `json:"contacts"`
}

// mostBulks is how many changes may wait to be decided.
const mostBulks = 6

// Propose keeps a change that is shown until it is decided, or too many others wait.
func (o *Operator) Propose(b Bulk) {
	bulks := slices.DeleteFunc(slices.Clone(o.Bulks), func(old Bulk) bool { return old.Message == b.Message })
	o.Bulks = append(bulks, b)
	o.Bulks = o.Bulks[max(len(o.Bulks)-mostBulks, 0):]
}

// Decide takes the change that a message asked for out of those that wait.
func (o *Operator) Decide(message int64) (b Bulk, ok bool) {
	i := slices.IndexFunc(o.Bulks, func(b Bulk) bool { return b.Message == message })
	if i < 0 {
		return b, false
	}
	b = o.Bulks[i]
	o.Bulks = slices.Delete(slices.Clone(o.Bulks), i, i+1)
	return b, true
}

// Step is one thing that undo can take back: the versions that one event made, and what
// it set.
type Step struct {
	Operator OperatorID `json:"operator"`
	Seq      uint64     `json:"seq"` // per operator, from 1
	At       time.Time  `json:"at"`
	Event    string     `json:"event"`
	What     string     `json:"what"` // in the operator's words
	Moves    []Move     `json:"moves"`
	Undone   bool       `json:"undone,omitempty"`
	Sittings []uint64   `json:"sittings,omitempty"` // those whose evidence of the event it takes back
	Before   *Settings  `json:"before,omitempty"`   // the settings that the event changed, as they were
}

// Settings are what operators say of themselves, and of what they want to be told.
type Settings struct {
	Call   parse.Callsign `json:"call"`
	Place  Place          `json:"place"`
	Home   Place          `json:"home,omitzero"`
	Remind Remind         `json:"remind"`
	Radio  Radio          `json:"radio,omitzero"`
	Wanted []parse.Grid   `json:"wanted,omitempty"`
}

// Settings are the operator's by now.
func (o Operator) Settings() Settings {
	return Settings{Call: o.Call, Place: o.Place, Home: o.Home, Remind: o.Remind, Radio: o.Radio, Wanted: o.Wanted}
}

// Move is a contact going from one version to another; From 0 means it was new.
type Move struct {
	Contact uint64 `json:"contact"`
	From    int    `json:"from"`
	To      int    `json:"to"`
}
