package watch

import (
	"time"

	"skyslate/bot/event"
	"skyslate/bot/say/limits"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// After hours without network or process, what had waited is read as of when it
// was sent, and what would come too late stays away. One line then says so.
const (
	// lateAfter is how long a message may have waited without a word about it.
	lateAfter = 10 * time.Minute
	// missedPause gathers what belongs together into one line.
	missedPause = 5 * time.Second
)

// Notice counts a message that has waited.
func (p Teller) Notice() {
	if p.Event.Kind == event.Moment || p.Event.Now.Sub(p.Event.At) <= lateAfter {
		return
	}
	m := &p.Op.Missed
	if m.Messages == 0 || p.Event.At.Before(m.From) {
		m.From = p.Event.At
	}
	m.To = timing.Later(m.To, p.Event.At)
	m.Messages++
	for _, move := range p.Moves {
		if move.From == 0 {
			m.Contacts++
		}
	}
	p.tellMissed()
}

// tooLate counts a reminder that nobody got.
func (p Teller) tooLate() {
	p.Op.Missed.Reminders++
	p.tellMissed()
}

func (p Teller) tellMissed() { p.At(tx.MomentMissed, p.Event.Now.Add(missedPause), "") }

// Missed says in one line what was caught up.
func (p Teller) Missed() {
	m := p.Op.Missed
	p.Op.Missed = storage.Missed{}
	if m.Messages+m.Reminders > 0 {
		p.Post(storage.Post{
			Name: p.Name("missed", p.Event.ID), Class: storage.ClassCard, Text: limits.CaughtUp(limits.Missed(m)), Silent: true,
		})
	}
}
