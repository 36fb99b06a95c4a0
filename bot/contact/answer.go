package contact

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/storage"
)

// What an answer can decide.
const (
	Pick   = "pick"   // it is this candidate
	Keep   = "keep"   // it is as it stands
	Drop   = "drop"   // it is no contact
	Heard  = "heard"  // it was only heard
	NoTime = "notime" // the time or the offset told with it is wrong
	Take   = "take"   // it lacks a grid, and this is it
)

// Asked is what is asked of a contact, in full: an answer holds as long as that
// stands.
func Asked(c storage.Contact) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s|%s|%s|%s", c.Why, c.Call, c.Grids, c.Clock)
	if c.Mark != nil {
		fmt.Fprintf(&b, "|%s", c.Mark.Offset)
	}
	if c.Why == WhyWords {
		fmt.Fprintf(&b, "|%s", c.Note)
	}
	for _, o := range c.Candidates {
		fmt.Fprintf(&b, "|%s %s", o.Call, o.Grids)
	}
	return b.String()
}

// answer takes a decision: now, if it is about what the lines say, else when the
// doubt that it settles is found.
func (d *derivation) answer(c *contact, ev *storage.Evidence) {
	if c.kept && ev.Asked == Asked(c.Contact) {
		c.kept, c.State = false, ""
	}
	asks := c.plain() && d.contradicts(c)
	if asks { // decided here, so that what is said later of either contact holds
		c.Why = WhyGrid
	}
	if !d.decideNow(c, ev) {
		c.answers = append(c.answers, ev)
	}
	if asks && c.Why == WhyGrid {
		c.Why, c.Candidates = "", nil
	}
}

// decideNow takes a decision that is about the contact as it stands.
func (s *settler) decideNow(c *contact, ev *storage.Evidence) bool {
	if c.State == storage.Dropped || ev.Asked != Asked(c.Contact) {
		return false
	}
	s.changed(c)
	was := c.Why
	switch {
	case ev.Verb == Drop:
		c.State = storage.Dropped
	case ev.Verb == Heard:
		c.State, c.Why, c.Candidates = storage.Heard, "", nil
	case ev.Verb == NoTime:
		c.Clock, c.Mark = parse.Clock{}, nil
	case (ev.Verb == Pick || ev.Verb == Take) && ev.Pick != nil:
		s.pick(c, *ev.Pick)
		c.accept(string(parse.BadGrid))
		c.accept(WhyReach)
		c.accept(WhyWords) // they stand in what was asked
	case ev.Verb == Keep:
		c.accept(was)
		c.accept(WhyWords)
	}
	if c.Why == was {
		c.Why, c.Candidates = "", nil
	}
	return true
}

// accept takes a contact as it stands, whatever the doubt.
func (c *contact) accept(why string) {
	if c.accepted == nil {
		c.accepted = map[string]string{}
	}
	c.accepted[why] = c.said(why)
}

// said is what a contact claims, which an answer to a doubt accepted.
func (c *contact) said(why string) string {
	if why == WhyWords {
		return c.Note
	}
	return fmt.Sprintf("%s %s %s", c.Call, c.Grids, c.Clock)
}

// pick takes a candidate. Where the grid of an earlier contact was wrong, that one is
// told anew.
func (s *settler) pick(c *contact, o storage.Candidate) {
	if !c.Call.IsValid() && c.Why == string(parse.NoCall) {
		others := s.peers(c.m, c.sent)
		if c.corrects != nil {
			others = []*contact{c.corrects}
		}
		for _, old := range slices.Backward(others) {
			if old.Call == o.Call && (old.lacksGrid() || old.onlyHeard() || (old.whole() || old.asksGrid()) && old.number < c.number) {
				if old.asksGrid() {
					old.Why, old.Candidates = "", nil
				}
				s.regrid(old, o.Grids)
				c.State, c.joined = storage.Dropped, old
				return
			}
		}
	}
	if c.Why == WhyGrid && slices.Equal(o.Grids, c.Grids) {
		wrong := c.Candidates[len(c.Candidates)-1].Grids
		for _, old := range s.peers(c.m, c.sent) {
			if old.number < c.number && (old.gave(c.Call) || old.mayHaveGiven(c.Call)) && slices.Equal(old.Grids, wrong) {
				old.Grids = o.Grids
				s.changed(old)
				if old.State != "" {
					s.judge(old)
				}
			}
		}
		defer c.accept(WhyGrid) // the earlier one may stand in another sitting
	}
	c.Call, c.Grids = o.Call, o.Grids
}

// change corrects one field of several contacts.
func (d *derivation) change(ev *storage.Evidence) {
	for _, key := range ev.Change.Contacts {
		if c := d.byKey[key]; c != nil {
			c.kept = false
			d.correct(c, *ev.Change, ev.At)
		}
	}
}

// What a correction of many changes, in a storage.Change, where the own side and the
// station's have to be told apart.
const (
	OwnCall   = "call"
	OwnGrid   = "grid"
	TheirCall = "station"
	TheirGrid = "square"
	Out       = "out" // out of the log
)

func (d *derivation) correct(c *contact, to storage.Change, at time.Time) {
	switch to.Field {
	case OwnCall:
		c.ownCall = to.Call
	case OwnGrid:
		c.ownGrids = to.Grids
	case Out:
		c.State = storage.Dropped
		d.changed(c)
	case TheirCall, TheirGrid:
		d.restate(c, to)
	case "bird":
		if bird, ok := d.Catalogued(to.Catalog); ok {
			m, _ := d.underBird(c, bird, parse.Clock{})
			d.move(c, m)
		}
	case "date":
		when := d.momentOf(c)
		c.date, c.timed = to.Date, at
		then := timing.OnDate(to.Date, when)
		if m, ok := d.NearestOfBird(c.m.Bird.Catalog, then, timing.ClockSlack); ok { // else its time is in doubt
			m.Late = c.m.Late
			d.move(c, m)
		}
	case "slate":
		if c.Mark != nil {
			mark := *c.Mark
			mark.Slate = to.Slate
			c.Mark, c.timed = &mark, at
			if c.m.Pass.ID != "" && mark.Voice == 0 {
				d.slates = append(d.slates, filing.ToldSlate{Of: storage.Recording{Pass: c.m.Pass.ID}, Slate: to.Slate})
			}
		}
	}
}

// restate gives a contact another call or other grids of its station. What was asked of
// the half that is right now is settled.
func (d *derivation) restate(c *contact, to storage.Change) {
	asksGrid := c.asksGrid()
	if c.State == storage.Dropped {
		return
	}
	if to.Field == TheirGrid {
		d.regrid(c, to.Grids)
		c.accept(WhyGrid)
	} else {
		c.Call = to.Call
	}
	if asksGrid == (to.Field == TheirGrid) && !Questionable(c.Why) {
		c.Why, c.Candidates = "", nil
	}
	d.changed(c)
}

// move puts a contact under the pass that a correction names; its own stays as it is.
func (b *book) move(c *contact, m filing.Match) {
	if m.Pass.ID == "" || m.Pass.ID != c.m.Pass.ID {
		b.file(c, m)
	}
}
