package storage

import "time"

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
