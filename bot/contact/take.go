package contact

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/idiom"
	"skyslate/bot/lists"
	"skyslate/parse"
	"skyslate/parse/slip"
	"skyslate/storage"
)

// take files one contact read from a line: what it says of an earlier one goes
// there, else it is a new one. place is its place in the line, clock the time that
// holds for the line.
func (d *derivation) take(l *filing.Line, c parse.Contact, place int, clock parse.Clock) {
	own := c.Clock
	if !own.IsSet() && !c.Offset.IsSet() {
		c.Clock = clock
	}
	if c.Corrects && c.Call.IsValid() && c.Was == c.Call && len(called(d.contacts, c.Call)) == 0 {
		c.Corrects = false // "F0ZZD JO62, not JO61" of a new station
	}
	if toldAgain(d, l, c) || putRightByNumber(d, l, c) {
		return
	}
	defer func() {
		d.asksBegun(l, c)
		d.asksNoMore(l, c)
	}()
	if old := d.target(l, c); old != nil {
		if !own.IsSet() && old.line != l {
			c.Clock = parse.Clock{} // what holds for a line is no correction
		}
		d.apply(old, c, l)
		return
	}
	if old := d.waiting(l, c); old != nil {
		d.move(old, l.Match)
		d.retime(old, c, l)
		old.fill(c)
		d.touch(old, l)
		return
	}
	d.compose(l, c, place)
}

// toldAgain takes a line that denies by its words a contact that stands, and tells it once more:
// what stands behind its no is what the contact has, or it says that the station was not
// heard after it.
func toldAgain(d *derivation, l *filing.Line, c parse.Contact) bool {
	if !c.Heard && c.Why != parse.Doubted || c.Corrects {
		return false
	}
	denied := c
	denied.Heard = true
	old := d.target(l, denied)
	if old == nil || !old.whole() {
		return false
	}
	same := len(c.Grids) == 0 || slices.Equal(c.Grids, old.Grids)
	if !same || !idiom.UnheardLater(c.Comment) {
		right, ok := idiom.BehindNo(l.Text)
		field := old.Grids[0].String()[:2]
		if !ok || !slices.ContainsFunc([]string{right, field + right, field + " " + right}, func(half string) bool {
			read := d.readText(l, half, false).Contacts
			if len(read) != 1 || read[0].Comment != "" {
				return false
			}
			return read[0].Call == old.Call && same || !read[0].Call.IsValid() && slices.Equal(read[0].Grids, old.Grids)
		}) {
			return false
		}
		c.Comment = ""
	}
	old.note(c)
	d.touch(old, l)
	return true
}

// talksOf takes a line that says what the station of a contact said or was like: it is a remark
// of that, and neither denies it nor tells another. While another pass is worked the station
// may be heard there.
func talksOf(d *derivation, l *filing.Line) bool {
	call, words, ok := idiom.Talk(l.Text)
	if !ok || l.Message.Said.Reply != nil {
		return false
	}
	of := called(d.peers(l.Match, l.At()), call)
	if len(of) == 0 && !l.Match.Pass.Up(l.At()) {
		of = called(lists.Filter(d.contacts, func(c *contact) bool { return l.At().Sub(c.sent) < filing.Day }), call)
	}
	old := lastOf(of, (*contact).stands)
	if old == nil {
		return false
	}
	old.note(parse.Contact{Comment: words})
	d.touch(old, l)
	return true
}

// putRightByNumber takes a call that stands behind the number of a contact whose call is a
// symbol off, or has another mark: else the number may be that of a list of the operator's own.
func putRightByNumber(d *derivation, l *filing.Line, c parse.Contact) bool {
	n, call, ok := idiom.ByNumber(l.Text)
	if !ok || call != c.Call || len(c.Grids) > 0 {
		return false
	}
	key, _ := d.Numbered(l.Match.Pass.ID, n, l.Message.Said.Message)
	old := d.byKey[key]
	if old == nil || !old.stands() || !old.Call.IsValid() || slip.Slips(call.Base(), old.Call.Base()) > 1 {
		return false
	}
	putRight(d, old, parse.Contact{Call: call, Verdict: parse.Log, Corrects: true, Text: l.Text}, l)
	return true
}

// asksBegun asks of a call that the same phone told moments ago, or tells now, and that goes on,
// or has a mark, as the other has it, whether it was a station of its own: it may have been that
// one begun. Where both gave a grid, both are stations.
func (b *book) asksBegun(l *filing.Line, c parse.Contact) {
	peers := b.peers(l.Match, l.At())
	told := lastOf(peers, func(old *contact) bool { return old.stands() && old.Call == c.Call })
	if told == nil || !told.plain() || c.Corrects {
		return
	}
	for _, old := range peers {
		if old == told || !old.plain() || !l.FromPhoneOf(old.key.Message) || l.At().Sub(old.sent) > halves {
			continue
		}
		switch lacks := len(told.Grids) == 0; {
		case begins(old.Call, c.Call) && len(old.Grids) == 0:
			old.Why = string(parse.Doubted)
			b.changed(old)
		case begins(old.Call, c.Call) && lacks:
			old.Why = string(parse.Ambiguous)
			old.Candidates = []storage.Candidate{{Call: c.Call, Grids: old.Grids}, {Call: old.Call, Grids: old.Grids}}
			b.changed(old)
		case begins(c.Call, old.Call) && lacks && told.line == l:
			told.Why = string(parse.Doubted)
			b.changed(told)
			return
		}
	}
}

// begins reports whether a call is another one begun, or without its mark.
func begins(part, whole parse.Callsign) bool {
	base := part.Base()
	return part.String() == base && part != whole && strings.HasPrefix(whole.Base(), base)
}

// asksNoMore settles what is asked of contacts that a line tells once more, certain and in
// full: of the same station, by no other line than theirs, or of a grid alone that the same
// phone told moments ago.
func (b *book) asksNoMore(l *filing.Line, c parse.Contact) {
	if c.Verdict != parse.Log || c.Corrects || len(c.Grids) == 0 {
		return
	}
	peers := b.peers(l.Match, l.At())
	asked := lists.Filter(peers, func(old *contact) bool {
		doubted := old.Call == c.Call && len(old.by) == 1 && (old.Why == string(parse.Doubted) || old.Why == string(parse.Ambiguous) || old.Why == string(parse.Repaired))
		near := l.FromPhoneOf(old.key.Message) && l.At().Sub(old.sent) <= halves
		return old.State == "" && (doubted || near && old.lacksCall()) && slices.Equal(old.Grids, c.Grids)
	})
	if len(asked) == 0 {
		return
	}
	by := lastOf(peers, func(told *contact) bool {
		return told.whole() && told.Call == c.Call && slices.Equal(told.Grids, c.Grids)
	})
	for _, old := range asked {
		if by != nil {
			old.State, old.joined = storage.Dropped, by
			b.changed(old)
		}
	}
}

// waiting is the contact that waits for its pass and is told once more, with a time or a bird
// by which it is one of those that are asked about.
func (b *book) waiting(l *filing.Line, c parse.Contact) *contact {
	if c.Verdict != parse.Log || c.Corrects || c.Heard || !l.Match.Named && !c.Clock.IsSet() {
		return nil
	}
	return lastOf(b.contacts, func(old *contact) bool {
		same := old.Call == c.Call && slices.Equal(old.Grids, c.Grids) && l.FromPhoneOf(old.key.Message)
		return old.waits() && old.plain() && same && filing.Holds(old.m.Rivals, l.Match.Pass.ID) && l.At().Sub(old.sent) < filing.LookBack
	})
}

// compose makes a new contact of a reading.
func (d *derivation) compose(l *filing.Line, r parse.Contact, place int) {
	if !filing.IsSome(r) {
		return
	}
	m := l.Match
	if r.Clock != cmp.Or(l.Inline(), l.Clock) {
		m = d.Match(l, r.Clock)
	}
	if n := l.Names; n != nil && n.IsBirded() { // its words are about the pass
		r.Heard, r.Comment = false, ""
		if bird, ok := d.Bird(n.Bird); ok && n.Bird != "" {
			m, _ = d.NearestOfBird(bird.Catalog, l.At(), filing.LookBack)
		} else {
			m = d.NotOn(n.Off, l.At())
		}
	}
	c := &contact{
		key: storage.ContactKey{Message: l.Message.Said.Message, Line: l.Number, Place: place},
		m:   m, line: l, sent: l.At(),
		Contact: storage.Contact{
			Why: string(r.Why), Call: r.Call, Grids: r.Grids, Candidates: filing.Candidates(r),
			Name: r.Name, Report: r.Report, Sent: r.ReportSent, Note: r.Comment, Mode: r.Mode, Text: r.Text, Clock: r.Clock,
			Message: l.Message.Said.Message, Line: l.Number,
		},
	}
	if r.Why == parse.NoGrid {
		c.Why = ""
	}
	if r.Heard {
		c.State, c.Why = storage.Heard, ""
	}
	if about := l.Names != nil && !l.Names.Open && !l.Names.Plain; (about || r.Corrects && r.Call.IsValid()) && c.Why == "" && !r.Heard {
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
		if old.asksGrid() || old.lacksGrid() || old == last && (old.whole() || old.onlyHeard()) {
			first = append(first, storage.Candidate{Call: old.Call, Grids: c.Grids})
		}
	}
	c.Candidates = append(first, c.Candidates...)
}

// mayCorrect reports whether a grid alone may put right that of a contact which it was
// offered to: it is a symbol off.
func (b *book) mayCorrect(grid *contact) bool {
	return slices.ContainsFunc(b.peers(grid.m, grid.sent), func(old *contact) bool {
		offered := func(o storage.Candidate) bool { return o.Call == old.Call }
		return old.whole() && slices.ContainsFunc(grid.Candidates, offered) &&
			slip.Slips(old.Grids[0].Square().String(), grid.Grids[0].Square().String()) == 1
	})
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
func (b *book) target(l *filing.Line, c parse.Contact) *contact {
	if c.Corrects {
		return b.corrected(l, c)
	}
	if c.Heard {
		return lastOf(called(lists.Filter(b.peers(l.Match, l.At()), (*contact).plain), c.Call), (*contact).stands)
	}
	peers := b.peers(l.Match, l.At())
	last := lastOf(peers, func(c *contact) bool { return c.stands() && l.FromPhoneOf(c.key.Message) })
	latest := true
	for _, old := range slices.Backward(peers) {
		if old.State == storage.Dropped {
			continue
		}
		follows := old == last && l.At().Sub(old.sent) <= halves
		switch {
		case absorbs(old, c), (latest || !c.Clock.IsSet() && !c.Offset.IsSet()) && tellsMore(old, c):
			return old
		case !l.FromPhoneOf(old.key.Message) && (!c.Call.IsValid() || !old.Call.IsValid()):
			continue // two phones' halves are no contact: asked
		case len(c.Grids) > 0 && old.plain() && len(old.Grids) == 0:
			if c.Why == parse.NoCall && follows || (c.Verdict == parse.Log || c.Why == parse.Doubted) && c.Call == old.Call {
				return old
			}
		case c.Why == parse.NoCall && old.asksGrid() && follows:
			return old
		case c.Why == parse.NoGrid && old.lacksCall() && follows && !b.mayCorrect(old) && !slices.ContainsFunc(peers, (*contact).lacksGrid):
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

// tellsMore reports whether a reading tells a contact once more, with a name
// or a report that lacked.
func tellsMore(old *contact, c parse.Contact) bool {
	adds := c.Name != "" && old.Name == "" || c.Report != "" && old.Report == ""
	same := (c.Name == "" || old.Name == "" || c.Name == old.Name) && (c.Report == "" || old.Report == "" || c.Report == old.Report)
	return adds && same && old.plain() && c.Call == old.Call && c.Verdict == parse.Log && slices.Equal(c.Grids, old.Grids)
}

// corrected is the contact that a correction means: the one whose call it names,
// before or now, else the last one, be it one that was just taken back.
func (b *book) corrected(l *filing.Line, c parse.Contact) *contact {
	of := b.peers(l.Match, l.At())
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
	case c.Was.IsValid() && c.Was != c.Call:
		return nil
	}
	meant := func(old *contact) bool { return old.stands() || old.retracted }
	last := lastOf(of, meant)
	if earlier := called(b.contacts, c.Call); len(earlier) > 0 && last != nil && (c.Was.IsValid() || slip.Slips(c.Call.Base(), last.Call.Base()) > 2) {
		of, by := earlier[0].m.Group(), func(old *contact) bool { return old.m.Group() != earlier[0].m.Group() }
		if slices.ContainsFunc(earlier, by) || l.Bird != nil || of == l.Match.Group() {
			return nil
		}
		return earlier[len(earlier)-1]
	}
	if c.Was.IsValid() || l.Bird == nil && last != lastOf(b.contacts, meant) || last != nil && !l.FromPhoneOf(last.key.Message) {
		return nil // it stands elsewhere, or another phone told it, or it is another station: asked
	}
	return last
}

// called are those of some contacts that a call names: with its marks or, where none has
// them, without.
func called(contacts []*contact, call parse.Callsign) []*contact {
	stands := lists.Filter(contacts, func(c *contact) bool { return c.stands() && call.IsValid() && call.Names(c.Call) })
	if exact := lists.Filter(stands, func(c *contact) bool { return c.Call == call }); len(exact) > 0 {
		return exact
	}
	return stands
}

// takesKept takes the contacts that a line is known to have come to before evidence
// was kept, while it says the same.
func (d *derivation) takesKept(l *filing.Line) bool {
	kept := l.Message.Said.Kept
	if l.Number > len(kept) || kept[l.Number-1].Text != l.Text || len(kept[l.Number-1].Contacts) == 0 {
		return false
	}
	for i, c := range kept[l.Number-1].Contacts {
		m := filing.Match{Reason: filing.ByReply, Named: c.Named}
		if pass, ok := d.Pass(c.Pass); ok {
			m = d.Under(pass, filing.ByReply)
		} else if bird, ok := d.Catalogued(c.Bird.Catalog); ok && c.Bird.Name != "" {
			m.Bird = bird
		}
		old := &contact{
			key: storage.ContactKey{Message: l.Message.Said.Message, Line: l.Number, Place: i + 1},
			m:   m, line: l, sent: l.At(), kept: true, Contact: c,
			ownCall: c.OwnCall, ownGrids: c.OwnGrids,
		}
		l.Match = m
		d.add(old)
		d.touch(old, l)
	}
	return true
}
