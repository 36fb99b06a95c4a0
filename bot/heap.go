package bot

import (
	"time"

	"skyslate/storage"
)

// A phone without coverage delivers its messages later, all at once, stamped
// with the time of arrival. Three messages with contacts within heapSpan, or
// contacts after a silence that covers a whole pass, are such a heap.
const (
	heapSpan = 10 * time.Second
	heapSize = 3
)

// arrive notes that a message came in.
func (p *plan) arrive() {
	if p.ev.At.Sub(p.op.Heard) > heapSpan {
		p.op.Silent = p.op.Heard
	}
	p.op.Heard = p.ev.At
}

// baseFiling is the filing that a message starts with: the usual one, or, after
// a silence that covers a whole pass, one of the passes since.
func (p *plan) baseFiling(at time.Time) filing {
	if p.op.Silent.IsZero() {
		return p.filingAt(at)
	}
	for _, pass := range p.sinceSilence(at) {
		if !pass.AOS.Before(p.op.Silent) && !pass.LOS.After(at) {
			return p.heapFiling(at)
		}
	}
	return p.filingAt(at)
}

// sinceSilence returns the followed passes that a heap arriving at a moment can
// be about.
func (p *plan) sinceSilence(at time.Time) []storage.Pass {
	from := later(p.op.Silent, at.Add(-lookBack))
	return only(p.passesIn(from, at.Add(time.Second)), storage.Pass.Followed)
}

func (p *plan) heapFiling(at time.Time) filing {
	passes := p.sinceSilence(at)
	if len(passes) == 0 {
		f := p.filingAt(at)
		f.late = true
		return f
	}
	f := p.amid(passes)
	f.late = true
	return f
}

// heap looks whether the message just filed shows that it and those before it
// were delivered late, and files them anew.
func (p *plan) heap(m *storage.Message) {
	if len(p.contacts) == 0 {
		return
	}
	p.op.Burst = append(p.op.Burst, storage.Arrival{Message: m.ID, At: m.At})
	p.op.Burst = p.op.Burst[max(0, len(p.op.Burst)-heapSize):]
	if len(p.op.Burst) < heapSize || m.At.Sub(p.op.Burst[0].At) > heapSpan {
		return
	}
	f := p.heapFiling(m.At)
	cause := storage.Cause{Kind: "refile", Message: m.ID}
	for _, a := range p.op.Burst[:heapSize-1] {
		earlier, ok := got(p, func() (storage.Message, bool, error) { return p.view.Message(p.op.ID, a.Message) })
		if ok {
			p.logLines(&earlier, f, cause, earlier.Lines)
			p.others = append(p.others, earlier)
		}
	}
	p.logLines(m, f, cause, m.Lines)
}

// refile files a contact under another pass.
func (p *plan) refile(c storage.Contact, f filing, cause storage.Cause) storage.Contact {
	at := c.Time
	if m, ok := got(p, func() (storage.Message, bool, error) { return p.view.Message(p.op.ID, c.Message) }); ok {
		at = m.At
	}
	clock := clockOf(c)
	when, source, fits := p.timeOf(clock, f, at)
	c.Time, c.TimeSource, c.Cause = when, source, cause
	if c.Why == whyPass || c.Why == whyTime {
		c.Why = ""
	}
	if c.Why == "" && !fits {
		c.Why = whyTime
	}
	p.freeze(&c, f)
	if c.State == storage.Heard {
		return p.add(c)
	}
	return p.add(judge(c))
}
