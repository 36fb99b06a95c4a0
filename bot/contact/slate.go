package contact

import (
	"slices"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/idiom"
	"skyslate/bot/lists"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/storage"
)

// recordings are the slates told so far.
type recordings struct {
	*book
	slates    []filing.ToldSlate
	lastSlate *filing.ToldSlate
}

// ToldLast is the slate that was told last; nil: none was.
func (rec *recordings) ToldLast() *filing.ToldSlate { return rec.lastSlate }

// recording names the recording that a contact was written down from.
func (c *contact) recording() storage.Recording { return RecordingOf(c.Contact, c.m.Pass.ID) }

// RecordingOf names the recording that a contact of a pass was written down from.
func RecordingOf(c storage.Contact, pass storage.PassID) storage.Recording {
	if c.Mark != nil && c.Mark.Voice != 0 {
		return storage.Recording{Voice: c.Mark.Voice}
	}
	return storage.Recording{Pass: pass}
}

// slateOf is the slate of a recording that was told last, zero if none was.
func (rec *recordings) slateOf(r storage.Recording) time.Time {
	for _, s := range slices.Backward(rec.slates) {
		if s.Of == r || r.Pass != "" && filing.Holds(s.Rivals, r.Pass) {
			return s.Slate
		}
	}
	return time.Time{}
}

// tell takes the slate of a recording: what waits for it counts from it, and what
// comes. Contacts that count from one told before keep it.
func (rec *recordings) tell(r storage.Recording, slate time.Time, l *filing.Line) {
	told := filing.ToldSlate{Of: r, Slate: slate}
	if l != nil {
		said := &l.Message.Outcome
		said.Told = append(said.Told, filing.Told{Of: r, Slate: slate, Before: rec.slateOf(r)})
		told.At, told.Delivery = l.At(), l.Message.Delivery
		if r == (storage.Recording{}) {
			told.Rivals = l.Match.Rivals
		}
	}
	rec.slates, rec.lastSlate = append(rec.slates, told), &told
	for _, c := range rec.contacts {
		if c.Mark == nil || !c.Mark.Slate.IsZero() || c.State == storage.Dropped || c.recording() != r {
			continue
		}
		mark := *c.Mark
		mark.Slate = slate
		c.Mark = &mark
		if l != nil {
			c.timed = l.At()
		}
	}
}

// markOf is where a contact stands in the recording that it counts in.
func (rec *recordings) markOf(c *contact, offset time.Duration) *storage.Mark {
	mark := &storage.Mark{Offset: offset, Voice: c.line.Voice()}
	if c.Mark != nil {
		mark.Slate, mark.Voice = c.Mark.Slate, c.Mark.Voice
	}
	if mark.Slate.IsZero() {
		c.Mark = mark
		mark.Slate = rec.slateOf(c.recording())
	}
	return mark
}

// byMark lets the moment of a contact in a recording say which of several passes
// is meant, if it falls into one only.
func (rec *recordings) byMark(c *contact) filing.Match {
	m := c.m
	if c.Mark.Slate.IsZero() || m.Pass.ID != "" {
		return m
	}
	when := c.Mark.Slate.Add(c.Mark.Offset)
	fitting := lists.Filter(m.Rivals, func(p storage.Pass) bool { return timing.Fits(p, when) })
	if len(m.Rivals) == 0 {
		fitting = lists.Filter(rec.Passes(when.Add(-timing.ClockSlack), when.Add(timing.ClockSlack)), func(p storage.Pass) bool { return p.Followed() })
	}
	return rec.Only(fitting, m)
}

// slateLead is how long before AOS a recording may begin.
const slateLead = 15 * time.Minute

// InRecordingOf reports whether a recording of a pass may have begun at a moment.
func InRecordingOf(pass storage.Pass, slate time.Time) bool {
	return pass.ID != "" && !slate.Before(pass.AOS.Add(-slateLead)) && slate.Before(pass.LOS)
}

// recorded is the match of a slate: the pass that it lies in, of the bird that is
// named if one is; the one of the match, or the only one followed, that begins soon
// after it; else the match stays. One from before the pass that is up rose, within one that
// nobody follows, may be of either.
func (rec *recordings) recorded(slate time.Time, m filing.Match) filing.Match {
	meant := func(p storage.Pass) bool {
		if m.Named && m.Bird.Name == "" && len(m.Rivals) > 0 {
			return filing.Holds(m.Rivals, p.ID)
		}
		return (!m.Named || p.Bird.Catalog == m.Bird.Catalog) && (m.Named || p.Followed() || rec.WorkedOn(p.ID) || p.ID == m.Pass.ID)
	}
	up := lists.Filter(rec.Passes(slate, slate.Add(time.Second)), func(p storage.Pass) bool { return p.Up(slate) })
	in := lists.Filter(up, meant)
	if others := lists.Filter(up, rec.Listed); len(in) == 0 && len(others) > 0 && m.Reason == filing.ByUp && slate.Before(m.Pass.AOS) {
		return filing.Match{Rivals: append(others, m.Pass), Reason: filing.BySlate}
	}
	if len(in) != 1 && InRecordingOf(m.Pass, slate) {
		return m
	}
	if len(in) == 0 {
		in = lists.Filter(rec.Passes(slate.Add(-time.Minute), slate.Add(slateLead)), func(p storage.Pass) bool { return meant(p) && InRecordingOf(p, slate) })
	}
	return rec.Only(in, m)
}

// tellsSlate takes the slate that a line tells, for the contacts that wait for it
// and for those to come; false if it tells none.
func (d *derivation) tellsSlate(l *filing.Line) bool {
	if !l.Slate.Set {
		return false
	}
	delete(d.carried, l.Message.Phone())
	slate := timing.Slate(l.Slate, l.Match.Pass, l.At())
	l.Match = d.recorded(slate, l.Match)
	r := storage.Recording{Pass: l.Match.Pass.ID, Voice: l.Voice()}
	if r.Voice != 0 {
		r.Pass = ""
	} else if r.Pass != "" {
		takeAlong(d, l, slate, l.Match.Pass)
	}
	d.tell(r, slate, l)
	return true
}

// answersSlate takes a message that is nothing but a time as the answer to the
// open question for a slate, or to the one it replies to.
func (d *derivation) answersSlate(l *filing.Line) bool {
	told := idiom.TimeIn(l.Text)
	reply := l.Message.Said.Reply
	if !told.Set && reply != nil && (reply.Slate != nil || reply.Voice != 0) {
		told = l.Slate
	}
	if !told.Set || !l.Message.Delivery.HeadedBy(l) {
		return false
	}
	r, ok := d.askedSlate(l)
	if !ok {
		return false
	}
	pass, _ := d.Pass(r.Pass)
	if reply != nil && reply.Voice != 0 {
		pass, _ = d.Pass(reply.Pass)
	}
	if pass.ID != "" {
		l.Match = d.Under(pass, filing.BySlate)
	}
	slate := timing.Slate(told, pass, l.At())
	if in := d.recorded(slate, l.Match); reply == nil && r.Pass != "" && in.Pass.ID != "" && in.Pass.ID != r.Pass {
		if n := takeAlong(d, l, slate, in.Pass); n > 0 && !slices.ContainsFunc(d.contacts, func(c *contact) bool { return c.lacksSlate() && c.recording() == r }) {
			l.Match, r.Pass = in, in.Pass.ID
		}
	}
	d.tell(r, slate, l)
	return true
}

// lacksSlate reports whether a contact counts from a slate that is not told yet.
func (c *contact) lacksSlate() bool { return c.Mark != nil && c.Mark.Slate.IsZero() && c.stands() }

// takeAlong files under the pass that a slate lies in the contacts that wait for one under
// another pass, which no word, reply or tap put there, and which fall into that pass by the
// slate; of those that may be of either it is asked. It returns how many these are.
func takeAlong(d *derivation, l *filing.Line, slate time.Time, to storage.Pass) (n int) {
	byWord := []filing.Reason{filing.ByHold, filing.ByReply, filing.ByAnswer}
	for _, c := range d.contacts {
		from := c.m.Pass
		if !c.lacksSlate() || c.Mark.Voice != 0 || from.ID == "" || from.ID == to.ID || c.m.Named || slices.Contains(byWord, c.m.Reason) || l.At().Sub(c.sent) > filing.LookBack {
			continue
		}
		when := slate.Add(c.Mark.Offset)
		if when.After(c.sent.Add(timing.ClockSlack)) || timing.Apart(to, when) > filing.EarlySlack {
			continue
		}
		m := d.Under(to, filing.BySlate)
		m.Late = !to.LOS.After(c.sent)
		if timing.Apart(from, when) <= filing.EarlySlack {
			mark := *c.Mark
			mark.Slate = slate
			c.Mark, c.timed = &mark, l.At()
			m = filing.Match{Rivals: []storage.Pass{to, from}, Reason: filing.BySlate, Late: true}
		}
		n++
		d.file(c, m)
		d.touch(c, l)
	}
	return n
}

// askedSlate is the recording that a line which is nothing but a time answers for.
func (d *derivation) askedSlate(l *filing.Line) (storage.Recording, bool) {
	if reply := l.Message.Said.Reply; reply != nil {
		switch {
		case reply.Slate != nil:
			return *reply.Slate, true
		case reply.Voice != 0:
			return storage.Recording{Voice: reply.Voice}, true
		}
		return storage.Recording{}, false
	}
	for _, c := range slices.Backward(d.contacts) {
		if c.Mark == nil || !c.Mark.Slate.IsZero() || c.State == storage.Dropped || !c.sent.Before(l.At()) {
			continue // nothing was asked yet
		}
		r := c.recording()
		return r, r.Voice != 0 || r.Pass == "" || r.Pass == d.Match(l, parse.Clock{}).Pass.ID
	}
	return storage.Recording{}, false
}
