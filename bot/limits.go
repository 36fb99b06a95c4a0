package bot

import (
	"strings"
	"time"

	"skyslate/storage"
)

// What one operator may take up. Nobody's thumb comes near it; a program gone
// wrong, or somebody who means harm, is stopped before the others notice. What
// lies ahead is bounded by mostOwnBirds and planDays, what one message holds by
// the messaging app.
const (
	mostInMinute  = 300  // whatever comes in
	mostInDay     = 5000 // the same, but for live places
	mostDocuments = 20   // a day
	mostContacts  = 2000 // new ones and changes a day, without imports
)

// fits counts what came in against the operator's limits and says, once for
// each, that one is reached. What doesn't fit is left out. A day is one of UTC.
func (p *plan) fits() bool {
	if p.ev.Kind == Moment {
		return true
	}
	f := &p.op.Flow
	if minute := p.ev.At.Truncate(time.Minute); !minute.Equal(f.Minute) {
		f.Minute, f.InMinute = minute, 0
	}
	if today := p.ev.At.Truncate(day); !today.Equal(f.Day) {
		*f = storage.Flow{Minute: f.Minute, InMinute: f.InMinute, Day: today}
	}
	return p.below(&f.InMinute, mostInMinute, textTooManyNow) && p.fitsDay(f)
}

func (p *plan) fitsDay(f *storage.Flow) bool {
	name, _, commanded := command(p.ev.Text)
	switch {
	case p.ev.Kind == Placed && p.ev.Spot != nil && p.ev.Spot.Live:
		return true
	case p.ev.Kind == Said && commanded && name == "forget", strings.HasPrefix(p.ev.Data, tapForget+":"):
		return true // to leave is always possible
	case f.Contacts > mostContacts && (p.ev.Kind == Said && !commanded || p.ev.Kind == Edited):
		return p.below(&f.Refused, 0, textTooManyContacts)
	}
	return p.below(&f.InDay, mostInDay, textTooManyToday) &&
		(p.ev.Kind != Handed || p.below(&f.Documents, mostDocuments, textTooManyDocuments))
}

// below counts one more, and says so at the first that is too many.
func (p *plan) below(n *int, most int, text string) bool {
	*n++
	if *n == most+1 {
		p.say(text)
	}
	return *n <= most
}

// weigh counts the contacts that came of a message.
func (p *plan) weigh() {
	if p.ev.Kind != Moment && p.ev.Kind != Handed {
		p.op.Flow.Contacts += len(p.moves)
	}
}

// mostEdits bounds the earlier texts that are kept of a message.
const mostEdits = 20

// keepEdits keeps the first of a message's earlier texts and the newest ones.
func keepEdits(edits []storage.Revision) []storage.Revision {
	if len(edits) <= mostEdits {
		return edits
	}
	return append(edits[:1:1], edits[len(edits)-mostEdits+1:]...)
}
