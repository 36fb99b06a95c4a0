package storage

import (
	"time"

	"skyslate/parse"
	"skyslate/storage/settings"
)

// OperatorID names an operator: the messaging app's number in decimal, or
// "local" for the terminal.
type OperatorID string

// Operator is one person's settings and the little the conversation has to
// remember between two messages.
type Operator struct {
	ID     OperatorID     `json:"id"`
	Joined time.Time      `json:"joined"`
	Call   parse.Callsign `json:"call"`
	Place  Place          `json:"place"`
	Home   Place          `json:"home,omitzero"` // where /at home goes back to
	// Former are the places of the last days before it, in order: each held until
	// the next was set.
	Former []Place      `json:"former,omitempty"`
	Remind Remind       `json:"remind"`
	Radio  Radio        `json:"radio,omitzero"`   // how the operator's radio is dialled
	Wanted []parse.Grid `json:"wanted,omitempty"` // the squares that the operator looks out for

	Asking string `json:"asking,omitempty"` // the set-up question that is open: "", "call" or "place"
	// Question is the post that went to the phone last, if it has buttons: what a bare yes
	// or no may answer.
	Question string `json:"question,omitempty"`
	// Chosen is the pass that a tap, or a bird named alone, holds for what comes.
	Chosen PassID `json:"chosen,omitempty"`
	// Listed is the pass whose contacts were shown on request, until another one was told.
	Listed PassID `json:"listed,omitempty"`
	// Decided is what was armed or skipped by hand last, until something was logged.
	Decided *Decision `json:"decided,omitempty"`
	// Own is what the own call and grids were in the last days, and since when.
	Own []OwnSide `json:"own,omitempty"`
	// Bulks are the changes to contacts that are shown and not decided yet, the latest last.
	Bulks []Bulk `json:"bulks,omitempty"`
	// Heard is when the operator's last message came in. Messages a few seconds
	// apart are one delivery: Delivery is when the present one began, Silent when
	// the last message before it came in.
	Heard     time.Time `json:"heard"`
	Delivery  time.Time `json:"delivery,omitzero"`
	Silent    time.Time `json:"silent"`
	Planned   time.Time `json:"planned"`           // up to when passes are worked out
	Agenda    time.Time `json:"agenda,omitzero"`   // up to when their moments are on the agenda
	Tidied    time.Time `json:"tidied,omitzero"`   // up to when passes were let go that nothing stands on
	Cautioned time.Time `json:"cautioned"`         // when the safety cautions were last shown
	Advised   PassID    `json:"advised,omitempty"` // the pass whose card carries the advice that is given once
	// Evened is the last evening on which the next day was told, or decided not
	// to be worth telling.
	Evened time.Time `json:"evened,omitzero"`
	// Outings are the days in the field prepared ahead, in the order of asking.
	Outings []Outing `json:"outings,omitempty"`
	Missed  Missed   `json:"missed,omitzero"`
	// Phones are the second phones that write into the log, or did, the latest last;
	// Phoned is the number that was given last to one, Offer how the next one comes in.
	Phones []Phone `json:"phones,omitempty"`
	Phoned int64   `json:"phoned,omitempty"`
	Offer  *Offer  `json:"offer,omitempty"`
	Flow   Flow    `json:"flow,omitzero"`
	Stored int64   `json:"stored,omitempty"` // about how many bytes are kept of what the operator sent
	Given  uint64  `json:"given,omitempty"`  // contacts up to this number are given, though there may be none
	// Agreeing is what of the log is held against those of others.
	Agreeing Agreeing `json:"agreeing,omitzero"`
	Differed []Differ `json:"differed,omitempty"` // what was told of late that differs
	Differs  int      `json:"differs,omitempty"`  // how many differences were told
}

// Agreeing lets the contacts that were made under a call since a moment be held against
// those of others who do the same. The zero value is nobody.
type Agreeing struct {
	Call  parse.Callsign `json:"call,omitzero"`
	Since time.Time      `json:"since,omitzero"`
}

// Shares reports whether a contact is held against others: one in the log, by a bird of
// the list, under that call, and of that time.
func (a Agreeing) Shares(c Contact) bool {
	return a.Call.IsValid() && c.Exported() && c.Call.IsValid() && c.Bird.Catalog != 0 &&
		c.OwnCall.Base() == a.Call.Base() && !c.Time.Before(a.Since)
}

// Differ is a difference that was told: about a contact of the operator's or one that is
// missing, and about one in another's log or one that is missing there. Call and Grids are
// what the other says of itself: what was told, without a trace of who it is.
type Differ struct {
	Number int            `json:"number"` // of those told to the operator
	At     time.Time      `json:"at"`     // of the contact
	Told   time.Time      `json:"told"`
	Mine   uint64         `json:"mine,omitempty"`
	Theirs uint64         `json:"theirs,omitempty"`
	Bird   int            `json:"bird,omitempty"` // by its catalog number
	Call   parse.Callsign `json:"call"`
	Grids  []parse.Grid   `json:"grids,omitempty"`
}

// Missed is what had waited, or came too late, while nothing ran or nothing got
// through, and isn't told yet: when its messages were sent, and how many there
// were, new contacts that came of them, and reminders that nobody got.
type Missed struct {
	From      time.Time `json:"from,omitzero"`
	To        time.Time `json:"to,omitzero"`
	Messages  int       `json:"messages,omitempty"`
	Contacts  int       `json:"contacts,omitempty"`
	Reminders int       `json:"reminders,omitempty"`
}

// Flow counts what came in from an operator in the present minute and on the
// present day, both by when they began (UTC).
type Flow struct {
	Minute    time.Time `json:"minute,omitzero"`
	InMinute  int       `json:"in_minute,omitempty"`
	Day       time.Time `json:"day,omitzero"`
	InDay     int       `json:"in_day,omitempty"`
	Documents int       `json:"documents,omitempty"`
	Unfetched int       `json:"unfetched,omitempty"` // documents beyond those
	Contacts  int       `json:"contacts,omitempty"`  // new and changed ones
	Refused   int       `json:"refused,omitempty"`   // messages, because of those
	Made      int       `json:"made,omitempty"`      // files asked for
	Imported  int       `json:"imported,omitempty"`  // records read, and contacts moved, of logs from elsewhere
	Full      int       `json:"full,omitempty"`      // what was refused because too much is kept already
}

// OutingAt is the armed outing that a moment falls into.
func (o Operator) OutingAt(t time.Time) (Outing, bool) {
	for _, out := range o.Outings {
		if !out.Armed.IsZero() && out.Holds(t) {
			return out, true
		}
	}
	return Outing{}, false
}

// Recording names what offsets count in: a voice message, else whatever ran on
// a pass.
type Recording struct {
	Pass  PassID `json:"pass,omitempty"`
	Voice int64  `json:"voice,omitempty"`
}

// A Decision is a pass that was armed or skipped by hand, and how it was before.
type Decision struct {
	Pass  PassID `json:"pass"`
	Was   Arming `json:"was,omitempty"`
	Skeds []Sked `json:"skeds,omitempty"`
}

// What operators set: package settings.
type (
	Place    = settings.Place
	Hidden   = settings.Hidden
	Radio    = settings.Radio
	Remind   = settings.Remind
	DayHours = settings.DayHours
	OwnSide  = settings.OwnSide
	Outing   = settings.Outing
)

// DefaultRemind is what a newcomer is reminded of.
func DefaultRemind() Remind { return settings.DefaultRemind() }

// BirdRef is a bird as frozen into passes and contacts, so that a later change
// of the bird list never rewrites the log.
type BirdRef struct {
	Name    string `json:"name"`
	LogName string `json:"log_name"` // ADIF SAT_NAME
	Catalog int    `json:"catalog"`
}

// State is what a contact is worth.
type State string

// The states of a contact. Certain and incomplete ones are exported, doubtful
// ones are kept and asked, heard ones are evidence, dropped ones were withdrawn
// (by undo, by an edit or by an answer). Remembered ones come from an imported file and
// are no part of the log: they tell what was worked before.
const (
	Certain    State = "certain"
	Incomplete State = "incomplete"
	Doubtful   State = "doubtful"
	Heard      State = "heard"
	Dropped    State = "dropped"
	Remembered State = "remembered"
)

// TimeSource says where a contact's time comes from.
type TimeSource string

// The sources of a contact's time.
const (
	FromMessage   TimeSource = "message"
	FromTyped     TimeSource = "typed"
	FromRecording TimeSource = "recording"
	FromPass      TimeSource = "pass"
)

// Candidate is one thing a doubtful line could mean.
type Candidate struct {
	Call  parse.Callsign `json:"call,omitzero"`
	Grids []parse.Grid   `json:"grids,omitempty"`
}

// Cause says what made a version of a contact.
type Cause struct {
	Kind    string `json:"kind"` // "typed", "edit", "reply", "tap", "undo", "refile", "slate", "bulk", "theirs", "import"
	Event   string `json:"event"`
	Message int64  `json:"message,omitempty"`
}

// Mark is where a contact stands in a recording: Offset after the slate, which
// was spoken at Slate (zero: not told yet).
type Mark struct {
	Offset time.Duration `json:"offset"`
	Slate  time.Time     `json:"slate,omitzero"`
	Voice  int64         `json:"voice,omitempty"` // the voice message that is the recording
}

// Contact is one version of one contact, with everything another log needs
// frozen into it. Versions are only ever appended; the highest one holds.
type Contact struct {
	Operator OperatorID `json:"operator"`
	ID       uint64     `json:"id"`      // per operator, from 1, never given twice
	Version  int        `json:"version"` // from 1
	Made     time.Time  `json:"made"`
	Cause    Cause      `json:"cause"`

	State      State       `json:"state"`
	Why        string      `json:"why,omitempty"` // why it is doubtful: a code of package parse, or "pass", "time", "grid", "slate"
	Candidates []Candidate `json:"candidates,omitempty"`

	Call   parse.Callsign `json:"call,omitzero"`
	Grids  []parse.Grid   `json:"grids,omitempty"`
	Name   string         `json:"name,omitempty"`
	Report string         `json:"report,omitempty"` // received
	Sent   string         `json:"sent,omitempty"`   // the report given
	// Note holds the words told with it that no table knows.
	Note string `json:"note,omitempty"`
	Text string `json:"text"` // the words it was read from

	Time       time.Time   `json:"time"`
	TimeSource TimeSource  `json:"time_source"`
	Mark       *Mark       `json:"mark,omitempty"` // never changed in place
	Clock      parse.Clock `json:"clock,omitzero"` // the time of day as typed, if one was

	Pass        PassID   `json:"pass,omitempty"`
	Number      int      `json:"number,omitempty"` // on the pass, from 1; 0: among those without, in their order
	Bird        BirdRef  `json:"bird"`
	Named       bool     `json:"named,omitempty"`  // the bird was named for this contact in so many words
	Rivals      []PassID `json:"rivals,omitempty"` // the passes it could belong to, while that is not known
	UplinkMHz   float64  `json:"uplink_mhz,omitempty"`
	DownlinkMHz float64  `json:"downlink_mhz,omitempty"`
	// DialMHz is the one of them that was stated, 0 where both are nominal.
	DialMHz  float64        `json:"dial_mhz,omitempty"`
	Mode     string         `json:"mode,omitempty"`
	OwnCall  parse.Callsign `json:"own_call"`
	OwnGrids []parse.Grid   `json:"own_grids"`

	Message int64 `json:"message,omitempty"` // the incoming message it came from
	Line    int   `json:"line,omitempty"`    // its line there, from 1

	Fields map[string]string `json:"fields,omitempty"` // what an imported record held beyond the above
}

// Exported reports whether the contact belongs in a log handed over.
func (c Contact) Exported() bool { return c.State == Certain || c.State == Incomplete }

// ContactRef names one version of a contact of an operator known from context.
type ContactRef struct {
	ID      uint64 `json:"id"`
	Version int    `json:"version"`
}

// Message is what an operator sent, word for word, and what came of it.
type Message struct {
	Operator OperatorID    `json:"operator"`
	ID       int64         `json:"id"` // the messaging app's, per chat
	At       time.Time     `json:"at"` // as the app stamped it
	ReplyTo  string        `json:"reply_to,omitempty"`
	Text     string        `json:"text"`
	Edits    []Revision    `json:"edits,omitempty"` // earlier texts, oldest first
	Lines    []MessageLine `json:"lines,omitempty"`
	Pass     PassID        `json:"pass,omitempty"`  // the pass it was filed under
	Voice    string        `json:"voice,omitempty"` // a voice message: its length, as of time.Duration
	// VoiceRef is the messaging app's reference to the sound; VoiceLate says that
	// it came after a time without coverage, so that At says nothing of when it
	// was spoken.
	VoiceRef  string `json:"voice_ref,omitempty"`
	VoiceLate bool   `json:"voice_late,omitempty"`
	Answers   string `json:"answers,omitempty"` // the set-up question that the message answered
	// Sitting is the sitting that the message is evidence in; 0: none, or it came
	// before evidence was kept. Then Lines say what came of it.
	Sitting uint64 `json:"sitting,omitempty"`
}

// Revision is an earlier text of a message and when it was replaced.
type Revision struct {
	Replaced time.Time `json:"replaced"`
	Text     string    `json:"text"`
}

// MessageLine is one line of a message and the contacts that came of it, those
// of other messages that it completed, corrected or denied among them; a line
// without contacts is a note of the pass. Pass and Clock are what was in force
// for it: the pass that a bird's name above it means, the time on a line above.
type MessageLine struct {
	Text     string      `json:"text"`
	Contacts []uint64    `json:"contacts,omitempty"`
	Pass     PassID      `json:"pass,omitempty"`
	Clock    parse.Clock `json:"clock,omitzero"`
}

// Item is a moment on the agenda. Key is unique; putting an item with a known
// key moves it.
type Item struct {
	Key      string     `json:"key"` // "remind/<operator>/<pass>"
	At       time.Time  `json:"at"`
	Operator OperatorID `json:"operator"`
	Kind     string     `json:"kind"`
	Pass     PassID     `json:"pass,omitempty"`
	// By tells apart an item that is put again under the same key and for the
	// same moment.
	By string `json:"by,omitempty"`
}

// Event is the ID of the event that the item is when it falls due: its key, its
// moment and what put it, so that an item put again is another event.
func (i Item) Event() string {
	return i.Key + "@" + i.At.UTC().Format("20060102T150405.000Z") + i.By
}

// Raw is one incoming thing as a transport received it. ID makes a second
// delivery harmless: it is accepted once, whatever comes later.
type Raw struct {
	ID   string     `json:"id"`
	From OperatorID `json:"from,omitempty"` // whose turn it takes; empty: not known
	At   time.Time  `json:"at"`
	Body []byte     `json:"body"`
	// Name is the app's own name of the message that it is, or changes, where the app
	// doesn't number messages: it is given a number. Empty: there is none to be given.
	Name string `json:"name,omitempty"`
	// Turn is who else's turn it takes, because it came from a phone that writes into
	// their log: what both send is worked in the order in which it came.
	Turn OperatorID `json:"turn,omitempty"`
}

// Changes is all that one event changes: written in one transaction, or not at
// all. The zero value changes nothing.
type Changes struct {
	Operator *Operator
	Contacts []Contact // new versions
	Messages []Message
	Passes   []Pass
	Gone     []PassID // passes of the operator that nothing stands on any more
	Steps    []Step
	Sittings []Sitting
	Agenda   []Item
	Cancel   []string // keys of agenda items that are off
	Posts    []Post
	// Handed are versions of the operator's contacts that count as handed over
	// although no file of ours went out: they came from one. Withdrawn are those
	// that count as not handed over any more, because the operator is told to
	// delete them elsewhere.
	Handed, Withdrawn []ContactRef
	// Keep replaces small values of the bot's own (the elements an operator
	// sent, say), read back with Store.Kept; nil deletes.
	Keep map[string][]byte
}
