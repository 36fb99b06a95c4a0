package storage

import (
	"encoding/json"
	"time"

	"skyslate/storage/keys"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// Phone is a second phone that may write into an operator's log, for a time.
type Phone struct {
	Of     OperatorID `json:"of"`     // as whom it is known
	Number int64      `json:"number"` // in this log, from 1: see package phones
	From   time.Time  `json:"from"`
	Until  time.Time  `json:"until"`
	// Heard, Delivery, Silent, Flow and Question are for the phone what they are for an operator.
	Heard    time.Time `json:"heard,omitzero"`
	Delivery time.Time `json:"delivery,omitzero"`
	Silent   time.Time `json:"silent,omitzero"`
	Flow     Flow      `json:"flow,omitzero"`
	Question string    `json:"question,omitempty"`
}

// Writes reports whether what is sent from the phone at a moment is for the log.
func (p Phone) Writes(at time.Time) bool { return !at.Before(p.From) && at.Before(p.Until) }

// Offer lets one second phone in by a code, of which the hash is kept.
type Offer struct {
	Hash  string    `json:"hash"`
	Until time.Time `json:"until"` // also the end of what is written with it
	Used  bool      `json:"used,omitempty"`
}

// Seat is what is known of somebody as a second phone: into whose log they write, or
// wrote last, and before that.
type Seat struct {
	Log    OperatorID   `json:"log"`
	From   time.Time    `json:"from"`
	Until  time.Time    `json:"until"`
	Before []OperatorID `json:"before,omitempty"`
	// Refused: a code that they sent last let them in nowhere, and they have no log of their own.
	Refused bool `json:"refused,omitempty"`
	Told    bool `json:"told,omitempty"` // after its end: that what is written now isn't in that log
}

// Holds reports whether what is sent at a moment is for that log.
func (s Seat) Holds(at time.Time) bool { return !at.Before(s.From) && at.Before(s.Until) }

// SeatKey is where the Seat of an operator is kept.
func SeatKey(op OperatorID) string { return OwnKey(op, "seat") }

// Seat is what is known of somebody as a second phone; the zero one if they were none.
func (v *View) Seat(op OperatorID) Seat { return v.t.seat(op) }

func (t *tx) seat(op OperatorID) (s Seat) {
	kept, _ := table.Get[[]byte](t.In(schema.Kept), keys.Text(SeatKey(op)))
	if kept != nil && json.Unmarshal(kept, &s) != nil {
		return Seat{} // as somebody who writes into no other log
	}
	return s
}
