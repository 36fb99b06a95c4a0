package guests

import (
	"maps"
	"slices"
	"time"

	"skyslate/storage"
)

// Where the book stands beside the inbox, and what is said to people: it is no part
// of who is let in, which the store's journal keeps.
const (
	bookKey = storage.GuestsKey
	saidKey = "said"
)

// moments are people, or rooms, each with a moment.
type moments map[storage.OperatorID]time.Time

// book is what has to outlive the process and belongs to no one person. It is
// stored as JSON; fields may be added, never renamed or given another meaning.
type book struct {
	Owner storage.OperatorID `json:"owner,omitempty"`
	// Used is the hash of the code that the owner came in by.
	Used string `json:"used,omitempty"`

	// Invited are the invitations by which nobody is in, in the order of their
	// numbers; Guests is how many others there are, Numbered the last number given.
	Invited  []invitation `json:"invited,omitempty"`
	Guests   int          `json:"guests,omitempty"`
	Numbered int          `json:"numbered,omitempty"`

	// Faults is when the owner was last told of messages that failed.
	Faults time.Time `json:"faults,omitzero"`

	said `json:"-"`
}

// said is what has been said to people beside the conversation, or is owed to them.
type said struct {
	Told    moments  `json:"told,omitempty"` // strangers and groups who had their sentence
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

// clone is a copy that can be changed and thrown away.
func (b book) clone() book {
	if b.Told = maps.Clone(b.Told); b.Told == nil {
		b.Told = moments{}
	}
	b.Invited, b.Notices = slices.Clone(b.Invited), slices.Clone(b.Notices)
	return b
}

// owe adds a sentence to those that are still to be said.
func (b *book) owe(n Notice) {
	b.Count++
	n.ID = b.Count
	b.Notices = append(b.Notices, n)
}

// mayTell reports whether a stranger or a group is still to get its one sentence.
func (b *book) mayTell(to storage.OperatorID, now time.Time) bool {
	remembered := 0
	for _, at := range b.Told {
		if now.Sub(at) <= toldFor {
			remembered++
		}
	}
	at, told := b.Told[to]
	return remembered < mostTold && (!told || now.Sub(at) > toldFor)
}

// tellOnce owes a stranger or a group its one sentence.
func (b *book) tellOnce(n Notice, now time.Time) {
	if !b.mayTell(n.To, now) {
		return
	}
	maps.DeleteFunc(b.Told, func(_ storage.OperatorID, at time.Time) bool { return now.Sub(at) > toldFor })
	b.Told[n.To] = now
	b.owe(n)
}
