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
	"skyslate/storage"
)

// Derive works out what evidence comes to, in its order. It is a pure function:
// the same facts and evidence always give the same log.
func Derive(f filing.Facts, evidence []storage.Evidence) Log {
	d := derive(&f, evidence)
	d.settle()
	return d.log()
}

// Where says which pass the last message of the evidence belongs to.
func Where(f filing.Facts, evidence []storage.Evidence) filing.Match {
	d := derive(&f, evidence)
	said := d.Order[len(d.Order)-1]
	return said.Lines[len(said.Lines)-1].Match
}

// derive goes through the evidence, and once more with each answer that was given
// further on by naming a bird.
func derive(f *filing.Facts, evidence []storage.Evidence) *derivation {
	t := filing.Collect(f, evidence)
	typed := map[filing.DeliveryID][]filing.Answer{}
	for {
		b := &book{Facts: f, byKey: map[storage.ContactKey]*contact{}, groups: map[filing.GroupKey]*group{}}
		rec := &recordings{book: b}
		d := &derivation{
			book: b, Correspondence: t, recordings: rec, settler: settler{b}, typed: typed, carried: map[int64]*carry{},
			Facts: f,
		}
		d.Finder = filing.NewFinder(f, t, d)
		d.takeAnswers(evidence)
		d.run(evidence)
		if !d.again {
			return d
		}
	}
}

// derivation is one run over the evidence.
type derivation struct {
	*filing.Facts
	*book
	*filing.Correspondence
	*recordings
	filing.Finder
	settler
	carried map[int64]*carry // by phone

	// typed are answers that were given by naming a bird: by delivery. again says
	// that one was found, so that the evidence is to be gone through with it.
	typed map[filing.DeliveryID][]filing.Answer
	again bool
}

func (d *derivation) run(evidence []storage.Evidence) {
	var v *filing.Delivery
	for i := range evidence {
		ev := &evidence[i]
		if ev.Undone {
			continue
		}
		switch ev.Kind {
		case storage.EvSaid:
			m := d.Messages[ev.Message]
			if m == nil || m.Said != ev {
				continue
			}
			if m.Delivery != v {
				v = m.Delivery
				d.Weigh(v)
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
	for _, v := range d.Deliveries {
		v.Answers, v.InOrder = nil, false
		for i := range evidence {
			ev := &evidence[i]
			switch {
			case !v.ID().AnsweredBy(ev):
			case ev.Pass == "":
				v.InOrder = true
			default:
				v.Answers = append(v.Answers, filing.Answer{Pass: ev.Pass, At: ev.At})
			}
		}
		v.Answers = append(v.Answers, d.typed[v.ID()]...)
	}
}

// tapped takes a pass chosen by a tap: for what comes and, where no delivery is
// named, for what waits.
func (d *derivation) tapped(ev *storage.Evidence) {
	pass, ok := d.Pass(ev.Pass)
	if !ok {
		return
	}
	d.Hold = &filing.Hold{Pass: pass, At: ev.At, Answers: !ev.Delivery.IsZero()}
	if ev.Delivery.IsZero() {
		d.answerFor(pass, ev.At, func(c *contact) bool { return c.canBe(pass) })
		return
	}
	for _, c := range d.contacts { // and for all that the same was asked of
		if c.line.Message.Delivery.ID().AnsweredBy(ev) && len(c.m.Offered) > 0 {
			d.answerFor(pass, ev.At, func(other *contact) bool { return samePasses(other.m.Rivals, c.m.Offered) })
		}
	}
}

// answerFor takes a pass as the answer for the deliveries that hold a contact for
// which it is one.
func (d *derivation) answerFor(pass storage.Pass, at time.Time, waits func(*contact) bool) {
	for _, c := range d.contacts {
		delivery := c.line.Message.Delivery.ID()
		known := slices.ContainsFunc(d.typed[delivery], func(a filing.Answer) bool { return a.Pass == pass.ID && !a.At.Before(at) })
		if !known && c.State != storage.Dropped && waits(c) {
			d.typed[delivery], d.again = append(d.typed[delivery], filing.Answer{Pass: pass.ID, At: at}), true
		}
	}
}

// canBe reports whether a contact waits for its pass, and it can be a given one.
func (c *contact) canBe(pass storage.Pass) bool {
	return filing.Holds(c.m.Rivals, pass.ID) || c.m.Reason == filing.ByNothing
}

// hear takes a message, line by line.
func (d *derivation) hear(m *filing.Message) {
	m.Outcome = filing.Outcome{}
	for _, l := range m.Lines {
		l.Match, l.Came, l.Named = filing.Match{}, nil, false
		if strings.TrimSpace(l.Text) == "" {
			continue
		}
		d.hearLine(l)
		if l.Match.Pass.ID != "" && !l.Theirs {
			d.Last = l
		}
	}
}

// hearLine takes a line, by what it is about.
func (d *derivation) hearLine(l *filing.Line) {
	if d.takesKept(l) {
		return
	}
	clock := cmp.Or(l.Inline(), l.Clock)
	if l.Theirs {
		d.hearTheirs(l, clock)
		return
	}
	if !clock.IsSet() && !l.Clear {
		clock = d.stillHolds(l)
	}
	l.Match = d.Match(l, clock)
	switch {
	case l.Asks != nil:
		l.Message.Outcome.Questions = append(l.Message.Outcome.Questions, *l.Asks)
	case len(l.About) > 0:
		d.ofNumber(l)
	case l.Names != nil && d.ofCall(l), d.answersSlate(l), d.tellsSlate(l):
	case l.Alone:
		if !d.rebird(l) {
			d.named(l)
		}
	default:
		d.hearTold(l, clock)
	}
}

// hearTold takes a line of which contacts, or halves of them, are made.
func (d *derivation) hearTold(l *filing.Line, clock parse.Clock) {
	if l.Match.Reason == filing.ByNotUp && l.Tells() {
		l.Message.Outcome.NotUp = l.Bird.Name
	}
	switch rest, same := idiom.WithoutSame(l.Text); {
	case l.Look.Clock.IsSet() && !l.Tells() && l.Message.Said.Reply == nil:
		d.carry(l)
	case same && rest == "":
		d.sameAlone(l)
	case d.figuresAlone(l):
	default:
		d.hearContacts(l, clock)
	}
}

// hearContacts takes what is read on a line: an answer, or contacts.
func (d *derivation) hearContacts(l *filing.Line, clock parse.Clock) {
	read := d.read(l)
	if read.Asks {
		d.inquire(l, read)
		return
	}
	if l.Message.Said.Reply != nil && d.reply(l, read) {
		return
	}
	switch {
	case talksOf(d, l):
		return
	case read.Withdraws:
		d.takesBack(l)
	case read.Denies, d.headsInTheMiddle(l):
		d.doubtLast(l)
	}
	if len(read.Contacts) == 0 && idiom.IsReport(l.Text) {
		l.Message.Outcome.Ignored = filing.WhichOne
	}
	_, same := idiom.WithoutSame(l.Text)
	for i, c := range read.Contacts {
		if same && d.lacksToo(l, c) {
			l.Message.Outcome.Ignored = filing.NoneGiven
			continue
		}
		if isUnheard(l, c) && len(called(lists.Filter(d.peers(l.Match, l.At()), (*contact).plain), c.Call)) == 0 {
			l.Message.Outcome.Ignored = filing.NotHeard
			continue
		}
		d.take(l, c, i+1, clock)
	}
}

// isUnheard reports whether a line, or the one that heads it, says of a station that it was not
// heard: that is no contact, and nobody heard.
func isUnheard(l *filing.Line, c parse.Contact) bool {
	if !c.Heard || c.Comment != "" {
		return c.Heard && idiom.Unheard(c.Comment)
	}
	for _, above := range slices.Backward(l.Message.Lines[:l.Row-1]) {
		if above.Look.Headed {
			return idiom.Unheard(strings.TrimRight(above.Text, ": "))
		}
	}
	return false
}

// headsInTheMiddle reports whether a line of words that keep contacts out of the log stands
// right below one that tells a contact of the same message, without a colon: it may mean that
// one as well as those below.
func (d *derivation) headsInTheMiddle(l *filing.Line) bool {
	above := l.Row - 2
	return l.Look.Headed && l.Look.Heads.Why != "" && !strings.HasSuffix(strings.TrimSpace(l.Text), ":") &&
		above >= 0 && l.Message.Lines[above].Tells()
}

// inquire takes a line that asks whether stations were worked. Nothing of it is filed,
// also not under a bird that had no pass.
func (d *derivation) inquire(l *filing.Line, read parse.Line) {
	said := &l.Message.Outcome
	said.NotUp = ""
	for _, c := range read.Contacts {
		asked := filing.Inquiry{Station: parse.Station{Call: c.Call, Grids: c.Grids}}
		if b := l.Bird; b != nil && l.Look.Bird != "" {
			asked.Bird = storage.BirdRef{Name: b.Name, LogName: b.LogName, Catalog: b.Catalog}
		}
		said.Asks = append(said.Asks, asked)
	}
}

// hearTheirs takes a line that somebody else wrote. Stations that it tells are asked, as
// new contacts, unless the operator told the same; what it says beside them is not the
// operator's.
func (d *derivation) hearTheirs(l *filing.Line, clock parse.Clock) {
	l.Match = d.Match(l, clock)
	read := d.read(l)
	if l.Alone || l.Slate.Set || read.Asks {
		return
	}
	for i, c := range read.Contacts {
		known := slices.ContainsFunc(d.contacts, func(own *contact) bool {
			return !own.line.Theirs && own.stands() && own.m.Pass.ID == l.Match.Pass.ID && own.Call == c.Call && slices.Equal(own.Grids, c.Grids)
		})
		if c.Corrects || known || isUnheard(l, c) || !c.Call.IsValid() && len(c.Candidates) == 0 {
			continue
		}
		c.Heard, c.Offset, c.Clock = false, parse.Offset{}, cmp.Or(c.Clock, clock)
		d.compose(l, c, i+1)
	}
}

// askedOf are the passes of a bird that contacts wait for to hear whether they are theirs.
func (d *derivation) askedOf(catalog int) (asked []storage.Pass) {
	for _, c := range lists.Filter(d.contacts, (*contact).waits) {
		for _, p := range c.m.Rivals {
			if p.Bird.Catalog == catalog && !filing.Holds(asked, p.ID) {
				asked = append(asked, p)
			}
		}
	}
	return asked
}

// named takes a bird's name on a line of its own. Where it heads its delivery, or was sent at
// once and doesn't stand between contacts of its message, it answers what was asked before,
// whatever comes after it, if one of the passes asked about is of that bird. Between contacts
// it heads those below it: what stands above it may be of any pass.
func (d *derivation) named(l *filing.Line) {
	m, v := l.Match, l.Message.Delivery
	switch {
	case m.Reason == filing.ByNotUp:
		l.Message.Outcome.NotUp = l.Bird.Name
		d.Hold = nil
	case m.Pass.ID != "":
		if asked := d.askedOf(m.Pass.Bird.Catalog); len(asked) == 1 && !filing.Holds(asked, m.Pass.ID) && !m.Pass.Up(l.At()) {
			m.Pass = asked[0] // a later one has passed since
		}
		d.Hold = &filing.Hold{Pass: m.Pass, At: l.At()}
		atOnce := !v.Held && !isBetween(l)
		if above := v.Lines[:slices.Index(v.Lines, l)]; atOnce || !slices.ContainsFunc(above, (*filing.Line).Tells) {
			ofBird := func(p storage.Pass) bool { return p.Bird.Catalog == m.Pass.Bird.Catalog }
			d.answerFor(m.Pass, l.At(), func(c *contact) bool {
				return (atOnce || c.line.Message.Delivery != v) && c.canBe(m.Pass) && len(lists.Filter(c.m.Rivals, ofBird)) < 2
			})
		}
	case m.Bird.Name != "":
		d.Hold = &filing.Hold{Bird: m.Bird, At: l.At()}
	}
}

// isBetween reports whether contacts of its message stand both above a line and below it.
func isBetween(l *filing.Line) bool {
	tells := func(other *filing.Line) bool { return other.Tells() && !other.Theirs }
	return slices.ContainsFunc(l.Message.Lines[:l.Row-1], tells) && slices.ContainsFunc(l.Message.Lines[l.Row:], tells)
}
