// Package dossier is an operator whole as a document: the log in all its versions with
// what was handed over of it, the passes that it stands on, the settings, and the birds
// and elements of their own. It moves somebody from one messaging app to another, or to
// another store. ADIF, the open form of a log, has no words for most of that, so this one
// is ours, beside it.
//
// A document is lines of JSON, in UTF-8. The first says what it is; then come, each in a
// line of its own, the settings, what the operator has in the sky, passes, contacts with
// their versions in order, and the versions that are out in files; the last one counts
// the lines before it, so that a document that was cut short is noticed. A field may be
// added if its absence means what it meant before; any other change is a new form. A
// field or a form that is not known is refused: what it says would be lost.
//
// What belongs to the app stays behind: its name of the operator and of their messages,
// and so the words of the messages themselves, what /undo would take back, and what was
// asked and not answered yet. So does the consent to have the log held against those of
// others, who are others elsewhere: it is given anew. Contacts are then as they are where a store was made anew
// from its journal.
package dossier

import (
	"slices"
	"time"

	"skyslate/bot/sky"
	"skyslate/parse"
	"skyslate/storage"
)

// form is what the documents of today are.
const form = 1

// kind says what a document is of.
const kind = "operator"

// line is one line of a document: exactly one of its fields is set, but for the first.
type line struct {
	Skyslate string              `json:"skyslate,omitempty"` // the first line: the kind of document
	Form     int                 `json:"form,omitempty"`
	Settings *settings           `json:"settings,omitempty"`
	Sky      *sky.Own            `json:"sky,omitempty"`
	Pass     *storage.Pass       `json:"pass,omitempty"`
	Contact  *storage.Contact    `json:"contact,omitempty"`
	Handed   *storage.ContactRef `json:"handed,omitempty"`
	Lines    int                 `json:"lines,omitempty"` // the last line: how many are before it
}

// settings are what an operator has told of themselves, as [storage.Operator] has it.
type settings struct {
	Joined    time.Time         `json:"joined"`
	Call      parse.Callsign    `json:"call"`
	Place     storage.Place     `json:"place"`
	Home      storage.Place     `json:"home,omitzero"`
	Former    []storage.Place   `json:"former,omitempty"`
	Own       []storage.OwnSide `json:"own,omitempty"`
	Remind    storage.Remind    `json:"remind"`
	Radio     storage.Radio     `json:"radio,omitzero"`
	Wanted    []parse.Grid      `json:"wanted,omitempty"`
	Outings   []storage.Outing  `json:"outings,omitempty"`
	Cautioned time.Time         `json:"cautioned"`
	Evened    time.Time         `json:"evened,omitzero"`
	Given     uint64            `json:"given,omitempty"`
}

// settingsOf are an operator's. Outings go by the numbers of messages: they get others,
// which no message has.
func settingsOf(o storage.Operator) *settings {
	s := &settings{
		Joined: o.Joined, Call: o.Call, Place: o.Place, Home: o.Home, Former: o.Former, Own: o.Own, Remind: o.Remind,
		Radio: o.Radio, Wanted: o.Wanted, Outings: slices.Clone(o.Outings), Cautioned: o.Cautioned, Evened: o.Evened,
		Given: o.Given,
	}
	for i := range s.Outings {
		s.Outings[i].ID = -int64(i + 1)
	}
	return s
}

// give gives an operator these settings, and leaves the conversation as it is.
func (s *settings) give(o *storage.Operator) {
	o.Joined, o.Call, o.Place, o.Home, o.Former, o.Own = s.Joined, s.Call, s.Place, s.Home, s.Former, s.Own
	o.Remind, o.Radio, o.Wanted, o.Outings = s.Remind, s.Radio, s.Wanted, s.Outings
	o.Cautioned, o.Evened, o.Given = s.Cautioned, s.Evened, max(o.Given, s.Given)
	o.Asking, o.Planned, o.Agenda, o.Tidied = "", time.Time{}, time.Time{}, time.Time{} // planned anew at the next start
}

// bare is a contact without what an app or an operator is named by in it.
func bare(c storage.Contact) *storage.Contact {
	c.Operator, c.Message, c.Line = "", 0, 0
	c.Cause.Event, c.Cause.Message = "", 0
	if c.Mark != nil {
		mark := *c.Mark
		mark.Voice = 0
		c.Mark = &mark
	}
	return &c
}
