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
	"skyslate/storage"
)

// Names reports whether a contact is one that a line may mean by a call.
func Names(n idiom.Naming, c storage.Contact) bool {
	asked := (c.State == "" || c.State == storage.Doubtful || c.State == storage.Incomplete) && (c.Note != "" || c.Why != "" || c.Pass == "")
	return (asked || !n.Open) && namesAny(n, c)
}

// namesAny reports whether a contact is one that a line means, be it asked or not.
func namesAny(n idiom.Naming, c storage.Contact) bool {
	_, means := n.Means(c.Call)
	has := len(c.Grids) > 0
	gives := n.Open && !has // and what the line tells lacks
	return means && (c.State == storage.Dropped) == n.Back && !(n.With && !has || n.Lacks && has) &&
		(n.Grids == nil || gives || slices.Equal(n.Grids, c.Grids))
}

// ofCall takes what a line says of a contact that it names by its call; false if it may
// tell a new one. The pass that its words name was found when it was sent.
func (d *derivation) ofCall(l *filing.Line) bool {
	n, r := l.Names, l.Message.Said.Reply
	corrects := func(c parse.Contact) bool { return c.Corrects && c.Verdict == parse.Log }
	if r == nil && n.Says != nil && n.Words != "" || n.Guess && slices.ContainsFunc(l.Look.Contacts, corrects) {
		return false
	}
	found, tellsElse, unclear := narrowed(d, l, calledBy(d, l))
	said := &l.Message.Outcome
	switch {
	case tellsElse:
		return ofTurned(d, l)
	case unclear:
		said.Ignored, said.Which = filing.WhichOne, keysOf(found)
		return true
	case len(found) == 0:
		return d.isThere(l) || refused(l)
	case len(n.Calls) > 1 && n.Says == nil && !n.Back:
		dropAll(d, found, l)
		return true
	case severalMeant(d, l, found):
		said.Ignored, said.Which = filing.WhichOne, keysOf(found)
		return true
	}
	l.Named = true
	for _, c := range found {
		d.sayOf(c, l)
	}
	return true
}

// ofTurned takes a line that names a grid first and whose it is, "JO33 is HX7ABC", where none
// with that grid asks for its call, as one that says it of the call.
func ofTurned(d *derivation, l *filing.Line) bool {
	n, ok := l.Names.Turned()
	if !ok {
		return false
	}
	defer func(names *idiom.Naming) { l.Names = names }(l.Names)
	l.Names = &n
	return d.ofCall(l)
}

// calledBy are the contacts that a line names: the one that was chosen when it was asked, else
// those of what it answers, else those where meantBy looks, and of the last day where the line
// can hardly tell a new one.
func calledBy(d *derivation, l *filing.Line) []*contact {
	n, means := l.Names, d.meaning(l)
	if chosen := d.byKey[l.Message.Means]; chosen != nil {
		return []*contact{chosen}
	}
	if r := l.Message.Said.Reply; r != nil {
		return lists.Filter(d.answered(r), means)
	}
	by := ""
	if n.Whose {
		by = "whose" // its grid alone meant none
	}
	return lists.Filter(d.meantBy(l, by, d.namedOn(l, means), func() []*contact {
		if n.Plain && !asideLater(l) {
			return nil
		}
		return lists.Filter(d.contacts, func(c *contact) bool { return means(c) && l.At().Sub(c.sent) < filing.Day })
	}), means)
}

// narrowed are those of the contacts that a line names which it means. tellsElse says that it
// is about none of them, unclear that it can't be told which of them. In this order, because each
// takes for granted that the ones above don't hold:
//
//	it gives what a contact asks for           those of its phone that ask for that, the last
//	                                           one where it is said; none: it tells something else
//	it must stand right behind a contact       the last one, if nothing came between; unclear
//	                                           where it only adds to one of the pass
//	"the last one", which another phone told   unclear
//	a bird alone                               the last one, or it tells something else
//	"the last one", or what stands alone       the last one, if it is among them; its call, or
//	                                           its grid, was another: none
//	it brings back, and none was dropped       those of the last day that stand, perhaps doubted
//	nothing of it is asked                     those near, or the last one of some minutes ago
//
// and of these those that wait for a pass of the bird that it names, and those on the bird
// that it says they were not on.
func narrowed(d *derivation, l *filing.Line, found []*contact) (means []*contact, tellsElse, unclear bool) {
	n, last := l.Names, d.lastSaid()
	if n.Fills {
		found = lists.Filter(found, func(c *contact) bool { return fills(n.Says[0], c) && l.FromPhoneOf(c.key.Message) })
		if n.Last && !slices.Contains(found, last) || len(found) == 0 {
			return nil, true, false
		}
	}
	whoever := func(*contact) bool { return true } // also one that was just dropped
	if n.Near && d.byKey[l.Message.Means] == nil && (last == nil || d.Last == nil || last != lastOf(d.contacts, whoever) || l.At().Sub(d.Last.At()) > halves) {
		if n.Aside && last != nil && last.m.Group() == l.Match.Group() && l.Match.Pass.Up(l.At()) {
			return []*contact{last}, false, true
		}
		return nil, true, false // which one is asked
	}
	switch {
	case n.Last && last != nil && !l.FromPhoneOf(last.key.Message):
		return nil, false, true
	case len(n.Calls) == 0 && n.IsBirded() && n.Off == "" && !slices.Contains(found, last):
		return nil, true, false
	case (n.Last || len(n.Calls) == 0 && n.Says != nil) && slices.Contains(found, last):
		found = []*contact{last}
	case n.Last:
		found = nil
	case len(found) == 0 && n.Back:
		stands := *n
		stands.Back = false
		found = lists.Filter(d.contacts, func(c *contact) bool { return namesAny(stands, c.Contact) && l.At().Sub(c.sent) < filing.Day })
	case len(found) == 0 && n.Open:
		found = lists.Filter(d.peers(l.Match, l.At()), func(c *contact) bool { return namesAny(*n, c.Contact) })
		if len(found) == 0 && last != nil && namesAny(*n, last.Contact) && l.At().Sub(last.sent) < filing.Lingering {
			found = []*contact{last}
		}
	}
	if waiting := lists.Filter(found, (*contact).waits); n.Bird != "" && len(waiting) > 0 {
		found = waiting
	}
	if off := lists.Filter(found, func(c *contact) bool { return isOn(d.Facts, c, n.Off) }); len(off) > 0 {
		found = off
	}
	return found, false, false
}

// refused takes a line that names no contact there is; false if it may tell a new one.
func refused(l *filing.Line) bool {
	if !l.Names.Sure || l.Names.TellsGrid() {
		return false
	}
	l.Message.Outcome.Ignored = filing.NoCall
	return true
}

// severalMeant reports whether the contacts that a line means are not the same, so that it is
// asked which; so it is where the line drops one by words that choose nobody knows which.
func severalMeant(d *derivation, l *filing.Line, found []*contact) bool {
	n, first := l.Names, found[0]
	_, chosen := d.byKey[l.Message.Means]
	untold := n.Says == nil && !n.Back && n.Words != "" && l.Message.Said.Reply == nil && !chosen
	return untold || slices.ContainsFunc(found, func(c *contact) bool {
		return c.Call != first.Call || c.m.Group() != first.m.Group() || len(n.Calls) == 1 && !slices.Equal(c.Grids, first.Grids)
	})
}

// dropAll drops the contacts of several calls, if each call has one.
func dropAll(d *derivation, found []*contact, l *filing.Line) {
	for _, call := range l.Names.Calls {
		its := called(found, call)
		if len(its) == 0 {
			l.Message.Outcome.Ignored = filing.NoCall
			return
		}
		if slices.ContainsFunc(its, func(c *contact) bool { return c.m.Group() != its[0].m.Group() || c.Call != its[0].Call }) {
			l.Message.Outcome.Ignored, l.Message.Outcome.Which = filing.WhichOne, keysOf(its)
			return
		}
	}
	l.Named = true
	for _, c := range found {
		d.sayOf(c, l)
	}
}

// fills reports whether a call, or a grid, is what is asked of a contact.
func fills(says string, c *contact) bool {
	if _, err := parse.ParseGrid(says); err == nil && c.Call.IsValid() {
		return c.asksGrid() || c.lacksGrid()
	}
	_, err := parse.ParseCallsign(says)
	return err == nil && c.State == "" && c.Why != "" && !c.Call.IsValid()
}

// isThere takes a line that says of a contact that it was on the bird that it is on.
func (d *derivation) isThere(l *filing.Line) bool {
	n := l.Names
	there := func(c *contact) bool {
		right := len(n.Calls) > 0 && isOn(d.Facts, c, n.Bird) || n.Off != "" && n.Bird == "" && !isOn(d.Facts, c, n.Off)
		return right && Names(*n, c.Contact) && l.At().Sub(c.sent) < filing.Day
	}
	c := lastOf(d.contacts, there)
	if c != nil {
		d.touch(c, l)
		if says, ok := answerIn(d.readText(l, n.Says[0], true)); ok {
			amendBeside(d, c, says, l)
		}
	}
	return c != nil
}

// isOn reports whether a contact stands under a bird of a name.
func isOn(f *filing.Facts, c *contact, name string) bool {
	bird, _ := f.Bird(name)
	return name != "" && c.m.Bird.Catalog == bird.Catalog
}

// meaning says which contacts a line names by their call, or by their grid.
func (d *derivation) meaning(l *filing.Line) func(*contact) bool {
	n := l.Names
	return func(c *contact) bool {
		taken, answered := c.accepted[WhyWords]
		isThere := isOn(d.Facts, c, n.Bird) || n.Bird == "" && n.Off != "" && !isOn(d.Facts, c, n.Off)
		return !isThere && !otherwise(c, n) && c.joined == nil && Names(*n, c.Contact) && !(n.Open && c.Why == "" && answered && taken == c.Note)
	}
}

// otherwise reports whether a contact was told at another time than a line without a word of
// correction says: its station may have been worked twice.
func otherwise(c *contact, n *idiom.Naming) bool {
	if !n.Timed || !n.Plain {
		return false
	}
	clock, _ := idiom.ClockIn(n.Says[0])
	return c.Mark != nil || c.Clock.IsSet() && c.Clock != clock
}

// asideLater reports whether a line says something of a station beside its call and grid while
// nothing is up: then it tells no new contact with it, if that is in the log.
func asideLater(l *filing.Line) bool {
	return (l.Names.Aside || l.Names.Guess) && l.Match.Reason != filing.ByUp && l.Match.Reason != filing.ByTwoUp && l.Match.Reason != filing.ByHold
}

// namedOn are the contacts of a pass that a line may name. Late, and of its bird, they may
// be of whichever pass.
func (d *derivation) namedOn(l *filing.Line, means func(*contact) bool) func(filing.Match) []*contact {
	n := l.Names
	late := l.Bird == nil && l.Message.Said.Reply == nil && l.At().After(l.Match.Pass.LOS)
	return func(m filing.Match) []*contact {
		pass := m.Pass
		if here := pass.ID == l.Match.Pass.ID; late && here && !n.Plain || n.IsBirded() || n.Back {
			return lists.Filter(d.contacts, func(c *contact) bool { return means(c) && l.At().Sub(c.sent) < filing.Day })
		} else if n.Plain && !asideLater(l) && !here && pass.ID != "" && pass.ID != l.Message.Said.Listed && l.At().Sub(pass.LOS) > filing.Lingering {
			return nil // it tells a new one by now
		}
		return lists.Filter(d.peers(m, l.At()), means)
	}
}

// sayOf does to a contact what a line says that names it.
func (d *derivation) sayOf(c *contact, l *filing.Line) {
	n := l.Names
	if n.Back {
		if c.State == "" && Questionable(c.Why) {
			c.Why, c.Candidates = "", nil
		}
		c.State, c.retracted, c.kept = "", false, false
		c.answers = lists.Filter(c.answers, func(ev *storage.Evidence) bool { return ev.Verb != Drop })
		d.touch(c, l)
		return
	}
	if n.Says == nil {
		c.State, c.kept = storage.Dropped, false
		d.touch(c, l)
		return
	}
	if n.Mark != "" {
		remark(d, c, l)
		return
	}
	text, _ := n.Means(c.Call)
	read := d.readText(l, text, true)
	read.Text = text
	says, ok := answerIn(read)
	if read.Affirms {
		c.timed = timing.Later(c.timed, l.At()) // its time was no longer to come
	}
	if n.IsBirded() {
		d.putOn(c, says, l)
		return
	}
	if n.Fine {
		asTyped(c)
	}
	switch why := c.Why; {
	case n.Guess && n.Open && why != "": // it is asked already
		d.touch(c, l)
	case n.Open && !says.Heard && why != "" && !Questionable(why): // what else is asked stays asked
		c.accept(WhyWords)
		d.touch(c, l)
	case n.Open && says.Heard && c.plain() && c.m.Pass.ID != "" && (c.Note == "" || len(called(d.peers(c.m, l.At()), c.Call)) > 1):
		c.Why = string(parse.Doubted)
		d.touch(c, l)
	case n.Aside && d.besides(c, text, l), !ok:
	case n.Aside:
		d.retime(c, says, l)
		d.touch(c, l)
	case n.Open:
		if d.amend(c, spoken(says, c), l); len(c.Grids) == 0 && !says.Heard {
			d.regrid(c, n.Grids)
		}
	case n.Maybe:
		right := parse.Candidate{Call: cmp.Or(says.Call, c.Call), Grids: says.Grids}
		if len(right.Grids) == 0 {
			right.Grids = c.Grids
		}
		if right.Call == c.Call && slices.Equal(right.Grids, c.Grids) {
			d.touch(c, l)
			return
		}
		either(d, c, right, says, l)
	default:
		putRight(d, c, says, l)
	}
}

// asTyped takes the call and the grid of a contact as they stand.
func asTyped(c *contact) {
	c.accept(WhyGrid)
	c.accept(WhyReach)
	typed := []string{string(parse.Odd), string(parse.Repaired), string(parse.BadGrid)}
	if slices.Contains(typed, c.Why) && c.Call.IsValid() && parse.CheckGrids(c.Grids) == nil {
		c.Why, c.Candidates = "", nil
	}
}

// either asks of a contact which holds: what a line says that it may be, or what it is.
func either(d *derivation, c *contact, right parse.Candidate, says parse.Contact, l *filing.Line) {
	says.Call, says.Grids, says.Verdict, says.Why = c.Call, nil, parse.Ask, parse.Ambiguous
	says.Candidates = []parse.Candidate{right, {Call: c.Call, Grids: c.Grids}}
	putRight(d, c, says, l)
}

// remark gives the call of a contact the mark that a line says it has; where a word behind the
// call may say more of the station than of its call, that is asked.
func remark(d *derivation, c *contact, l *filing.Line) {
	n := l.Names
	if n.Bare {
		unmark(d, c, n.Mark, l)
		return
	}
	call, how := idiom.Marked(c.Call, n.Mark)
	if how == idiom.NoRewriting || call == c.Call {
		d.touch(c, l)
		return
	}
	says := parse.Contact{Call: call, Verdict: parse.Log, Corrects: true, Text: l.Text}
	if (n.Maybe || how == idiom.MayRewrite) && len(c.Grids) > 0 {
		either(d, c, parse.Candidate{Call: call, Grids: c.Grids}, says, l)
		return
	}
	putRight(d, c, says, l)
}

// unmark takes from the call of a contact the mark that a line says it has not.
func unmark(d *derivation, c *contact, mark string, l *filing.Line) {
	d.touch(c, l)
	bare, marked := strings.CutSuffix(c.Call.String(), "/"+mark)
	if call, err := parse.ParseCallsign(bare); marked && err == nil {
		putRight(d, c, parse.Contact{Call: call, Verdict: parse.Log, Corrects: true, Text: l.Text}, l)
	}
}

// putOn moves a contact to the bird that a line names, or asks which pass it is of where the
// line only says which bird it was not on; it takes what else the line says of it.
func (d *derivation) putOn(c *contact, says parse.Contact, l *filing.Line) {
	n := l.Names
	if n.Bird != "" {
		bird, _ := d.Bird(n.Bird)
		d.toBird(c, bird, cmp.Or(says.Clock, l.Clock), l)
	} else {
		d.file(c, d.NotOn(n.Off, d.momentOf(c)))
		d.touch(c, l)
	}
	amendBeside(d, c, says, l)
}

// amendBeside takes the grid and the time that stand beside the name of a bird.
func amendBeside(d *derivation, c *contact, says parse.Contact, l *filing.Line) {
	if len(says.Grids) > 0 || says.Clock.IsSet() {
		d.amend(c, says, l)
	}
}

// waits reports whether a contact waits for its pass.
func (c *contact) waits() bool { return c.stands() && c.m.Pass.ID == "" && len(c.m.Rivals) > 0 }

// meantBy are the contacts that a line means, by what it names them with: on the pass that
// it says itself; else of the list that was asked for right before it; else on the pass of
// the last contact, and on the one that the line would be filed under, or elsewhere. It is asked once:
// what comes or moves later changes neither what a line meant nor that it was refused.
func (d *derivation) meantBy(l *filing.Line, by string, on func(filing.Match) []*contact, elsewhere func() []*contact) (found []*contact) {
	said := l.Message.Said
	name := fmt.Sprint(said.Message, " ", by, " ", l.Text)
	if l.Bird != nil {
		name += " " + l.Bird.Name
	}
	keys := d.Meant(name, func() []storage.ContactKey { return keysOf(d.find(l, on, elsewhere)) })
	for _, key := range keys {
		if c := d.byKey[key]; c != nil {
			found = append(found, c)
		}
	}
	return found
}

// find finds the contacts that meantBy is about.
func (d *derivation) find(l *filing.Line, on func(filing.Match) []*contact, elsewhere func() []*contact) []*contact {
	here := on(l.Match)
	also := func(m filing.Match) {
		here = append(here, lists.Filter(on(m), func(c *contact) bool { return !slices.Contains(here, c) })...)
	}
	for _, pass := range l.Match.Rivals { // it may be of any of them
		also(d.Under(pass, l.Match.Reason))
	}
	asked := l.Names != nil && l.Names.Open && len(here) == 0
	if l.Bird != nil && !asked || l.Message.Said.Reply != nil {
		return here
	}
	if listed, ok := d.Pass(l.Message.Said.Listed); ok {
		if all := on(d.Under(listed, filing.ByReply)); len(all) > 0 {
			return all
		}
	}
	if last := d.lastSaid(); last != nil && last.m.Group() != l.Match.Group() {
		also(last.m)
	}
	if len(here) == 0 && elsewhere != nil {
		return elsewhere()
	}
	return here
}

// lastSaid is the contact that was told or changed last, wherever it stands.
func (b *book) lastSaid() *contact { return lastOf(b.contacts, (*contact).stands) }
