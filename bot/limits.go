package bot

import (
	"strings"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/say/limits"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// What one operator may take up. Nobody's thumb comes near it; a program gone
// wrong, or somebody who means harm, is stopped before the others notice. What is
// of a room is bounded there: in watch.go of watch, in own.go of sky, in writes.go of tx.
const (
	mostInMinute  = 300  // whatever comes in
	mostInDay     = 5000 // the same, but for live places
	mostDocuments = 20   // a day
	mostContacts  = 2000 // new ones and changes a day, without imports

	mostStored  = 1 << 30 // bytes kept of what an operator sent, about
	sizeMessage = 250     // of those, a message beside its text
	sizeContact = 1000    // and a version of a contact, with its indexes
)

// fits counts what came in against the operator's limits and says, once for
// each, that one is reached. What doesn't fit is left out. A day is one of UTC.
func (p *plan) fits() bool {
	if p.Event.Kind == event.Moment {
		return true
	}
	f := &p.Op.Flow
	if minute := p.Event.At.Truncate(time.Minute); !minute.Equal(f.Minute) {
		f.Minute, f.InMinute = minute, 0
	}
	tx.FlowOn(&p.Op.Flow, p.Event.At)
	return p.below(&f.InMinute, mostInMinute, limits.TooManyNow) && p.fitsDay(f)
}

func (p *plan) fitsDay(f *storage.Flow) bool {
	name, _, commanded := tx.Command(p.Event.Text)
	switch {
	case p.Event.Kind == event.Placed && p.Event.Spot != nil && p.Event.Spot.Live:
		return true
	case p.Event.Kind == event.Said && commanded && name == "forget", strings.HasPrefix(p.Event.Data, tx.TapForget+":"):
		return true // to leave is always possible
	case p.Event.Kind == event.Handed && p.Event.Lost == event.LostMany && p.Event.Second == "":
		return p.below(&f.Unfetched, 0, limits.TooManyDocuments)
	case f.Contacts > mostContacts && (p.Event.Kind == event.Said && !commanded || p.Event.Kind == event.Edited):
		return p.below(&f.Refused, 0, limits.TooManyContacts)
	case p.Op.Stored > mostStored && !commanded && p.Event.Kind != event.Tapped:
		return p.below(&f.Full, 0, limits.TooMuchStored)
	}
	return p.below(&f.InDay, mostInDay, limits.TooManyToday) &&
		(p.Event.Kind != event.Handed || p.below(&f.Documents, mostDocuments, limits.TooManyDocuments))
}

// below counts one more, and says so at the first that is too many.
func (p *plan) below(n *int, most int, text string) bool {
	*n++
	if *n == most+1 {
		p.Say(text)
	}
	return *n <= most
}

// weigh counts the contacts that came of a message, and what is kept.
func (p *plan) weigh() {
	p.Op.Stored += int64(sizeContact * len(p.Contacts))
	if p.Message != nil {
		p.Op.Stored += int64(sizeMessage + len(p.Message.Text))
	}
	if p.Event.Kind != event.Moment && p.Event.Kind != event.Handed {
		p.Op.Flow.Contacts += len(p.Moves)
	}
}

// DocumentsLeft is how many more documents an operator may hand over on the day
// of a moment: what is beyond need not be fetched, nor what a second phone sends.
func (d *Desk) DocumentsLeft(id storage.OperatorID, at time.Time) (int, error) {
	op, err := d.operator(id)
	if d.Lets(id, "", at) {
		return 0, err
	}
	if !op.Flow.Day.Equal(at.Truncate(tx.Day)) {
		return mostDocuments, err
	}
	return max(0, mostDocuments-op.Flow.Documents), err
}

// NoRoom is what is said when the disk is full, ready to go out: to those whose
// messages these are or, without any, to those for whom something waits at now.
// It is no post, because the outbox is on that disk too.
func (d *Desk) NoRoom(now time.Time, raws ...storage.Raw) []Outgoing {
	var due []storage.OperatorID
	if len(raws) == 0 {
		raws, due = d.waiting(now)
	}
	var ops []storage.OperatorID // those who have written before those who only wait
	for _, r := range raws {
		ops = append(ops, r.From)
	}
	var out []Outgoing
	told := map[storage.OperatorID]bool{"": true}
	for _, op := range append(ops, due...) {
		if !told[op] {
			told[op] = true
			out = append(out, Outgoing{Name: string(op) + "/noroom", Operator: op, Op: storage.Send, Text: limits.NoRoom, Silent: true})
		}
	}
	return out
}

// mostWaiting is of how many moments that are due somebody is told at once.
const mostWaiting = 100

// waiting is the head of the inbox and those for whom something is due. What
// can't be read has nobody to be told.
func (d *Desk) waiting(now time.Time) (raws []storage.Raw, ops []storage.OperatorID) {
	if r, ok, err := d.store.Oldest(); err == nil && ok {
		raws = append(raws, r)
	}
	items, err := d.store.Due(now, mostWaiting)
	if err != nil {
		return raws, nil
	}
	for _, it := range items {
		ops = append(ops, it.Operator)
	}
	return raws, ops
}
