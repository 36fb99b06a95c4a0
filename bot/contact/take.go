package contact

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/idiom"
	"skyslate/parse"
	"skyslate/parse/slip"
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

// compose makes a new contact of a reading.
func (d *derivation) compose(l *line, r parse.Contact, place int) {
	if !isSome(r) {
		return
	}
	m := l.match
	if r.Clock != cmp.Or(l.inline(), l.clock) {
		m = d.match(l, r.Clock)
	}
	if n := l.names; n != nil && n.IsBirded() { // its words are about the pass
		r.Heard, r.Comment = false, ""
		if bird, ok := d.Bird(n.Bird); ok && n.Bird != "" {
			m, _ = d.nearestOfBird(bird.Catalog, l.at(), LookBack)
		} else {
			m = d.notOn(n.Off, l.at())
		}
	}
	c := &contact{
		key: storage.ContactKey{Message: l.message.said.Message, Line: l.number, Place: place},
		m:   m, line: l, sent: l.at(),
		Contact: storage.Contact{
			Why: string(r.Why), Call: r.Call, Grids: r.Grids, Candidates: candidates(r),
			Name: r.Name, Report: r.Report, Sent: r.ReportSent, Note: r.Comment, Mode: r.Mode, Text: r.Text, Clock: r.Clock,
			Message: l.message.said.Message, Line: l.number,
		},
	}
	if r.Why == parse.NoGrid {
		c.Why = ""
	}
	if r.Heard {
		c.State, c.Why = storage.Heard, ""
	}
	if about := l.names != nil && !l.names.Open && !l.names.Plain; (about || r.Corrects && r.Call.IsValid()) && c.Why == "" && !r.Heard {
		c.Why = WhyNew
	}
	if r.Offset.IsSet() && !r.Clock.IsSet() {
		c.Mark = d.markOf(c, r.Offset.Duration())
		c.m = d.byMark(c)
	}
	switch {
	case r.Why == parse.NoCall && r.Corrects: // of the last contact, under another bird?
		if last := lastOf(d.contacts, (*contact).stands); last != nil && last.whole() {
			c.corrects = last
			c.Candidates = []storage.Candidate{{Call: last.Call, Grids: c.Grids}}
		}
	case r.Why == parse.NoCall:
		d.offerLast(c)
	case c.lacksGrid():
		d.offerTo(c)
	}
	d.add(c)
	d.touch(c, l)
}

// offerLast lets a grid alone that completes nothing be that of the last contact, or of one
// whose grid lacks or is asked for: asked, and offered first.
func (b *book) offerLast(c *contact) {
	last := b.lastPeer(c.m, c.sent)
	var first []storage.Candidate
	for _, old := range b.peers(c.m, c.sent) {
		if old.asksGrid() || old.lacksGrid() || old == last && old.whole() {
			first = append(first, storage.Candidate{Call: old.Call, Grids: c.Grids})
		}
	}
	c.Candidates = append(first, c.Candidates...)
}

// offerTo lets a grid alone that came right before be that of a call alone, too.
func (b *book) offerTo(c *contact) {
	if last := b.lastPeer(c.m, c.sent); last != nil && last.lacksCall() && c.sent.Sub(last.sent) <= halves {
		last.Candidates = append(last.Candidates, storage.Candidate{Call: c.Call, Grids: last.Grids})
		b.changed(last)
	}
}

// target looks for the earlier contact that a reading is about, if it is about
// one: the one it corrects, the one it denies, the one it completes or tells in
// full.
func (b *book) target(l *line, c parse.Contact) *contact {
	if c.Corrects {
		return b.corrected(l, c)
	}
	if c.Heard {
		return lastOf(called(filter(b.peers(l.match, l.at()), (*contact).plain), c.Call), (*contact).stands)
	}
	peers := b.peers(l.match, l.at())
	last := lastOf(peers, func(c *contact) bool { return c.stands() && l.fromPhoneOf(c.key.Message) })
	latest := true
	for _, old := range slices.Backward(peers) {
		if old.State == storage.Dropped {
			continue
		}
		follows := old == last && l.at().Sub(old.sent) <= halves
		switch {
		case absorbs(old, c), latest && tellsMore(old, c):
			return old
		case !l.fromPhoneOf(old.key.Message) && (!c.Call.IsValid() || !old.Call.IsValid()):
			continue // two phones' halves are no contact: asked
		case len(c.Grids) > 0 && old.plain() && len(old.Grids) == 0:
			if c.Why == parse.NoCall && follows || c.Verdict == parse.Log && c.Call == old.Call {
				return old
			}
		case c.Why == parse.NoCall && old.asksGrid() && follows:
			return old
		case c.Why == parse.NoGrid && old.lacksCall() && follows && !slices.ContainsFunc(peers, (*contact).lacksGrid):
			return old
		case latest && c.Why == parse.NoGrid && old.whole() && c.Call != old.Call && c.Call.Base() == old.Call.Base() && strings.Contains(c.Call.String(), "/"):
			return old
		}
		latest = false
	}
	return nil
}

// halves is how far apart the halves of a contact may come that join without a question,
// with nothing about another contact between them: common practice, no source.
const halves = 2 * time.Minute

// absorbs reports whether a certain reading tells in full what an earlier
// contact told a part of: the same station, and no other grid.
func absorbs(old *contact, c parse.Contact) bool {
	part := old.Why == string(parse.Partial) || old.Why == string(parse.BadCall) || old.Why == string(parse.Ambiguous)
	if old.State != "" || !part || old.Call.IsValid() || c.Verdict != parse.Log {
		return false
	}
	if len(old.Grids) > 0 && !slices.Equal(old.Grids, c.Grids) {
		return false
	}
	return slices.ContainsFunc(strings.Fields(strings.ToUpper(old.Text)), func(word string) bool {
		return idiom.FitsPart(word, c.Call.String())
	})
}

// tellsMore reports whether a reading tells the contact before it once more, with a name
// or a report that lacked.
func tellsMore(old *contact, c parse.Contact) bool {
	adds := c.Name != "" && old.Name == "" || c.Report != "" && old.Report == ""
	same := (c.Name == "" || old.Name == "" || c.Name == old.Name) && (c.Report == "" || old.Report == "" || c.Report == old.Report)
	return adds && same && old.plain() && c.Call == old.Call && c.Verdict == parse.Log && slices.Equal(c.Grids, old.Grids)
}

// corrected is the contact that a correction means: the one whose call it names,
// before or now, else the last one, be it one that was just taken back.
func (b *book) corrected(l *line, c parse.Contact) *contact {
	of := b.peers(l.match, l.at())
	was, is := called(of, c.Was), called(of, c.Call)
	switch {
	case len(was) > 0 && len(is) > 0 && c.Was != c.Call: // its call is no slip of the other's
		return nil
	case len(was)+len(is) > 0:
		meant := slices.Concat(was, is)
		last := meant[len(meant)-1]
		if slices.ContainsFunc(meant, func(old *contact) bool { return old.Call != last.Call }) {
			return nil
		}
		return last
	case c.Was.IsValid():
		return nil
	}
	meant := func(old *contact) bool { return old.stands() || old.retracted }
	last := lastOf(of, meant)
	if earlier := called(b.contacts, c.Call); len(earlier) > 0 && last != nil && slip.Slips(c.Call.Base(), last.Call.Base()) > 2 {
		of, by := earlier[0].m.group(), func(old *contact) bool { return old.m.group() != earlier[0].m.group() }
		if slices.ContainsFunc(earlier, by) || l.bird != nil || of == l.match.group() {
			return nil
		}
		return earlier[len(earlier)-1]
	}
	if l.bird == nil && last != lastOf(b.contacts, meant) || last != nil && !l.fromPhoneOf(last.key.Message) {
		return nil // it stands elsewhere, or another phone told it: asked
	}
	return last
}

// called are those of some contacts that a call names: with its marks or, where none has
// them, without.
func called(contacts []*contact, call parse.Callsign) []*contact {
	stands := filter(contacts, func(c *contact) bool { return c.stands() && call.IsValid() && call.Names(c.Call) })
	if exact := filter(stands, func(c *contact) bool { return c.Call == call }); len(exact) > 0 {
		return exact
	}
	return stands
}

// takesKept takes the contacts that a line is known to have come to before evidence
// was kept, while it says the same.
func (d *derivation) takesKept(l *line) bool {
	kept := l.message.said.Kept
	if l.number > len(kept) || kept[l.number-1].Text != l.text || len(kept[l.number-1].Contacts) == 0 {
		return false
	}
	for i, c := range kept[l.number-1].Contacts {
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
	return true
}
