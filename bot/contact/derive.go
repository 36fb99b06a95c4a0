package contact

import (
	"cmp"
	"slices"
	"strings"

	"skyslate/bot/idiom"
	"skyslate/parse"
	"skyslate/storage"
)

// Derive works out what evidence comes to, in its order. It is a pure function:
// the same facts and evidence always give the same log.
func Derive(f Facts, evidence []storage.Evidence) Log {
	d := derive(&f, evidence)
	d.settle()
	return d.log()
}

// Where says which pass the last message of the evidence belongs to.
func Where(f Facts, evidence []storage.Evidence) Match {
	d := derive(&f, evidence)
	said := d.order[len(d.order)-1]
	return said.lines[len(said.lines)-1].match
}

// derive goes through the evidence, and once more with each answer that was given
// further on by naming a bird.
func derive(f *Facts, evidence []storage.Evidence) *derivation {
	f.Passes = once(f.Passes)
	t := collect(f, evidence)
	typed := map[int64]storage.PassID{}
	for {
		b := &book{Facts: f, byKey: map[storage.ContactKey]*contact{}, groups: map[groupKey]*group{}}
		rec := &recordings{book: b}
		d := &derivation{
			book: b, correspondence: t, recordings: rec, settler: settler{b}, typed: typed, carried: map[int64]*carry{},
			Facts: f,
		}
		d.finder = newFinder(f, t, d)
		d.takeAnswers(evidence)
		d.run(evidence)
		if !d.again {
			return d
		}
	}
}

// derivation is one run over the evidence.
type derivation struct {
	*Facts
	*book
	*correspondence
	*recordings
	finder
	settler
	carried map[int64]*carry // by phone

	// typed are answers that were given by naming a bird: by delivery. again says
	// that one was found, so that the evidence is to be gone through with it.
	typed map[int64]storage.PassID
	again bool
}

func (d *derivation) run(evidence []storage.Evidence) {
	var v *delivery
	for i := range evidence {
		ev := &evidence[i]
		if ev.Undone {
			continue
		}
		switch ev.Kind {
		case storage.EvSaid:
			m := d.messages[ev.Message]
			if m == nil || m.said != ev {
				continue
			}
			if m.delivery != v {
				v = m.delivery
				d.weigh(v)
			}
			d.hear(m)
		case storage.EvAnswer:
			if c := d.byKey[ev.Contact]; c != nil {
				d.answer(c, ev)
			}
		case storage.EvPass:
			d.tapped(ev)
		case storage.EvSlate:
			d.tell(*ev.Recording, ev.Slate, nil)
		case storage.EvChange:
			d.change(ev)
		}
		if d.again {
			return
		}
	}
}

// takeAnswers gives deliveries the answers to the question which pass is meant.
func (d *derivation) takeAnswers(evidence []storage.Evidence) {
	for _, v := range d.deliveries {
		v.answers, v.inOrder = nil, false
		for i := range evidence {
			ev := &evidence[i]
			if ev.Undone || ev.Kind != storage.EvPass || !ev.Delivery.Equal(v.began) {
				continue
			}
			if ev.Pass == "" {
				v.inOrder = true
			} else {
				v.answers = append(v.answers, ev.Pass)
			}
		}
		if id, ok := d.typed[v.began.UnixNano()]; ok {
			v.answers = append(v.answers, id)
		}
	}
}

// tapped takes a pass chosen by a tap: for what comes and, where no delivery is
// named, for what waits.
func (d *derivation) tapped(ev *storage.Evidence) {
	pass, ok := d.Pass(ev.Pass)
	if !ok {
		return
	}
	d.hold = &hold{pass: pass, at: ev.At}
	if ev.Delivery.IsZero() {
		d.answerFor(pass, func(c *contact) bool { return c.canBe(pass) })
		return
	}
	for _, c := range d.contacts { // and for all that the same was asked of
		if c.line.message.delivery.began.Equal(ev.Delivery) && len(c.m.offered) > 0 {
			d.answerFor(pass, func(other *contact) bool { return samePasses(other.m.Rivals, c.m.offered) })
		}
	}
}

// answerFor takes a pass as the answer for the deliveries that hold a contact for
// which it is one.
func (d *derivation) answerFor(pass storage.Pass, waits func(*contact) bool) {
	for _, c := range d.contacts {
		delivery := c.line.message.delivery.began.UnixNano()
		if _, known := d.typed[delivery]; !known && c.State != storage.Dropped && waits(c) {
			d.typed[delivery], d.again = pass.ID, true
		}
	}
}

// canBe reports whether a contact waits for its pass, and it can be a given one.
func (c *contact) canBe(pass storage.Pass) bool {
	return holds(c.m.Rivals, pass.ID) || c.m.Reason == ByNothing
}

// hear takes a message, line by line.
func (d *derivation) hear(m *message) {
	m.outcome = Message{}
	for _, l := range m.lines {
		l.match, l.came, l.named = Match{}, nil, false
		if strings.TrimSpace(l.text) == "" {
			continue
		}
		d.hearLine(l)
		if l.match.Pass.ID != "" && !l.theirs {
			d.last = l
		}
	}
}

// hearLine takes a line, by what it is about.
func (d *derivation) hearLine(l *line) {
	if d.takesKept(l) {
		return
	}
	clock := cmp.Or(l.inline(), l.clock)
	if l.theirs {
		d.hearTheirs(l, clock)
		return
	}
	if !clock.IsSet() && !l.clear {
		clock = d.stillHolds(l)
	}
	l.match = d.match(l, clock)
	switch {
	case l.asks != nil:
		l.message.outcome.Questions = append(l.message.outcome.Questions, *l.asks)
	case len(l.about) > 0:
		d.ofNumber(l)
	case l.names != nil && d.ofCall(l), d.answersSlate(l), d.tellsSlate(l):
	case l.alone:
		if !d.rebird(l) {
			d.named(l)
		}
	default:
		d.hearTold(l, clock)
	}
}

// hearTold takes a line of which contacts, or halves of them, are made.
func (d *derivation) hearTold(l *line, clock parse.Clock) {
	if l.match.Reason == ByNotUp && l.tells() {
		l.message.outcome.NotUp = l.bird.Name
	}
	switch rest, same := idiom.WithoutSame(l.text); {
	case l.look.Clock.IsSet() && !l.tells() && l.message.said.Reply == nil:
		d.carry(l)
	case same && rest == "":
		d.sameAlone(l)
	case d.figuresAlone(l):
	default:
		d.hearContacts(l, clock)
	}
}

// hearContacts takes what is read on a line: an answer, or contacts.
func (d *derivation) hearContacts(l *line, clock parse.Clock) {
	read := d.read(l)
	if read.Asks {
		d.inquire(l, read)
		return
	}
	if l.message.said.Reply != nil && d.reply(l, read) {
		return
	}
	switch {
	case read.Withdraws:
		d.takesBack(l)
	case read.Denies, d.headsInTheMiddle(l):
		d.doubtLast(l)
	}
	if len(read.Contacts) == 0 && idiom.IsReport(l.text) {
		l.message.outcome.Ignored = WhichOne
	}
	_, same := idiom.WithoutSame(l.text)
	for i, c := range read.Contacts {
		if same && d.lacksToo(l, c) {
			l.message.outcome.Ignored = NoneGiven
			continue
		}
		d.take(l, c, i+1, clock)
	}
}

// headsInTheMiddle reports whether a line of words that keep contacts out of the log stands
// right below one that tells a contact of the same message, without a colon: it may mean that
// one as well as those below.
func (d *derivation) headsInTheMiddle(l *line) bool {
	above := l.row - 2
	return l.look.Headed && l.look.Heads.Why != "" && !strings.HasSuffix(strings.TrimSpace(l.text), ":") &&
		above >= 0 && l.message.lines[above].tells()
}

// inquire takes a line that asks whether stations were worked. Nothing of it is filed,
// also not under a bird that had no pass.
func (d *derivation) inquire(l *line, read parse.Line) {
	said := &l.message.outcome
	said.NotUp = ""
	for _, c := range read.Contacts {
		asked := Inquiry{Station: parse.Station{Call: c.Call, Grids: c.Grids}}
		if b := l.bird; b != nil && l.look.Bird != "" {
			asked.Bird = storage.BirdRef{Name: b.Name, LogName: b.LogName, Catalog: b.Catalog}
		}
		said.Asks = append(said.Asks, asked)
	}
}

// hearTheirs takes a line that somebody else wrote. Stations that it tells are asked, as
// new contacts, unless the operator told the same; what it says beside them is not the
// operator's.
func (d *derivation) hearTheirs(l *line, clock parse.Clock) {
	l.match = d.match(l, clock)
	read := d.read(l)
	if l.alone || l.slate.Set || read.Asks {
		return
	}
	for i, c := range read.Contacts {
		known := slices.ContainsFunc(d.contacts, func(own *contact) bool {
			return !own.line.theirs && own.stands() && own.m.Pass.ID == l.match.Pass.ID && own.Call == c.Call && slices.Equal(own.Grids, c.Grids)
		})
		if c.Corrects || known || !c.Call.IsValid() && len(c.Candidates) == 0 {
			continue
		}
		c.Heard, c.Offset, c.Clock = false, parse.Offset{}, cmp.Or(c.Clock, clock)
		d.compose(l, c, i+1)
	}
}

// askedOf are the passes of a bird that contacts wait for to hear whether they are theirs.
func (d *derivation) askedOf(catalog int) (asked []storage.Pass) {
	for _, c := range filter(d.contacts, (*contact).waits) {
		for _, p := range c.m.Rivals {
			if p.Bird.Catalog == catalog && !holds(asked, p.ID) {
				asked = append(asked, p)
			}
		}
	}
	return asked
}

// named takes a bird's name on a line of its own. Where it heads its delivery, or is a
// message that was sent at once, it answers what was asked before, whatever comes below
// it, if one of the passes asked about is of that bird.
func (d *derivation) named(l *line) {
	m, v := l.match, l.message.delivery
	switch {
	case m.Reason == ByNotUp:
		l.message.outcome.NotUp = l.bird.Name
		d.hold = nil
	case m.Pass.ID != "":
		if asked := d.askedOf(m.Pass.Bird.Catalog); len(asked) == 1 && !holds(asked, m.Pass.ID) && !m.Pass.Up(l.at()) {
			m.Pass = asked[0] // a later one has passed since
		}
		d.hold = &hold{pass: m.Pass, at: l.at()}
		atOnce := !v.held && len(l.message.lines) == 1
		if above := v.lines[:slices.Index(v.lines, l)]; atOnce || !slices.ContainsFunc(above, (*line).tells) {
			ofBird := func(p storage.Pass) bool { return p.Bird.Catalog == m.Pass.Bird.Catalog }
			d.answerFor(m.Pass, func(c *contact) bool {
				return (atOnce || c.line.message.delivery != v) && c.canBe(m.Pass) && len(filter(c.m.Rivals, ofBird)) < 2
			})
		}
	case m.Bird.Name != "":
		d.hold = &hold{bird: m.Bird, at: l.at()}
	}
}
