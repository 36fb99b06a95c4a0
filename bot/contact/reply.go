package contact

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"skyslate/bot/filing"
	"skyslate/bot/idiom"
	"skyslate/bot/lists"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/parse/slip"
	"skyslate/predict"
	"skyslate/storage"
)

// reply completes or corrects the contact that the answered message is about;
// false if it is about none, or the answer is a contact of its own.
func (d *derivation) reply(l *filing.Line, read parse.Line) bool {
	r := l.Message.Said.Reply
	targets := lists.Filter(d.answered(r), (*contact).stands)
	if len(targets) == 0 || len(l.Message.Lines) != 1 || r.Voice != 0 {
		return false
	}
	return d.takeAnswer(l, read, targets, r.List)
}

// rebird moves the contacts that a line answers to the bird that it names and does
// nothing else; false if it answers none.
func (d *derivation) rebird(l *filing.Line) bool {
	r := l.Message.Said.Reply
	if !l.Message.AnswersContact() || r.List {
		return false
	}
	targets := lists.Filter(d.answered(r), (*contact).stands)
	for _, c := range targets {
		d.toBird(c, *l.Bird, l.Clock, l)
	}
	return len(targets) > 0
}

// toBird moves a contact to a pass of the bird that a line about it names.
func (d *derivation) toBird(c *contact, bird predict.Bird, clock parse.Clock, l *filing.Line) {
	m, ok := d.underBird(c, bird, clock)
	if !ok {
		l.Message.Outcome.NotUp = bird.Name
		return
	}
	if !clock.IsSet() && !mayBeOf(&d.settler, c, m.Pass) {
		said := &l.Message.Outcome
		said.Ignored, said.Which, said.NotUp = filing.NotThen, append(said.Which, c.key), bird.Name
		return
	}
	d.move(c, m)
	c.m.Late, l.Match = m.Late, c.m
	d.touch(c, l)
}

// mayBeOf reports whether a contact can have been made on a pass, as far as its time is known.
func mayBeOf(s *settler, c *contact, pass storage.Pass) bool {
	then := *c
	s.date(&then)
	return pass.ID == "" || c.m.Pass.ID == "" || then.TimeSource == storage.FromPass || timing.Apart(pass, then.Time) <= filing.Lingering
}

// underBird matches the pass of a bird for a contact: at the time that is told, the only
// one asked about, or the nearest; false where there was none at that time.
func (d *derivation) underBird(c *contact, bird predict.Bird, clock parse.Clock) (m filing.Match, ok bool) {
	when, within := d.momentOf(c), filing.LookBack
	if clock.IsSet() {
		when, within = timing.Nearest(clock, when), timing.ClockSlack
	}
	asked := lists.Filter(c.m.Rivals, func(p storage.Pass) bool { return p.Bird.Catalog == bird.Catalog })
	if len(asked) == 1 && !clock.IsSet() {
		m, ok = d.Under(asked[0], filing.ByName), true
	} else if m, ok = d.NearestOfBird(bird.Catalog, when, within); !ok && !clock.IsSet() {
		m, ok = filing.Match{Bird: bird, Reason: filing.ByName}, true
	}
	m.Named, m.Late = true, c.m.Late
	return m, ok
}

// ofNumber takes what a line says of contacts by their numbers: of each number it is kept
// what it meant, so that there may not be very many.
func (d *derivation) ofNumber(l *filing.Line) {
	if len(l.About) > idiom.MostNumbers {
		l.Message.Outcome.Ignored = filing.TooMany
		return
	}
	read := d.read(l)
	if reportAndGrid(d, l, read) {
		return
	}
	bird, names := d.Bird(strings.TrimSpace(l.Text))
	if !names {
		bird, names = d.Bird(idiom.WithoutOn(l.Text))
	}
	_, says := answerIn(read)
	says = says || names || read.Withdraws || idiom.IsMark(l.Text)
	if l.Where != "" && l.Message.Said.Reply == nil { // of a pass that was not found
		l.Message.Outcome.Ignored = filing.NoNumber
		return
	}
	found := d.numbered(l)
	if l.Place != idiom.OfLists && len(found) > len(l.About) { // of several it could be
		l.Message.Outcome.Ignored, l.Message.Outcome.Which = filing.WhichOne, keysOf(found)
		return
	}
	if len(found) < len(l.About) && says {
		l.Message.Outcome.Ignored = filing.NoNumber
	}
	if slices.ContainsFunc(found, func(c *contact) bool { return c.m.Group() != found[0].m.Group() }) {
		l.Message.Outcome.Ignored = filing.WhichOne
		if len(l.About) == 1 {
			l.Message.Outcome.Which = keysOf(found)
		}
		return
	}
	for _, c := range found {
		switch {
		case names:
			d.toBird(c, bird, l.Clock, l)
		case idiom.IsWrong(l.Text):
			l.Message.Outcome.Ignored = filing.NotRight
		default:
			d.takeAnswer(l, read, []*contact{c}, false)
		}
	}
}

// reportAndGrid takes a number and a grid that are all of a line as the report and the grid of
// the last contact, which has no grid, where no contact has that number.
func reportAndGrid(d *derivation, l *filing.Line, read parse.Line) bool {
	report, ok := idiom.BareReport(fmt.Sprint(l.About[0]))
	c, says := answerIn(read)
	last := d.lastPeer(l.Match, l.At())
	if !ok || !says || len(l.About) > 1 || len(c.Grids) == 0 || last == nil || !last.lacksGrid() || !l.FromPhoneOf(last.key.Message) || len(d.numbered(l)) > 0 {
		return false
	}
	c.Report, c.Corrects = report, false
	d.amend(last, c, l)
	return true
}

// numbered are the contacts that a line names by their numbers: those of one pass that has
// them all, or else some of them. Of several passes they are those of each.
func (d *derivation) numbered(l *filing.Line) []*contact {
	if chosen := d.byKey[l.Message.Means]; chosen != nil && chosen.stands() {
		return []*contact{chosen}
	}
	if l.Place != idiom.OfLists {
		by := fmt.Sprint(l.Place, l.About)
		return lists.Filter(d.meantBy(l, by, func(m filing.Match) []*contact { return atPlaces(d, l, m) }, nil), (*contact).stands)
	}
	on := func(least int) func(filing.Match) []*contact {
		return func(m filing.Match) (found []*contact) {
			for _, n := range l.About {
				key, _ := d.Numbered(m.Pass.ID, n, l.Message.Said.Message)
				if c := d.byKey[key]; c != nil && c.stands() {
					found = append(found, c)
				}
			}
			if len(found) < least {
				return nil
			}
			return found
		}
	}
	onPass := func(c *contact) bool { return c.m.Pass.ID != "" } // the last one told may wait for its pass
	for _, least := range []int{len(l.About), 1} {
		elsewhere := func() []*contact {
			if last := lastOf(d.contacts, onPass); last != nil {
				return on(least)(last.m)
			}
			return nil
		}
		if found := lists.Filter(d.meantBy(l, fmt.Sprint(l.About, least), on(least), elsewhere), (*contact).stands); len(found) > 0 {
			return found
		}
	}
	return nil
}

// atPlaces are the contacts of a pass that a line names by their places among those that
// stand; where the list has another one at that number it may be either.
func atPlaces(d *derivation, l *filing.Line, m filing.Match) (found []*contact) {
	all := lists.Filter(d.peers(m, l.At()), (*contact).stands)
	if l.Place == idiom.OfTwo {
		return all
	}
	for _, n := range l.About {
		i := n - 1
		if l.Place == idiom.FromLast {
			i = len(all) - n
		}
		if i < 0 || i >= len(all) {
			continue
		}
		found = append(found, all[i])
		key, _ := d.Numbered(m.Pass.ID, n, l.Message.Said.Message)
		if c := d.byKey[key]; l.Place == idiom.FromFirst && c != nil && c != all[i] && c.stands() {
			found = append(found, c)
		}
	}
	return found
}

func keysOf(contacts []*contact) (keys []storage.ContactKey) {
	for _, c := range contacts {
		keys = append(keys, c.key)
	}
	return keys
}

// sameAlone takes "same grid" as all of a line: it is that of the contact answered, or
// of the last one, that has none.
func (d *derivation) sameAlone(l *filing.Line) {
	of := d.peers(l.Match, l.At())
	if r := l.Message.Said.Reply; r != nil {
		of = lists.Filter(d.answered(r), (*contact).stands)
	}
	for _, c := range slices.Backward(of) {
		if !c.plain() || len(c.Grids) > 0 || l.Message.Said.Reply == nil && !l.FromPhoneOf(c.key.Message) {
			continue
		}
		read := parse.Line{Contacts: []parse.Contact{{Call: c.Call, Why: parse.NoGrid, Verdict: parse.Ask, Text: l.Text}}}
		if d.fillSame(l, &read); read.Contacts[0].Why == parse.NoGrid {
			l.Message.Outcome.Ignored = filing.NoneGiven
			return
		}
		d.amend(c, read.Contacts[0], l)
		return
	}
}

// lacksToo reports whether a line says of a contact that was told without a grid that it
// has the same as before, where none was given: it tells nothing new.
func (d *derivation) lacksToo(l *filing.Line, c parse.Contact) bool {
	return c.Why == parse.NoGrid && slices.ContainsFunc(d.peers(l.Match, l.At()), func(old *contact) bool {
		if old.Call != c.Call || !old.plain() || len(old.Grids) > 0 {
			return false
		}
		d.touch(old, l)
		return true
	})
}

// figuresAlone takes two figures that are all of a line as those of the grid that is asked
// of the contact answered, or of the last one: false if none is that they fit.
func (d *derivation) figuresAlone(l *filing.Line) bool {
	figures, ok := idiom.Figures(l.Text)
	if !ok {
		return false
	}
	of := d.peers(l.Match, l.At())
	if r := l.Message.Said.Reply; r != nil {
		of = d.answered(r)
	}
	last := lastOf(of, (*contact).stands)
	if last == nil || !last.asksGrid() {
		return false
	}
	for _, o := range last.Candidates {
		if g := o.Grids; len(g) == 1 && strings.HasSuffix(g[0].Square().String(), figures) {
			d.amend(last, parse.Contact{Call: last.Call, Grids: g, Verdict: parse.Log, Text: l.Text}, l)
			return true
		}
	}
	return false
}

// takeAnswer takes what a line says of contacts that it answers, be they shown among
// others; false if it says nothing of them.
func (d *derivation) takeAnswer(l *filing.Line, read parse.Line, targets []*contact, list bool) bool {
	if read.Withdraws || idiom.Unheard(l.Text) {
		if len(targets) > 1 {
			l.Message.Outcome.Ignored = filing.WhichOne
			return true
		}
		targets[0].State, targets[0].kept = storage.Dropped, false
		d.touch(targets[0], l)
		return true
	}
	if mark, ok := idiom.NotMarked(l.Text); ok && len(targets) == 1 {
		unmark(d, targets[0], mark, l)
		return true
	}
	if len(targets) == 1 && d.besides(targets[0], l.Text, l) {
		return true
	}
	unsure := func(t *contact) bool { return t.State == storage.Heard || t.Note != "" || Questionable(t.Why) }
	c, ok := answerIn(read)
	if !ok && len(targets) == 1 {
		c, ok = shortAnswer(l, targets[0])
	}
	if !ok && len(targets) == 1 && d.stateDial(targets[0], l.Text) {
		d.touch(targets[0], l)
		return true
	}
	switch {
	case !ok:
		return false
	case read.Affirms && !slices.ContainsFunc(targets, unsure):
		return false
	case list && c.Call.IsValid() && !c.Corrects && !slices.ContainsFunc(targets, func(t *contact) bool { return t.Call == c.Call }):
		return false // another station: a late line of that pass
	}
	target := meant(targets, c)
	if target == nil {
		l.Message.Outcome.Ignored = filing.WhichOne
		return true
	}
	if another(target, c) {
		return false
	}
	if says := c.Call.IsValid() || len(c.Grids) > 0 || c.Clock.IsSet(); says && len(l.About) > 0 {
		putRight(d, target, c, l)
	} else {
		d.amend(target, spoken(c, target), l)
	}
	return true
}

// besides takes the name, the report or the place that a text tells of a contact; false if it
// tells none. What is asked of the contact stays asked.
func (d *derivation) besides(c *contact, text string, l *filing.Line) bool {
	told, ok := idiom.Aside(text)
	if !ok && !c.asksGrid() {
		told.Report, ok = idiom.BareReport(text)
	}
	if ok {
		c.note(told)
		d.touch(c, l)
	}
	return ok
}

// answerIn is what a line says about the contact it answers.
func answerIn(line parse.Line) (parse.Contact, bool) {
	switch {
	case len(line.Contacts) == 1:
		c := line.Contacts[0]
		c.Clock = cmp.Or(c.Clock, line.Clock)
		return c, true
	case line.Clock.IsSet():
		return parse.Contact{Clock: line.Clock, Verdict: parse.Log}, true
	case line.Denies, line.Heads.Why == parse.Denied:
		return parse.Contact{Verdict: parse.Log, Heard: true}, true
	case line.Affirms:
		return parse.Contact{Verdict: parse.Log}, true
	}
	after, ok := parse.ParseOffset(line.Text)
	return parse.Contact{Offset: after, Verdict: parse.Log}, ok
}

// meant picks the contact that an answer means: the only one; the one of the same
// call; for a grid alone the only one without. nil if that is not clear.
func meant(targets []*contact, c parse.Contact) *contact {
	if len(targets) == 1 {
		return targets[0]
	}
	fitting := lists.Filter(targets, func(t *contact) bool {
		if c.Call.IsValid() {
			return t.Call == c.Call
		}
		return len(c.Grids) > 0 && len(t.Grids) == 0
	})
	if len(fitting) != 1 {
		return nil
	}
	return fitting[0]
}

// another reports whether an answer tells another station than the contact's: not
// a slip of a character, and not a correction in so many words.
func another(target *contact, c parse.Contact) bool {
	if c.Corrects || !c.Call.IsValid() || !target.Call.IsValid() || c.Call == target.Call || c.Call.Base() == target.Call.Base() {
		return false
	}
	if slices.ContainsFunc(target.Candidates, func(o storage.Candidate) bool { return o.Call == c.Call }) {
		return false
	}
	slips := slip.Slips(c.Call.Base(), target.Call.Base())
	if len(c.Grids) > 0 && len(target.Grids) > 0 && !slices.Equal(c.Grids, target.Grids) {
		return true
	}
	return slips > 2 || slips > 1 && len(c.Grids) > 0
}

// shortAnswer reads an answer of a few letters: what it makes of a contact's call, or
// that this is asked.
func shortAnswer(l *filing.Line, c *contact) (parse.Contact, bool) {
	call, how := idiom.Rewrite(l.Text, c.Call)
	switch how {
	case idiom.Rewritten:
		return parse.Contact{Call: call, Verdict: parse.Log, Text: l.Text}, true
	case idiom.MayRewrite:
		return parse.Contact{
			Call: c.Call, Grids: c.Grids, Verdict: parse.Ask, Why: parse.Ambiguous, Text: l.Text,
			Candidates: []parse.Candidate{{Call: call, Grids: c.Grids}, {Call: c.Call, Grids: c.Grids}},
		}, true
	case idiom.MayNot:
		l.Message.Outcome.Ignored = filing.NoRewrite
	}
	return parse.Contact{}, false
}

// PassOf is the pass of the contacts that an answer is about.
func (d *derivation) PassOf(r *storage.Answered) (id storage.PassID) {
	for _, c := range d.answered(r) {
		id = cmp.Or(id, c.m.Pass.ID)
	}
	return id
}

// answered are the contacts that an answer to a message, ours or the operator's, means.
func (d *derivation) answered(r *storage.Answered) []*contact {
	keys := r.Contacts
	if r.Message != 0 {
		keys = nil
		if m := d.Messages[r.Message]; m != nil {
			for _, l := range m.Lines {
				keys = append(keys, l.Came...)
			}
		}
	}
	var all []*contact
	for _, key := range keys {
		if c := d.byKey[key]; c != nil && !slices.Contains(all, c) {
			all = append(all, c)
		}
	}
	return all
}
