package guests

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"skyslate/storage"
)

// bookKey is where the book stands beside the inbox.
const bookKey = "guests"

// moments are people, or rooms, each with a moment.
type moments map[storage.OperatorID]time.Time

// book is all that has to outlive the process. It is stored as JSON; fields may
// be added, never renamed or given another meaning.
type book struct {
	Owner storage.OperatorID `json:"owner,omitempty"`
	// Used is the hash of the code that the owner came in by.
	Used    string  `json:"used,omitempty"`
	Members moments `json:"members,omitempty"` // let in by invitation, and when
	Gone    moments `json:"gone,omitempty"`    // those who have blocked the bot
	Told    moments `json:"told,omitempty"`    // strangers and groups who had their sentence

	// Invited are the invitations, in the order of their numbers; Numbered is the
	// last number given.
	Invited  []invitation `json:"invited,omitempty"`
	Numbered int          `json:"numbered,omitempty"`

	// Faults is when the owner was last told of messages that failed.
	Faults time.Time `json:"faults,omitzero"`

	Notices []Notice `json:"notices,omitempty"`
	Count   uint64   `json:"count,omitempty"` // the last number of a notice
}

// Notice is a sentence that is owed to somebody beside the conversation.
type Notice struct {
	ID   uint64             `json:"id"`
	To   storage.OperatorID `json:"to"` // somebody, or a group
	Text string             `json:"text"`
	// Leave says that To is a group, which is left after it was told.
	Leave bool `json:"leave,omitempty"`
}

const (
	toldFor = 30 * 24 * time.Hour
	// mostTold bounds what strangers can make us remember; beyond it they get no
	// sentence.
	mostTold = 500
)

// readBook reads the book, or the memory of an older program in which it stood.
func readBook(kept, old []byte) (b book, err error) {
	switch {
	case len(kept) > 0:
		err = json.Unmarshal(kept, &b)
	case len(old) > 0:
		b, err = readOlder(old)
	}
	if err != nil {
		return b, fmt.Errorf("what is kept of who is let in is damaged: %w", err)
	}
	return b, nil
}

// clone is a copy that can be changed and thrown away.
func (b book) clone() book {
	for _, m := range []*moments{&b.Members, &b.Gone, &b.Told} {
		if *m = maps.Clone(*m); *m == nil {
			*m = moments{}
		}
	}
	b.Invited, b.Notices = slices.Clone(b.Invited), slices.Clone(b.Notices)
	return b
}

// forget removes somebody who is to be forgotten.
func (b *book) forget(op storage.OperatorID) {
	delete(b.Members, op)
	delete(b.Gone, op)
	delete(b.Told, op)
	if b.Owner == op {
		b.Owner = ""
	}
	b.Notices = slices.DeleteFunc(b.Notices, func(n Notice) bool { return n.To == op })
	b.Invited = slices.DeleteFunc(b.Invited, func(i invitation) bool { return i.Guest == op })
}

// owe adds a sentence to those that are still to be said.
func (b *book) owe(n Notice) {
	b.Count++
	n.ID = b.Count
	b.Notices = append(b.Notices, n)
}

// tellOnce owes a stranger or a group its one sentence, and reports whether it
// was owed only now.
func (b *book) tellOnce(n Notice, now time.Time) bool {
	maps.DeleteFunc(b.Told, func(_ storage.OperatorID, at time.Time) bool { return now.Sub(at) > toldFor })
	if _, told := b.Told[n.To]; told || len(b.Told) >= mostTold {
		return false
	}
	b.Told[n.To] = now
	b.owe(n)
	return true
}
