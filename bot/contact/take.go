package contact

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/parse"
	"skyslate/storage"
)

// take files one contact read from a line: what it says of an earlier one goes
// there, else it is a new one. place is its place in the line, clock the time that
// holds for the line.
func (d *derivation) take(l *line, c parse.Contact, place int, clock parse.Clock) {
	own := c.Clock
	if !own.IsSet() && !c.Offset.IsSet() {
		c.Clock = clock
	}
	if old := d.target(l, c); old != nil {
		if !own.IsSet() && old.line != l {
			c.Clock = parse.Clock{} // what holds for a line is no correction
		}
		d.apply(old, c, l)
		return
	}
	d.compose(l, c, place)
}

// touch notes that a line made or changed a contact.
func (d *derivation) touch(c *contact, l *line) {
	if id := l.message.said.Message; !slices.Contains(c.by, id) {
		c.by = append(c.by, id)
	}
	if !slices.Contains(l.came, c.key) {
		l.came = append(l.came, c.key)
	}
}

// compose makes a new contact of a reading.
func (d *derivation) compose(l *line, r parse.Contact, place int) {
	if !r.Call.IsValid() && len(candidates(r)) == 0 && len(r.Grids) == 0 && r.Why != parse.Partial {
		return
	}
	m := l.match
	if r.Clock != firstSet(l.inline(), l.clock) {
		m = d.match(l, r.Clock)
	}
	c := &contact{
		key: storage.ContactKey{Message: l.message.said.Message, Line: l.number, Place: place},
		m:   m, line: l, sent: l.at(),
		Contact: storage.Contact{
			Why: string(r.Why), Call: r.Call, Grids: r.Grids, Candidates: candidates(r),
			Name: r.Name, Report: r.Report, Mode: r.Mode, Text: r.Text, Clock: r.Clock,
			Message: l.message.said.Message, Line: l.number,
		},
	}
	if r.Why == parse.NoGrid {
		c.Why = ""
	}
	if r.Heard {
		c.State, c.Why = storage.Heard, ""
	}
	if r.Offset.IsSet() && !r.Clock.IsSet() {
		c.Mark = d.markOf(c, r.Offset.Duration())
		c.m = d.byMark(c)
	}
	if r.Why == parse.NoCall && !r.Corrects {
		d.offerLast(c)
	}
	d.add(c)
	d.touch(c, l)
}

func (d *derivation) add(c *contact) {
	c.number = len(d.contacts)
	d.contacts = append(d.contacts, c)
	d.byKey[c.key] = c
	d.byPass[c.m.Pass.ID] = append(d.byPass[c.m.Pass.ID], c)
}

// offerLast lets a grid alone, right after a whole contact, be that one's, or that
// of a contact whose grid is asked for: asked, and offered first.
func (d *derivation) offerLast(c *contact) {
	last := d.lastPeer(c.m, c.sent)
	if last == nil || !last.whole() {
		return
	}
	var first []storage.Candidate
	for _, old := range d.peers(c.m, c.sent) {
		if old.asksGrid() || old == last {
			first = append(first, storage.Candidate{Call: old.Call, Grids: c.Grids})
		}
	}
	c.Candidates = append(first, c.Candidates...)
}

func (d *derivation) lastPeer(m Match, at time.Time) *contact {
	for _, c := range slices.Backward(d.peers(m, at)) {
		if c.State != storage.Dropped {
			return c
		}
	}
	return nil
}

// target looks for the earlier contact that a reading is about, if it is about
// one: the one it corrects, the one it denies, the one it completes or tells in
// full.
func (d *derivation) target(l *line, c parse.Contact) *contact {
	peers := d.peers(l.match, l.at())
	live := filter(peers, func(old *contact) bool { return old.State != storage.Dropped })
	if c.Corrects {
		return corrected(live, c)
	}
	for i, old := range slices.Backward(live) {
		latest := i == len(live)-1
		switch {
		case c.Heard:
			if c.Call.IsValid() && old.plain() && old.Call == c.Call {
				return old
			}
		case absorbs(old, c):
			return old
		case len(c.Grids) > 0 && old.lacksGrid():
			if c.Why == parse.NoCall || c.Verdict == parse.Log && c.Call == old.Call {
				return old
			}
		case !latest:
		case c.Why == parse.NoCall && old.asksGrid():
			return old
		case c.Why == parse.NoGrid && !old.Call.IsValid() && old.Why == string(parse.NoCall):
			return old
		case c.Why == parse.NoGrid && old.whole() && c.Call != old.Call && c.Call.Base() == old.Call.Base() && strings.Contains(c.Call.String(), "/"):
			return old
		}
	}
	return nil
}

// corrected is the contact that a correction means: the one whose call it names,
// before or now, else the latest.
func corrected(live []*contact, c parse.Contact) *contact {
	for _, call := range []parse.Callsign{c.Was, c.Call} {
		for _, old := range slices.Backward(live) {
			if call.IsValid() && old.Call == call {
				return old
			}
		}
	}
	if c.Was.IsValid() || len(live) == 0 {
		return nil
	}
	return live[len(live)-1]
}

// lacksGrid reports whether a contact lacks nothing but its grid.
func (c *contact) lacksGrid() bool { return c.plain() && len(c.Grids) == 0 }

// asksGrid reports whether what is asked of a contact is its grid alone.
func (c *contact) asksGrid() bool {
	if c.State != "" || c.Why == "" || !c.Call.IsValid() {
		return false
	}
	switch parse.Why(c.Why) {
	case parse.BadGrid, parse.Partial:
		return true
	case parse.Ambiguous, parse.Repaired:
		return !slices.ContainsFunc(c.Candidates, func(o storage.Candidate) bool { return o.Call.IsValid() && o.Call != c.Call })
	}
	return false
}

// apply does to an earlier contact what a line says of it.
func (d *derivation) apply(old *contact, c parse.Contact, l *line) {
	d.changed(old)
	switch {
	case c.Heard && !c.Corrects:
		old.Why = string(parse.Doubted)
	case c.Corrects:
		d.amend(old, spoken(c, old), l)
		return
	case !old.Call.IsValid():
		if len(c.Grids) == 0 && len(old.Grids) > 0 && c.Why == parse.NoGrid {
			c.Grids, c.Verdict, c.Why = old.Grids, parse.Log, ""
		}
		d.amend(old, c, l)
		return
	case c.Why == parse.NoGrid:
		old.Call = c.Call
	default:
		if old.Why != "" && old.asksGrid() {
			old.Why, old.Candidates = "", nil
		}
		d.regrid(old, c.Grids)
	}
	old.Name, old.Report = cmp.Or(c.Name, old.Name), cmp.Or(c.Report, old.Report)
	d.touch(old, l)
}

// regrid gives a contact other grids, and its repeats with it: they are the same
// contact told twice.
func (d *derivation) regrid(c *contact, grids []parse.Grid) {
	before := c.Grids
	for _, other := range d.peers(c.m, c.sent) {
		repeat := other.Call == c.Call && other.State != storage.Dropped && slices.Equal(other.Grids, before)
		if other == c || repeat && len(before) > 0 {
			other.Grids = grids
		}
	}
}

// amend applies what a correction or an answer says to a contact.
func (d *derivation) amend(old *contact, c parse.Contact, l *line) {
	defer d.touch(old, l)
	d.changed(old)
	if c.Call.IsValid() {
		old.Call = c.Call
	}
	if len(c.Grids) > 0 {
		d.regrid(old, c.Grids)
	}
	old.Name, old.Report = cmp.Or(c.Name, old.Name), cmp.Or(c.Report, old.Report)
	old.kept = false
	if c.Heard {
		old.State, old.Why, old.Candidates = storage.Heard, "", nil
		return
	}
	old.State = ""
	if settles(c) {
		old.Why, old.Candidates = "", nil
	} else {
		old.Why, old.Candidates = string(c.Why), candidates(c)
	}
	if c.Offset.IsSet() && !c.Clock.IsSet() {
		old.Clock, old.timed = parse.Clock{}, l.at()
		old.Mark = d.markOf(old, c.Offset.Duration())
	}
	if c.Clock.IsSet() {
		old.Clock, old.Mark, old.timed = c.Clock, nil, l.at()
		d.rematch(old, c.Clock, l)
	}
	d.stateDial(old, c.Text)
}

// rematch moves a contact to the pass that was up at the time it is corrected to, if
// it doesn't fit its own. In an answer a bird that was named stands.
func (d *derivation) rematch(c *contact, clock parse.Clock, l *line) {
	if c.m.Pass.ID == "" || Within(clock, c.m.Pass) {
		return
	}
	m := d.match(l, clock)
	if l.message.said.Reply == nil || !c.m.Named && m.Pass.ID != "" && Within(clock, m.Pass) {
		d.file(c, m)
	}
}

// settles reports whether a reading leaves no doubt but for a missing half.
func settles(c parse.Contact) bool {
	return c.Verdict == parse.Log || c.Why == parse.NoCall || c.Why == parse.NoGrid
}

// doubtLast asks whether the last contact of the pass was one, because a line says
// that there was none and doesn't say with whom.
func (d *derivation) doubtLast(l *line) {
	for _, c := range slices.Backward(d.peers(l.match, l.at())) {
		if c.plain() {
			c.Why = string(parse.Doubted)
			d.changed(c)
			d.touch(c, l)
			return
		}
	}
}

// candidates are those of a reading that could be logged.
func candidates(c parse.Contact) []storage.Candidate {
	var all []storage.Candidate
	for _, cand := range c.Candidates {
		if cand.Call.IsValid() {
			all = append(all, storage.Candidate{Call: cand.Call, Grids: cand.Grids})
		}
	}
	return all
}

// keptLine is what a line is known to have come to, while it says the same.
func (d *derivation) keptLine(l *line) *storage.Kept {
	for i, k := range l.message.said.Kept {
		if i+1 == l.number && k.Text == l.text && len(k.Contacts) > 0 {
			return &l.message.said.Kept[i]
		}
	}
	return nil
}

// takeKept takes contacts as they were stored before evidence was kept.
func (d *derivation) takeKept(l *line, kept *storage.Kept) {
	for i, c := range kept.Contacts {
		m := Match{Reason: ByReply, Named: c.Named}
		if pass, ok := d.Pass(c.Pass); ok {
			m = d.under(pass, ByReply)
		} else if bird, ok := d.Catalogued(c.Bird.Catalog); ok && c.Bird.Name != "" {
			m.Bird = bird
		}
		old := &contact{
			key: storage.ContactKey{Message: l.message.said.Message, Line: l.number, Place: i + 1},
			m:   m, line: l, sent: l.at(), kept: true, Contact: c,
			ownCall: c.OwnCall, ownGrids: c.OwnGrids,
		}
		l.match = m
		d.add(old)
		d.touch(old, l)
	}
}
