package storage

import (
	"time"

	"skyslate/parse"
	"skyslate/predict"
)

// Sitting is the evidence that contacts are derived from together: what was said
// and decided around one or several passes, up to a pause. Evidence is only
// appended; the contacts follow from it.
type Sitting struct {
	Operator OperatorID `json:"operator"`
	ID       uint64     `json:"id"` // per operator, from 1
	Began    time.Time  `json:"began"`
	Last     time.Time  `json:"last"` // the newest message in it
	Lines    int        `json:"lines"`
	Evidence []Evidence `json:"evidence"`
	// Contacts are the IDs given to what was derived, also to what no longer is:
	// a line that comes back gets its contact back.
	Contacts []Identity `json:"contacts,omitempty"`
	Own      []OwnSide  `json:"own"`             // what the operator's call and grids were, and since when
	Frozen   Frozen     `json:"frozen,omitzero"` // what else was known when it was first used
	Leans    []PassID   `json:"leans,omitempty"` // passes without a contact here that it asked earlier sittings about
}

// EvidenceKind says what an Evidence is.
type EvidenceKind string

// The kinds of evidence.
const (
	EvSaid   EvidenceKind = "said"   // a message, perhaps of several lines
	EvEdited EvidenceKind = "edited" // the new text of a message
	EvAnswer EvidenceKind = "answer" // a decision on one question of one contact
	EvPass   EvidenceKind = "pass"   // which pass a delivery belongs to, or what comes next
	EvSlate  EvidenceKind = "slate"  // when a recording began
	EvChange EvidenceKind = "change" // a correction of several contacts
	EvMeans  EvidenceKind = "means"  // which contact a message is about
)

// Evidence is one thing said or decided. Undone says that it was taken back: it
// counts as if it had never come.
type Evidence struct {
	Kind   EvidenceKind `json:"kind"`
	Event  string       `json:"event"`
	At     time.Time    `json:"at"`
	Undone bool         `json:"undone,omitempty"`
	Phone  int64        `json:"phone,omitempty"` // the second phone that said it; 0: the operator's own

	Message int64  `json:"message,omitempty"` // said, edited, means; pass: one of the delivery
	Text    string `json:"text,omitempty"`    // said, edited
	// Forwarded says that somebody else wrote what was said.
	Forwarded bool `json:"forwarded,omitempty"`
	// Began is when the delivery began that the message came in, Silent when the
	// phone was last heard before: zero if never.
	Began  time.Time `json:"began,omitzero"`
	Silent time.Time `json:"silent,omitzero"`
	Own    int       `json:"own,omitempty"`    // said: how many own sides were known
	Reply  *Answered `json:"reply,omitempty"`  // said: what the message answers
	Listed PassID    `json:"listed,omitempty"` // said: the pass whose contacts were shown last, on request
	Kept   []Kept    `json:"kept,omitempty"`   // said: what its lines are known to have come to

	Contact ContactKey `json:"contact,omitzero"` // answer, means
	Asked   string     `json:"asked,omitempty"`  // answer: what was asked, in full
	Verb    string     `json:"verb,omitempty"`   // answer: what was decided
	Pick    *Candidate `json:"pick,omitempty"`   // answer: what was picked

	Pass      PassID     `json:"pass,omitempty"`      // pass: the one chosen; "" for parts in order
	Delivery  time.Time  `json:"delivery,omitzero"`   // pass: the delivery it was asked for; zero: none
	Recording *Recording `json:"recording,omitempty"` // slate
	Slate     time.Time  `json:"slate,omitzero"`      // slate
	Change    *Change    `json:"change,omitempty"`    // change
}

// Answered is what a message replies to: contacts, a pass, or a voice message.
type Answered struct {
	Message  int64        `json:"message,omitempty"`  // the operator's message, or the one our post echoes
	Contacts []ContactKey `json:"contacts,omitempty"` // what our post asks or shows
	List     bool         `json:"list,omitempty"`     // shown among others
	Pass     PassID       `json:"pass,omitempty"`
	Slate    *Recording   `json:"slate,omitempty"` // our question for its slate
	Voice    int64        `json:"voice,omitempty"` // the voice message answered
}

// Kept is a line whose contacts are taken as they were stored, until the line
// changes: it was said before evidence was kept.
type Kept struct {
	Text     string    `json:"text"`
	Contacts []Contact `json:"contacts"`
}

// ContactKey names a contact while its line lives: the message, the line in it,
// and its place in the line, both from 1. A line keeps its number when it moves.
type ContactKey struct {
	Message int64 `json:"message"`
	Line    int   `json:"line"`
	Place   int   `json:"place"`
}

// Identity is the ID that a contact was given.
type Identity struct {
	Key ContactKey `json:"key"`
	ID  uint64     `json:"id"`
}

// Change corrects one field of several contacts: "bird", the own "call" or "grid", the
// "station" (its call) or its "square", "date" or "slate"; or takes them "out". But for
// that one of the values is set.
type Change struct {
	Contacts []ContactKey   `json:"contacts"`
	Field    string         `json:"field"`
	Catalog  int            `json:"catalog,omitempty"`
	Call     parse.Callsign `json:"call,omitzero"`
	Grids    []parse.Grid   `json:"grids,omitempty"`
	Date     time.Time      `json:"date,omitzero"`
	Slate    time.Time      `json:"slate,omitzero"`
}

// Frozen is what was known when it was first used, so that later knowledge never
// rewrites what was derived.
type Frozen struct {
	Birds     []predict.Bird             `json:"birds,omitempty"`     // those named, with the transponder for contacts
	Predicted map[int]bool               `json:"predicted,omitempty"` // by catalog number
	Worked    map[string][]parse.Grid    `json:"worked,omitempty"`    // by call
	Confirmed map[string]bool            `json:"confirmed,omitempty"` // by call
	Endings   map[string][]string        `json:"endings,omitempty"`   // calls, by what they end in
	Heads     map[string][]string        `json:"heads,omitempty"`     // calls, by what they begin with
	Reached   map[PassID]map[string]bool `json:"reached,omitempty"`   // by square
	Numbered  map[string]ContactKey      `json:"numbered,omitempty"`  // contacts, by pass, number and message
	Peers     map[string][]Candidate     `json:"peers,omitempty"`     // who compares, by pass, part of a call and moment
	Meant     map[string][]ContactKey    `json:"meant,omitempty"`     // contacts, by the line that means them
	Dials     map[string][2]float64      `json:"dials,omitempty"`     // receive and transmit MHz, by what was stated when
}
