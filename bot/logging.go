package bot

import (
	"slices"
	"time"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// The doubts that reading alone doesn't have.
const (
	whyPass = "pass" // more than one bird could be meant, or none is known
	whyTime = "time" // the typed time doesn't fit the pass
	whyGrid = "grid" // the station gave another grid on this pass
)

// logMessage files what a message says, line by line, and keeps with it what
// came of each line. A line with only a bird's name, or only a time, holds for
// the lines after it.
func (p *plan) logMessage(m *storage.Message, f filing, cause storage.Cause) {
	p.logLines(m, f, cause, nil)
}

// logLines files the lines of a message; old are the contacts that they made
// before, by line, which the new ones replace.
func (p *plan) logLines(m *storage.Message, f filing, cause storage.Cause, old []storage.MessageLine) {
	s := &scribe{plan: p, filing: f, at: m.At, message: m.ID, cause: cause}
	m.Lines = nil
	for i, line := range parse.Read(m.Text, p.known(f)) {
		var before []uint64
		if i < len(old) {
			before = old[i].Contacts
		}
		m.Lines = append(m.Lines, storage.MessageLine{Text: line.Text, Contacts: s.line(line, before)})
	}
	m.Pass = s.filing.pass.ID
	p.rivals = s.filing.rivals
}

// A scribe files the lines of one message.
type scribe struct {
	*plan
	filing  filing
	clock   parse.Clock // a line of its own with a time: holds for those after it
	at      time.Time
	message int64
	cause   storage.Cause
	number  int
}

// line files one line and returns the contacts that came of it; old are those
// that the line made before it was edited, which the new ones replace in order.
func (s *scribe) line(line parse.Line, old []uint64) []uint64 {
	s.number = line.Number
	if line.Bird != "" {
		s.switchTo(line.Bird)
		if len(line.Contacts) == 0 {
			s.fileWaiting(s.filing)
		}
	}
	if line.Clock.IsSet() {
		s.clock = line.Clock
	}
	if line.Denies {
		s.doubtLast()
	}
	var ids []uint64
	for _, c := range line.Contacts {
		var before uint64
		if len(old) > 0 {
			before, old = old[0], old[1:]
		}
		if id := s.contact(c, before); id != 0 && !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	for _, id := range old {
		if !slices.Contains(ids, id) {
			s.retract(id)
		}
	}
	return ids
}

// switchTo makes a bird named in a line the one for the lines after it, and for
// those to come.
func (s *scribe) switchTo(name string) {
	bird, ok := s.sky.Bird(name)
	if !ok {
		return
	}
	late := s.filing.late
	s.filing = s.filingOf(bird, s.at)
	s.filing.late = late
	switch {
	case s.filing.pass.ID == "":
		s.op.Chosen, s.op.Named, s.op.NamedAt = "", bird.Catalog, s.at
	case s.op.Chosen != s.filing.pass.ID:
		s.choose(s.filing.pass)
	}
}

// contact files one contact read and returns its ID, 0 if it is none.
func (s *scribe) contact(c parse.Contact, before uint64) uint64 {
	if !c.Clock.IsSet() {
		c.Clock = s.clock
	}
	if c.Corrects {
		if id, ok := s.correct(c); ok {
			return id
		}
	}
	if c.Heard && c.Call.IsValid() {
		if id, ok := s.denied(c); ok {
			return id
		}
	}
	if before == 0 {
		if id, ok := s.completes(c); ok {
			return id
		}
	}
	fresh := s.compose(c)
	if before != 0 {
		if old, ok := s.plan.contact(before); ok {
			if old.Message != s.message {
				return s.amend(old, c, s.cause) // the line completed another's contact
			}
			fresh.ID, fresh.Version, fresh.Fields = old.ID, old.Version, old.Fields
			if same(old, fresh) {
				return old.ID
			}
		}
	}
	if fresh.Call.IsValid() || len(fresh.Candidates) > 0 || len(fresh.Grids) > 0 {
		return s.add(s.compare(fresh)).ID
	}
	return 0
}

// peers returns the contacts that a line's contacts join.
func (s *scribe) peers() []storage.Contact { return s.peersUnder(s.filing, s.at) }

// peersUnder returns the contacts that those of a filing join.
func (p *plan) peersUnder(f filing, at time.Time) []storage.Contact {
	var bird storage.BirdRef
	if f.bird.Name != "" {
		bird = birdRef(f.bird)
	}
	return p.together(f.pass.ID, bird, at)
}

// completes looks for the contact that a reading completes: a grid alone the
// last one without, a call with a grid the same call without.
func (s *scribe) completes(c parse.Contact) (uint64, bool) {
	if len(c.Grids) == 0 || c.Heard {
		return 0, false
	}
	for _, old := range slices.Backward(s.peers()) {
		if old.State != storage.Incomplete {
			continue
		}
		alone := c.Why == parse.NoCall
		if alone || c.Verdict == parse.Log && c.Call == old.Call {
			old.Grids, old.Cause = c.Grids, s.cause
			old.Name, old.Report = either(c.Name, old.Name), either(c.Report, old.Report)
			return s.add(judge(old)).ID, true
		}
	}
	return 0, false
}

// correct applies a correction in words to the contact that it means: the one
// whose call it names, else the last one.
func (s *scribe) correct(c parse.Contact) (uint64, bool) {
	for _, old := range slices.Backward(s.peers()) {
		if old.State == storage.Dropped || c.Was.IsValid() && c.Was != old.Call {
			continue
		}
		return s.amend(old, c, s.cause), true
	}
	return 0, false
}

// doubtLast asks whether the last contact of the pass was one, because a line
// says that there was none and doesn't say with whom.
func (s *scribe) doubtLast() {
	for _, old := range slices.Backward(s.peers()) {
		if old.Exported() {
			s.doubt(old)
			return
		}
	}
}

// doubt asks whether a contact was one.
func (s *scribe) doubt(c storage.Contact) uint64 {
	c.Why, c.Cause = string(parse.Doubted), s.cause
	return s.add(judge(c)).ID
}

// denied asks about the contact that a line says was none, if it is in the log.
func (s *scribe) denied(c parse.Contact) (uint64, bool) {
	for _, old := range slices.Backward(s.peers()) {
		if old.Exported() && old.Call == c.Call {
			return s.doubt(old), true
		}
	}
	return 0, false
}

// retract takes back what a line made that is no longer there: its contact, or
// the grid that it added to another's.
func (s *scribe) retract(id uint64) {
	c, ok := s.plan.contact(id)
	if ok && c.Message != s.message {
		c.Grids, c.Cause = nil, s.cause
		s.add(judge(c))
		return
	}
	s.drop(id, s.cause)
}

// compose makes a contact of a reading, with all that is frozen into it.
func (s *scribe) compose(c parse.Contact) storage.Contact {
	f := s.filing
	when, source, ok := s.timeOf(c.Clock, f, s.at)
	if !ok {
		if pass, found := s.passAround(c.Clock, s.at); found {
			f = s.under(pass)
			when, source, ok = s.timeOf(c.Clock, f, s.at)
		}
	}
	out := storage.Contact{
		Cause: s.cause, Why: string(c.Why), Call: c.Call, Grids: c.Grids,
		Name: c.Name, Report: c.Report, Text: c.Text,
		Time: when, TimeSource: source, Message: s.message, Line: s.number,
	}
	if c.Why == parse.NoGrid || c.Heard {
		out.Why = ""
	}
	out.Candidates = candidates(c)
	if out.Why == "" && !ok {
		out.Why = whyTime
	}
	s.freeze(&out, f)
	if c.Mode != "" {
		out.Mode = c.Mode
	}
	if c.Heard {
		out.State = storage.Heard
		return out
	}
	return judge(out)
}

// freeze puts into a contact what must not change with later settings: the
// pass, the bird, its nominal frequencies, own call and own grids.
func (p *plan) freeze(c *storage.Contact, f filing) {
	c.OwnCall, c.OwnGrids = p.op.Call, p.op.Place.Grids
	c.Pass = f.pass.ID
	if f.pass.ID != "" {
		c.Bird, c.OwnGrids = f.pass.Bird, f.pass.Place.Grids
	} else if f.bird.Name != "" {
		c.Bird = birdRef(f.bird)
	}
	if f.bird.Name != "" {
		t := f.bird.Main()
		c.UplinkMHz, c.DownlinkMHz, c.Mode = t.UplinkMHz, t.DownlinkMHz, t.Mode
	}
}

// judge says what a contact is worth from what it holds.
func judge(c storage.Contact) storage.Contact {
	if c.Why == whyPass && c.Bird.Name != "" {
		c.Why = ""
	}
	switch {
	case c.Why != "":
	case !c.Call.IsValid():
		c.Why = string(parse.BadCall)
	case c.Bird.Name == "":
		c.Why = whyPass
	}
	switch {
	case c.Why != "":
		c.State = storage.Doubtful
	case len(c.Grids) == 0:
		c.State = storage.Incomplete
	default:
		c.State = storage.Certain
	}
	if c.State != storage.Doubtful {
		c.Candidates = nil
	}
	return c
}

// compare holds a certain or incomplete contact against those of the same
// station on the same pass: the same grid again is a repeat, another grid a
// question, and a grid given before completes a call alone.
func (s *scribe) compare(c storage.Contact) storage.Contact {
	if !c.Exported() {
		return c
	}
	for _, old := range s.together(c.Pass, c.Bird, c.Time) {
		if old.ID == c.ID || old.Call != c.Call || !old.Exported() || len(old.Grids) == 0 {
			continue
		}
		if c.State == storage.Incomplete {
			c.Grids = old.Grids
			return judge(c)
		}
		if !slices.Equal(old.Grids, c.Grids) {
			c.Candidates = []storage.Candidate{{Call: c.Call, Grids: c.Grids}, {Call: c.Call, Grids: old.Grids}}
			c.Why = whyGrid
			return judge(c)
		}
	}
	return c
}

// amend applies what a reply or a correction says to a contact and returns its
// ID.
func (p *plan) amend(old storage.Contact, c parse.Contact, cause storage.Cause) uint64 {
	fresh := old
	fresh.Cause = cause
	if c.Call.IsValid() {
		fresh.Call = c.Call
	}
	if len(c.Grids) > 0 {
		fresh.Grids = c.Grids
	}
	fresh.Name, fresh.Report = either(c.Name, old.Name), either(c.Report, old.Report)
	if pass, ok := p.pass(old.Pass); ok && c.Clock.IsSet() {
		when, source, fits := p.timeOf(c.Clock, p.under(pass), old.Time)
		if fits {
			fresh.Time, fresh.TimeSource = when, source
		} else {
			fresh.Why = whyTime
		}
	}
	switch {
	case c.Heard:
		fresh.State, fresh.Why = storage.Heard, ""
		return p.add(fresh).ID
	case settles(c) && fresh.Call.IsValid():
		fresh.Why = ""
	case !settles(c):
		fresh.Why, fresh.Candidates = string(c.Why), candidates(c)
	}
	return p.add(judge(fresh)).ID
}

// settles reports whether a reading leaves no doubt but for a missing half.
func settles(c parse.Contact) bool {
	return c.Verdict == parse.Log || c.Why == parse.NoCall || c.Why == parse.NoGrid
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

// drop withdraws a contact; its history stays.
func (p *plan) drop(id uint64, cause storage.Cause) {
	c, ok := p.contact(id)
	if !ok || c.State == storage.Dropped {
		return
	}
	c.State, c.Cause = storage.Dropped, cause
	p.add(c)
}

// same reports whether a new reading says what the contact holds already.
func same(a, b storage.Contact) bool {
	return a.State == b.State && a.Call == b.Call && slices.Equal(a.Grids, b.Grids) &&
		a.Name == b.Name && a.Report == b.Report && a.Time.Equal(b.Time) && a.Pass == b.Pass && a.Text == b.Text
}

func birdRef(b predict.Bird) storage.BirdRef {
	return storage.BirdRef{Name: b.Name, LogName: b.LogName, Catalog: b.Catalog}
}

// either returns the first text that isn't empty.
func either(texts ...string) string {
	for _, s := range texts {
		if s != "" {
			return s
		}
	}
	return ""
}
