package bot

import (
	"time"

	"skyslate/bot/say"
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

// notice counts a message that has waited.
func (p *plan) notice() {
	if p.ev.Kind == Moment || p.ev.Now.Sub(p.ev.At) <= lateAfter {
		return
	}
	m := &p.op.Missed
	if m.Messages == 0 || p.ev.At.Before(m.From) {
		m.From = p.ev.At
	}
	m.To = later(m.To, p.ev.At)
	m.Messages++
	for _, move := range p.moves {
		if move.From == 0 {
			m.Contacts++
		}
	}
	p.tellMissed()
}

// tooLate counts a reminder that nobody got.
func (p *plan) tooLate() {
	p.op.Missed.Reminders++
	p.tellMissed()
}

func (p *plan) tellMissed() { p.at(momentMissed, p.ev.Now.Add(missedPause), "") }

// missed says in one line what was caught up.
func (p *plan) missed() {
	m := p.op.Missed
	p.op.Missed = storage.Missed{}
	if m.Messages+m.Reminders > 0 {
		p.post(storage.Post{Name: p.name("missed", p.ev.ID), Text: say.CaughtUp(say.Missed(m)), Silent: true})
	}
}
