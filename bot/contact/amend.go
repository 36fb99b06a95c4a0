package contact

import (
	"cmp"
	"slices"
	"strings"

	"skyslate/bot/filing"
	"skyslate/bot/lists"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/storage"
)

// apply does to an earlier contact what a line says of it.
func (d *derivation) apply(old *contact, c parse.Contact, l *filing.Line) {
	switch {
	case (c.Heard || c.Why == parse.Doubted) && !c.Corrects && old.plain():
		old.Why = string(parse.Doubted)
		d.keepGrid(old, &c)
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
	old.fill(c)
	d.touch(old, l)
}

// keepGrid takes the grid that a line tells of a contact which it doubts: what it tells of one
// that has another stands with its words.
func (b *book) keepGrid(old *contact, c *parse.Contact) {
	switch {
	case len(c.Grids) == 0 || slices.Equal(c.Grids, old.Grids):
	case len(old.Grids) == 0:
		b.regrid(old, c.Grids)
	default:
		for _, g := range slices.Backward(c.Grids) {
			c.Comment = strings.TrimSpace(g.String() + " " + c.Comment)
		}
	}
}

// fill takes from a reading what is told beside call and grid; words that no table
// knows join those told before.
func (c *contact) fill(r parse.Contact) {
	c.Name, c.Report, c.Sent = cmp.Or(r.Name, c.Name), cmp.Or(r.Report, c.Report), cmp.Or(r.ReportSent, c.Sent)
	if r.Comment != "" && r.Comment != c.Note {
		c.Note = strings.TrimSpace(c.Note + " " + r.Comment)
	}
}

// note takes what is told beside a contact and can't deny it: words that wait for no answer
// make none wait.
func (c *contact) note(r parse.Contact) {
	taken, answered := c.accepted[WhyWords]
	asked := c.Note != "" && !(answered && taken == c.Note)
	if c.fill(r); !asked {
		c.accept(WhyWords)
	}
}

// amend applies what a correction or an answer says to a contact.
func (d *derivation) amend(old *contact, c parse.Contact, l *filing.Line) {
	defer d.touch(old, l)
	old.Call = cmp.Or(c.Call, old.Call)
	if len(c.Grids) > 0 {
		d.regrid(old, c.Grids)
	}
	old.fill(c)
	old.kept = false
	if c.Corrects && old.State == storage.Heard && c.Comment != "" {
		old.State, old.Why = "", string(parse.Doubted) // "he answered me in the end"?
		return
	}
	tells := c.Corrects || c.Call.IsValid() || len(c.Grids) > 0 || c.Clock.IsSet() || c.Offset.IsSet()
	if c.Heard || tells && old.State == storage.Heard { // it says nothing of whether there was a contact
		if old.State, old.Why, old.Candidates = storage.Heard, "", nil; !c.Heard {
			d.retime(old, c, l)
		}
		return
	}
	if said, ok := answerIn(d.readText(l, old.Note, true)); ok && said.Heard && old.State == storage.Heard {
		old.Note = "" // it was not only heard
	}
	old.State = ""
	if c.Verdict == parse.Log || c.Why == parse.NoCall || c.Why == parse.NoGrid { // in doubt for its missing half alone
		old.Why, old.Candidates = "", nil
		if l.Answers() && c.Comment == "" {
			old.accept(WhyWords)
		}
	} else {
		old.Why, old.Candidates = string(c.Why), filing.Candidates(c)
	}
	if theirs := old.line.Theirs && !l.Answers(); (old.retracted || theirs) && old.Why == "" {
		old.Why = string(parse.Doubted)
	}
	old.retracted = false
	d.retime(old, c, l)
	d.stateDial(old, c.Text)
	if l.Answers() && len(c.Grids) > 0 {
		old.accept(WhyGrid)
	}
}

// putRight does to a contact what a line says that puts it right: that says nothing of whether
// there was one, where that is asked.
func putRight(d *derivation, c *contact, says parse.Contact, l *filing.Line) {
	why := c.Why
	if d.amend(c, spoken(says, c), l); Questionable(why) && c.Why == "" {
		c.Why = why
	}
}

// retime gives a contact the time that is told of it.
func (d *derivation) retime(old *contact, c parse.Contact, l *filing.Line) {
	if c.Offset.IsSet() && !c.Clock.IsSet() {
		old.Clock, old.timed, old.kept = parse.Clock{}, l.At(), false
		old.Mark = d.markOf(old, c.Offset.Duration())
	}
	if c.Clock.IsSet() {
		old.Clock, old.Mark, old.timed, old.kept = c.Clock, nil, l.At(), false
		d.rematch(old, c.Clock, l)
	}
}

// rematch moves a contact to the pass that was up at the time it is corrected to, if
// it doesn't fit its own. In an answer a bird that was named stands.
func (d *derivation) rematch(c *contact, clock parse.Clock, l *filing.Line) {
	if c.m.Pass.ID == "" {
		then := lists.Filter(c.m.Rivals, func(p storage.Pass) bool { return timing.Within(clock, p) })
		if len(then) == 1 {
			d.move(c, d.Under(then[0], filing.ByTime))
		}
		return
	}
	if timing.Within(clock, c.m.Pass) {
		return
	}
	m := d.Match(l, clock)
	if !l.Answers() || !c.m.Named && m.Pass.ID != "" && timing.Within(clock, m.Pass) {
		d.file(c, m)
	}
}

// doubtLast asks whether the last contact of the pass was one, because a line says
// that there was none and doesn't say with whom. Of one that is asked, or was heard only,
// it says nothing new.
func (b *book) doubtLast(l *filing.Line) {
	if last := b.lastPeer(l.Match, l.At()); last != nil && last.plain() {
		last.Why = string(parse.Doubted)
		b.touch(last, l)
	}
}

// spoken is a correction without what was only remembered: the grid of a station
// that the line names by its call holds as it stands by now, and what a grid
// could be is offered for that station. Nor does it take off the marks of a call that
// it only names, to say something else.
func spoken(c parse.Contact, old *contact) parse.Contact {
	if says := len(c.Grids) > 0 && !slices.Equal(c.Grids, old.Grids); says && c.Call.Names(old.Call) ||
		c.Was != old.Call && c.Was.Names(old.Call) {
		c.Call = c.Call.MarkedAs(old.Call)
	}
	text := strings.ToUpper(c.Text)
	named := func(g parse.Grid) bool { return strings.Contains(text, g.Square().String()) }
	recalled := c.Was.IsValid() || c.Call.IsValid() && c.Call != old.Call && !old.asksGrid()
	if recalled && len(old.Grids) > 0 && !slices.ContainsFunc(c.Grids, named) && c.Verdict == parse.Log {
		c.Grids = nil
	}
	if !c.Call.IsValid() {
		c.Candidates = slices.Clone(c.Candidates)
		for i := range c.Candidates {
			c.Candidates[i].Call = cmp.Or(c.Candidates[i].Call, old.Call)
		}
	}
	return c
}
