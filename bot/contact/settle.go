package contact

import (
	"cmp"
	"slices"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/parse/slip"
	"skyslate/predict"
	"skyslate/storage"
)

// The doubts that reading alone doesn't have.
const (
	WhyPass  = "pass"  // more than one bird could be meant, or none is known
	WhyTime  = "time"  // the typed time doesn't fit the pass, or is still to come
	WhyGrid  = "grid"  // the station gave another grid on this pass
	WhySlate = "slate" // the offset counts from a slate that is not told yet
	WhyReach = "reach" // the bird didn't reach the grid then
	WhyTwin  = "twin"  // the other phone told a station a symbol off from the same square
	WhyWords = "words" // words that no table knows stand with it: they may deny it
)

// A settler says what contacts are worth: State, Why and Time.
type settler struct{ *book }

// settle is the end of deriving, and the one place where a contact gets its State,
// Why and Time.
func (s *settler) settle() {
	for _, c := range s.contacts {
		if c.kept {
			continue
		}
		const most = 8 // doubts one after the other
		for range most {
			s.judge(c)
			if c.State != storage.Doubtful && c.State != storage.Incomplete || !s.decided(c) {
				break
			}
		}
	}
}

// decided looks whether what is asked of a contact was answered, and takes the
// newest answer.
func (s *settler) decided(c *contact) bool {
	state := c.State
	for _, ev := range slices.Backward(c.answers) {
		if c.Why == WhyTime && ev.Verb == Keep && c.Time.After(ev.At.Add(timing.ClockSlack)) {
			continue // it was still to come
		}
		c.State = ""
		if s.decideNow(c, ev) {
			return true
		}
		c.State = state
	}
	return false
}

// judge says what a contact is worth, and when it was made.
func (s *settler) judge(c *contact) {
	decided := c.State == storage.Heard || c.State == storage.Dropped
	if !decided {
		c.State = ""
	}
	if slices.Contains([]string{WhyPass, WhyTime, WhyGrid, WhySlate, WhyReach, WhyTwin, WhyWords}, c.Why) {
		c.Why = ""
	}
	fits := s.date(c)
	s.freeze(c)
	if decided {
		return
	}
	reading := c.Why
	doubts := []struct {
		why string
		is  func() bool
	}{
		{c.Why, func() bool { return reading != "" }},
		{string(parse.BadCall), func() bool { return !c.Call.IsValid() }},
		{string(parse.BadGrid), func() bool { return len(c.Grids) > 0 && parse.CheckGrids(c.Grids) != nil }},
		{WhyPass, func() bool { return c.Bird.Name == "" }},
		{WhySlate, func() bool { return c.Mark != nil && c.Mark.Slate.IsZero() }},
		{WhyTime, func() bool { return !fits }},
		{WhyReach, func() bool { return s.beyond(c) }},
		{WhyGrid, func() bool { return s.contradicts(c) }},
		{WhyTwin, func() bool { return s.toldOnOtherPhone(c) }},
		{WhyWords, func() bool { return c.Note != "" }},
	}
	c.Why = ""
	for _, doubt := range doubts {
		if as, ok := c.accepted[doubt.why]; ok && as == c.said(doubt.why) {
			continue
		}
		if doubt.is() {
			c.Why = doubt.why
			break
		}
	}
	switch {
	case c.Why != "":
		c.State = storage.Doubtful
		return
	case len(c.Grids) == 0:
		c.State = storage.Incomplete
	default:
		c.State = storage.Certain
	}
	c.Why, c.Candidates = "", nil
}

// date gives a contact its time; false if what was told of it can't be.
func (s *settler) date(c *contact) bool {
	pass := c.m.Pass
	fits := true
	if c.Mark != nil && !c.Mark.Slate.IsZero() {
		c.Time, c.TimeSource = c.Mark.Slate.Add(c.Mark.Offset), storage.FromRecording
		fits = pass.ID == "" || timing.Apart(pass, c.Time) <= filing.EarlySlack // it was told to the second
	} else {
		c.Time, c.TimeSource, fits = timing.OfContact(c.Clock, pass, c.m.Late, c.sent)
		if pass.ID != "" && c.TimeSource == storage.FromMessage && c.line.Bunched {
			c.TimeSource = storage.FromPass // it may have been made at any time before
		}
	}
	if !c.date.IsZero() {
		c.Time = timing.OnDate(c.date, c.Time)
		fits = pass.ID == "" || timing.Fits(pass, c.Time)
	}
	told := c.TimeSource == storage.FromTyped || c.TimeSource == storage.FromRecording
	return fits && !(told && c.toCome())
}

// toCome reports whether the time of a contact was still to come when it was told:
// by its line or, if that is later, by a correction.
func (c *contact) toCome() bool {
	said := timing.Later(c.sent, c.timed)
	return c.Time.After(said.Add(timing.ClockSlack))
}

// momentOf is a contact's time as far as it is known by now.
func (s *settler) momentOf(c *contact) time.Time {
	as := *c
	s.date(&as)
	return as.Time
}

// freeze puts into a contact what must not change with later settings: the pass,
// the bird, its nominal frequencies, the own side.
func (s *settler) freeze(c *contact) {
	m := c.m
	c.Pass, c.Bird, c.Named, c.Rivals = m.Pass.ID, storage.BirdRef{}, m.Named, nil
	switch {
	case m.Pass.ID != "":
		c.Bird = m.Pass.Bird
	case m.Bird.Name != "":
		c.Bird = storage.BirdRef{Name: m.Bird.Name, LogName: m.Bird.LogName, Catalog: m.Bird.Catalog}
	}
	for _, p := range m.Rivals {
		c.Rivals = append(c.Rivals, p.ID)
	}
	mode := c.Mode
	c.UplinkMHz, c.DownlinkMHz, c.Mode = 0, 0, ""
	if m.Bird.Name == "" {
		c.DialMHz = 0
	} else {
		t := m.Bird.Main()
		c.UplinkMHz, c.DownlinkMHz, c.Mode = t.UplinkMHz, t.DownlinkMHz, cmp.Or(mode, t.Mode)
		s.freezeDial(c, t)
	}
	own := s.OwnAt(c.Time, c.line.Message.Said, m.Pass)
	c.OwnCall, c.OwnGrids = cmp.Or(c.ownCall, own.Call), own.Grids
	if len(c.ownGrids) > 0 {
		c.OwnGrids = c.ownGrids
	}
}

// beyond reports whether a grid of a contact lies where its bird didn't reach at the
// time of the contact or, where its pass alone is known, on the whole pass.
func (s *settler) beyond(c *contact) bool {
	from, to := c.m.Pass.AOS, c.m.Pass.LOS
	switch c.TimeSource {
	case storage.FromMessage:
		from, to = timing.Later(from, c.Time.Add(-filing.TypingSlack)), timing.Earlier(to, c.Time)
	case storage.FromTyped, storage.FromRecording:
		from, to = timing.Later(from, c.Time), timing.Earlier(to, c.Time)
	}
	if c.m.Pass.ID == "" || !slices.ContainsFunc(c.Grids, func(g parse.Grid) bool {
		reached, known := s.Reached(c.m.Pass, g.Square(), from, to)
		return known && !reached
	}) {
		return false
	}
	c.Candidates = []storage.Candidate{{Call: c.Call, Grids: c.Grids}}
	return true
}

// gave reports whether a contact is one with a station that gave grids, as far as is
// known by now.
func (c *contact) gave(call parse.Callsign) bool {
	return c.Call == call && len(c.Grids) > 0 && (c.plain() || c.Exported())
}

// mayHaveGiven reports whether a contact is one with a station that gave grids, where all that
// is asked is whether there was one.
func (c *contact) mayHaveGiven(call parse.Callsign) bool {
	asked := c.stands() && (Questionable(c.Why) || slices.Contains([]string{WhyWords, WhyTime, WhyReach}, c.Why))
	return asked && c.Call == call && len(c.Grids) > 0
}

// contradicts holds a contact against those of the same station on the same pass
// that were told before, be they in doubt: the same grid again is a repeat, another grid a question (who
// moves on between two contacts is worked twice), and a grid given before completes a
// call alone.
func (s *settler) contradicts(c *contact) bool {
	var told, doubted [][]parse.Grid
	for _, old := range s.Elsewhere(c.m.Pass.ID) {
		if old.Call == c.Call && old.Exported() && len(old.Grids) > 0 {
			told = append(told, old.Grids)
		}
	}
	for _, old := range s.peers(c.m, c.sent) {
		if old == c {
			break
		}
		switch {
		case old.gave(c.Call):
			told = append(told, old.Grids)
		case old.mayHaveGiven(c.Call):
			doubted = append(doubted, old.Grids)
		}
	}
	if len(told) == 0 && len(c.Grids) > 0 {
		told = doubted
	}
	again := func(grids []parse.Grid) bool { return slices.Equal(grids, c.Grids) }
	if len(told) == 0 || slices.ContainsFunc(told, again) {
		return false
	}
	last := told[len(told)-1]
	if len(c.Grids) == 0 {
		c.Grids = last
		return false
	}
	c.Candidates = []storage.Candidate{{Call: c.Call, Grids: c.Grids}, {Call: c.Call, Grids: last}}
	return true
}

// twinsWithin is how far apart two phones tell one station: each has heard it then.
const twinsWithin = time.Minute

// toldOnOtherPhone reports whether a contact may be one that the other phone told just
// before, with a call that is a symbol off: one station, heard by two.
func (s *settler) toldOnOtherPhone(c *contact) bool {
	for _, old := range s.peers(c.m, c.sent) {
		if old == c {
			break
		}
		off := old.Call != c.Call && slip.Slips(old.Call.Base(), c.Call.Base()) <= 1
		if off && old.Exported() && !c.line.FromPhoneOf(old.key.Message) && c.sent.Sub(old.sent).Abs() <= twinsWithin &&
			len(c.Grids) > 0 && slices.Equal(parse.Squares(old.Grids), parse.Squares(c.Grids)) {
			c.Candidates = []storage.Candidate{{Call: old.Call, Grids: old.Grids}}
			return true
		}
	}
	return false
}

// stateDial takes the dial frequency that a text states of a contact on a linear
// bird; false if it states none.
func (d *derivation) stateDial(c *contact, text string) bool {
	mhz, _, ok := c.m.Bird.Main().Stated(text)
	if ok {
		c.DialMHz = mhz
	}
	return ok
}

// freezeDial freezes a dial frequency that was stated, by an answer or else by the
// line, with the one of the other side that goes with it.
func (s *settler) freezeDial(c *contact, t predict.Transponder) {
	mhz := c.DialMHz
	side, ok := t.SideOf(mhz)
	if !ok {
		mhz, side, ok = t.Stated(c.Text)
	}
	if c.DialMHz = 0; !ok {
		return
	}
	c.DialMHz = mhz
	if side == predict.Receive {
		c.DownlinkMHz = mhz
	} else {
		c.UplinkMHz = mhz
	}
	if c.m.Pass.ID == "" {
		return
	}
	if down, up, ok := s.Dials(c.m.Pass, c.m.Bird, c.Time, mhz, side); ok {
		c.DownlinkMHz, c.UplinkMHz = down, up
	}
}
