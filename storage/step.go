package storage

import (
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
	Phone    int64      `json:"phone,omitempty"`    // the second phone that made it; 0: the operator's own
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
