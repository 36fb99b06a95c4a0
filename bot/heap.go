package bot

import (
	"slices"
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

// arrive notes that something came in.
func (p *plan) arrive() {
	if p.ev.At.Sub(p.op.Heard) > heapSpan || p.op.Delivery.IsZero() {
		p.op.Silent, p.op.Delivery = p.op.Heard, p.ev.At
		p.op.Which, p.op.Parts = "", nil
	}
	p.op.Heard = p.ev.At
}

// alive notes that the operator tapped a button. Taps are never held back, so
// the phone is connected and whatever comes next is live.
func (p *plan) alive() {
	p.op.Heard, p.op.Silent, p.op.Delivery = p.ev.At, p.ev.At, p.ev.At
	p.op.Which, p.op.Parts = "", nil
}

// baseFiling is the filing that a message starts with: the usual one, or, after
// a silence that covers a whole pass, one of the passes since.
func (p *plan) baseFiling(at time.Time) filing {
	if p.delayed(at) {
		return p.heapFiling(at)
	}
	return p.filingAt(at)
}

// delayed reports whether what comes in now follows a silence that covers a
// whole followed pass, so that it may have been written during that.
func (p *plan) delayed(at time.Time) bool {
	return !p.op.Silent.IsZero() && slices.ContainsFunc(p.sinceSilence(at), func(pass storage.Pass) bool {
		return !pass.AOS.Before(p.op.Silent) && !pass.LOS.After(at)
	})
}

// sinceSilence returns the followed passes that a heap arriving at a moment can
// be about.
func (p *plan) sinceSilence(at time.Time) []storage.Pass {
	from := later(p.op.Silent, at.Add(-lookBack))
	return only(p.passesIn(from, at.Add(earlySlack)), storage.Pass.Followed)
}

// heapFiling files a message delivered late: under what was named or chosen in
// the same delivery, else under the only followed pass since the silence. What
// a line sent now would belong to is a possibility too.
func (p *plan) heapFiling(at time.Time) filing {
	if f, ok := p.namedInDelivery(at); ok {
		return f
	}
	return p.unnamedFiling(at)
}

// unnamedFiling is the late filing of what came before any bird was named.
func (p *plan) unnamedFiling(at time.Time) filing {
	passes := p.sinceSilence(at)
	live := p.filingAt(at)
	for _, pass := range append(slices.Clone(live.rivals), live.pass) {
		known := slices.ContainsFunc(passes, func(other storage.Pass) bool { return other.ID == pass.ID })
		if pass.ID != "" && !known && pass.LOS.After(p.op.Silent) {
			passes = append(passes, pass)
		}
	}
	f := live
	if len(passes) > 0 {
		f = p.amid(passes)
	}
	f.late = true
	return f
}

// namedInDelivery is the filing that a bird's name, or a tap, earlier in the
// same delivery asked for.
func (p *plan) namedInDelivery(at time.Time) (filing, bool) {
	if p.op.Delivery.IsZero() {
		return filing{}, false
	}
	if chosen, ok := p.pass(p.op.Chosen); ok && !p.op.ChosenAt.Before(p.op.Delivery) {
		f := p.under(chosen)
		f.named, f.late = true, true
		return f, true
	}
	if p.op.Named == 0 || p.op.NamedAt.Before(p.op.Delivery) {
		return filing{}, false
	}
	bird, ok := p.sky.ByCatalog(p.op.Named)
	f := p.filingOf(bird, at, true)
	f.part = p.op.Parts[bird.Catalog]
	return f, ok
}

// heap looks whether the message just filed shows that it and those before it
// were delivered late, and files them anew: the contacts as they are by now,
// whatever was corrected in them since, under another pass or at another time.
func (p *plan) heap(m *storage.Message) {
	if len(p.contacts) == 0 {
		return
	}
	p.op.Burst = append(p.op.Burst, storage.Arrival{Message: m.ID, At: m.At})
	p.op.Burst = p.op.Burst[max(0, len(p.op.Burst)-heapSize):]
	if len(p.op.Burst) < heapSize || m.At.Sub(p.op.Burst[0].At) > heapSpan {
		return
	}
	f := p.unnamedFiling(m.At)
	cause := storage.Cause{Kind: "refile", Message: m.ID}
	for _, a := range p.op.Burst[:heapSize-1] {
		earlier, ok := p.storedMessage(a.Message)
		if ok {
			earlier.Lines = slices.Clone(earlier.Lines)
			p.refileLate(&earlier, f, cause)
			p.others = append(p.others, earlier)
		}
	}
	p.refileLate(m, f, cause)
	p.rivals, p.heaped = f.rivals, true
}

// refileLate files a message's own contacts under a late filing. Those for
// which a bird was named keep their pass.
func (p *plan) refileLate(m *storage.Message, f filing, cause storage.Cause) {
	for i, line := range m.Lines {
		for _, id := range line.Contacts {
			c, ok := p.contact(id)
			if !ok || c.Message != m.ID || c.State == storage.Dropped {
				continue
			}
			g := f
			if pass, ok := p.pass(c.Pass); ok && c.Named {
				g = p.under(pass)
				g.named, g.late = true, true
			} else if c.Named && len(c.Rivals) > 0 {
				g = filing{rivals: p.rivalsOf([]storage.Contact{c}), named: true, late: true, part: c.Part}
			}
			m.Lines[i].Pass = p.refile(c, g, cause).Pass
		}
	}
	if f.pass.ID != "" {
		m.Pass = f.pass.ID
	}
}

// refile files a contact under another pass. What was said in it stays, and so
// do the operator's own call and place.
func (p *plan) refile(c storage.Contact, f filing, cause storage.Cause) storage.Contact {
	at := c.Time
	if m, ok := p.messageOf(c.Message); ok {
		at = m.At
	}
	f = p.timed(f, c.Clock, at)
	before := c
	when, source, fits := p.timeOf(c.Clock, f, at)
	c.Time, c.TimeSource, c.Cause = when, source, cause
	if c.Why == whyPass || c.Why == whyTime {
		c.Why = ""
	}
	if c.Why == "" && !fits {
		c.Why = whyTime
	}
	if c.Mark != nil {
		c = timed(p.withSlate(c, f), f.pass)
	}
	p.freeze(&c, f)
	if c.State != storage.Heard && c.State != storage.Dropped {
		c = p.compare(judge(p.movedUnder(c, f, before.Pass)))
	}
	if unchanged(before, c) {
		return before
	}
	return p.add(c)
}
