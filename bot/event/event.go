// Package event is what happens to an operator: what comes from their phone, and
// the moments of the agenda.
package event

import (
	"encoding/json"
	"fmt"
	"time"

	"skyslate/storage"
)

// Kind says what an Event is.
type Kind string

// The kinds of event. All but Moment come from the operator's phone.
const (
	Said   Kind = "said"   // a message
	Edited Kind = "edited" // a message changed after it was sent
	Tapped Kind = "tapped" // a button under one of our posts
	Placed Kind = "placed" // a shared location, live ones move
	Handed Kind = "handed" // a document
	Spoken Kind = "spoken" // a voice message
	Other  Kind = "other"  // something that nobody here can read: a picture, a poll
	Moment Kind = "moment" // an item of the agenda fell due

	Nothing Kind = "" // something that says nothing here: it only counts as come
)

// Event is one thing that happened. ID makes it count once, however often it
// is delivered; At is when the messaging app stamped it, or when the moment was
// due.
type Event struct {
	ID       string             `json:"id"`
	Operator storage.OperatorID `json:"operator"`
	At       time.Time          `json:"at"`
	Kind     Kind               `json:"kind"`

	// Messages go by their numbers: see [storage.View.Number].
	Message int64  `json:"message,omitempty"`  // Said, Edited, Placed, Handed, Spoken: its own
	ReplyTo int64  `json:"reply_to,omitempty"` // of the message it answers, either side's
	Text    string `json:"text,omitempty"`     // Said, Edited; Handed: the caption
	// Forwarded says that somebody else wrote the text, and the operator passed it on.
	Forwarded bool `json:"forwarded,omitempty"`

	Post   int64         `json:"post,omitempty"`   // Tapped: the number of our post
	Data   string        `json:"data,omitempty"`   // Tapped: the button's data
	Spot   *Spot         `json:"spot,omitempty"`   // Placed
	File   *Document     `json:"file,omitempty"`   // Handed; nil: not had, because of Lost
	Lost   Lost          `json:"lost,omitempty"`   // Handed
	Length time.Duration `json:"length,omitempty"` // Spoken
	Voice  string        `json:"voice,omitempty"`  // Spoken: the app's reference to the sound

	// Second is somebody else than the operator whose phone it came from, which writes
	// into the log, under the number By there; Part is what it has to do with that. No
	// transport says so: package bot finds it out.
	Second storage.OperatorID `json:"-"`
	By     int64              `json:"-"`
	Part   Part               `json:"-"`

	Item storage.Item `json:"item,omitzero"` // Moment
	// Now is the time at which a Moment is handled: later than At when the
	// process was down or the machine asleep.
	Now time.Time `json:"now,omitzero"`
}

// Part says what an event of a second phone has to do with the log.
type Part int

// The parts of a second phone.
const (
	Writes Part = iota // it is for the log
	Joins              // it holds the code that lets the phone in
	Late               // it was for the log, but its time there is over
)

// Spot is a shared location: WGS 84 degrees, and its accuracy in metres where
// the phone says one.
type Spot struct {
	LatDeg    float64 `json:"lat_deg"`
	LonDeg    float64 `json:"lon_deg"`
	AccuracyM float64 `json:"accuracy_m,omitempty"`
	Live      bool    `json:"live,omitempty"`
}

// Lost says why the file of a Handed event is not there.
type Lost string

// Why a document was not fetched.
const (
	LostLarge Lost = ""     // it is larger than MaxDocument
	LostMany  Lost = "many" // as many as may be are waiting, or came already
	LostGone  Lost = "gone" // the messaging app could not give it
)

// Document is a file that an operator sent, within MaxDocument bytes. Either Body
// is all of it, or the store keeps so many bytes under the event's ID (see
// [storage.Store.KeepDocument]), as whoever can be sent many large ones at once does.
type Document struct {
	Name string `json:"name"`
	Body []byte `json:"body,omitempty"`
	Size int64  `json:"size,omitempty"` // 0: Body is all of it
}

// MaxDocument is the largest document taken in a chat, in bytes.
const MaxDocument = 20 << 20

// Encode is the raw form of an event for transports that have none of
// their own.
func Encode(e Event) (storage.Raw, error) {
	body, err := json.Marshal(e)
	if err != nil {
		return storage.Raw{}, fmt.Errorf("event %s: %w", e.ID, err)
	}
	return storage.Raw{ID: e.ID, From: e.Operator, At: e.At, Body: body}, nil
}

// A Decoder makes an event of what a transport put into the inbox. What it says of
// messages and buttons is looked up in the view. With an error it returns an event that
// holds the operator at least, if it can.
type Decoder func(*storage.View, storage.Raw) (Event, error)

// Decode reads what Encode made.
func Decode(_ *storage.View, r storage.Raw) (Event, error) {
	var e Event
	if err := json.Unmarshal(r.Body, &e); err != nil {
		return Event{Operator: e.Operator}, fmt.Errorf("event %s: %w", r.ID, err)
	}
	return e, nil
}
