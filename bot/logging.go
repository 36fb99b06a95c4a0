package bot

import (
	"iter"
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
	// whySlate: the offset counts from a slate that is not told yet.
	whySlate = "slate"
)

// logMessage files what a message says, line by line, and keeps with it what
// came of each line. A line with only a bird's name, or only a time, holds for
// the lines after it.
func (p *plan) logMessage(m *storage.Message, f filing, cause storage.Cause) {
	m.OwnCall, m.OwnGrids = p.op.Call, p.op.Place.Grids
	s := p.scribe(m, f, cause)
	if r := p.repliedVoice(); r != nil {
		s.voice = r.Voice
	}
	s.clock = p.carried(f, m.At)
	m.Lines = nil
	for _, line := range p.readLines(m.Text, f, 0) {
		m.Lines = append(m.Lines, s.line(line, nil))
	}
	s.end(m)
	s.carry()
}

// A scribe files the lines of one message.
type scribe struct {
	*plan
	filing filing
	clock  parse.Clock // a line of its own with a time: holds for those after it
	// clockTold says that it was told in this message.
	clockTold bool
	slate     time.Time // told in a line above; zero: none
	voice     int64     // the voice message that offsets count in, if one was answered
	message   *storage.Message
	cause     storage.Cause
	number    int
	ids       []uint64 // what came of the line at hand
}

func (p *plan) scribe(m *storage.Message, f filing, cause storage.Cause) *scribe {
	return &scribe{plan: p, filing: f, message: m, cause: cause}
}

// end keeps with the message what its last line was filed under.
func (s *scribe) end(m *storage.Message) {
	m.Pass = s.filing.pass.ID
	s.rivals = s.filing.rivals
}

// line files one line and returns what came of it; old are the contacts that
// the line made before it was edited, which the new ones replace in order.
func (s *scribe) line(line parse.Line, old []uint64) storage.MessageLine {
	s.number, s.ids = line.Number, nil
	s.heed(line)
	if line.Denies {
		s.doubtLast(&old)
	}
	if s.toldIn(line) {
		line.Contacts = nil
	}
	for _, c := range line.Contacts {
		var before uint64
		if len(old) > 0 {
			before, old = old[0], old[1:]
		}
		s.came(s.contact(c, before))
	}
	for _, id := range old {
		if !slices.Contains(s.ids, id) {
			s.retract(id)
		}
	}
	return s.done(line.Text)
}

// heed takes from a line what holds for the lines after it too: a bird's name, a
// time on a line of its own.
func (s *scribe) heed(line parse.Line) {
	if line.Bird != "" {
		if !s.clockTold {
			s.clock = parse.Clock{} // of an earlier message, before the name
		}
		s.switchTo(line)
		if len(line.Contacts) == 0 {
			for _, c := range s.fileWaiting(s.filing) {
				s.came(c.ID)
			}
		}
	}
	if line.Clock.IsSet() {
		s.clock, s.clockTold = line.Clock, true
	}
}

// done is the line at hand as the message keeps it.
func (s *scribe) done(text string) storage.MessageLine {
	return storage.MessageLine{Text: text, Contacts: s.ids, Pass: s.filing.pass.ID, Clock: s.clock}
}

func (s *scribe) came(id uint64) {
	if id != 0 && !slices.Contains(s.ids, id) {
		s.ids = append(s.ids, id)
	}
}

// switchTo makes a bird named in a line the one for the lines after it, and for
// those to come.
func (s *scribe) switchTo(line parse.Line) {
	bird, ok := s.sky.Bird(line.Bird)
	if !ok {
		return
	}
	s.filing = s.filingOf(bird, s.message.At, s.filing.late)
	if s.cause.Kind != "edit" {
		s.filing.part = s.countPart(bird, line)
	}
	s.op.Named, s.op.NamedAt = bird.Catalog, s.ev.At
	if s.filing.pass.ID == "" && s.filing.bird.Name == "" && len(s.filing.rivals) == 0 {
		s.notUp = bird.Name
	}
	switch {
	case s.filing.pass.ID == "":
		s.op.Chosen = ""
	case s.cause.Kind != "edit":
		s.choose(s.filing.pass)
	}
}

// countPart counts the lines of a delivery that name a bird alone.
func (s *scribe) countPart(bird predict.Bird, line parse.Line) int {
	if len(line.Contacts) == 0 {
		if s.op.Parts == nil {
			s.op.Parts = map[int]int{}
		}
		s.op.Parts[bird.Catalog]++
	}
	return s.op.Parts[bird.Catalog]
}

// contact files one contact read and returns its ID, 0 if it is none. The one
// that the line made before it was edited keeps its identity; what the line did
// to another message's contact is done to that one again.
func (s *scribe) contact(c parse.Contact, before uint64) uint64 {
	if !c.Clock.IsSet() && !c.Offset.IsSet() {
		c.Clock = s.clock
	}
	old, edited := s.plan.contact(before)
	if edited && old.Message != s.message.ID {
		s.retract(before)
		old, _ = s.plan.contact(before)
		return s.apply(old, c)
	}
	if !edited {
		if target, ok := s.target(c); ok {
			return s.apply(target, c)
		}
	}
	fresh := s.compose(c)
	if edited {
		fresh.ID, fresh.Version, fresh.Fields = old.ID, old.Version, old.Fields
		fresh.OwnCall, fresh.OwnGrids = old.OwnCall, old.OwnGrids
		if fresh.Pass == "" {
			fresh.Part = old.Part
		}
		fresh = s.answeredSince(fresh, old)
		if unchanged(old, fresh) {
			return old.ID
		}
	}
	if fresh.Call.IsValid() || len(fresh.Candidates) > 0 || len(fresh.Grids) > 0 || c.Why == parse.Partial {
		return s.add(s.compare(fresh)).ID
	}
	return 0
}

// target looks for the earlier contact that a reading is about, if it is about
// one: the one it corrects, the one it denies, the one it completes or tells in
// full.
func (s *scribe) target(c parse.Contact) (storage.Contact, bool) {
	for old := range s.latestPeers() {
		switch {
		case old.State == storage.Dropped:
		case c.Corrects:
			if !c.Was.IsValid() || c.Was == old.Call {
				return *old, true
			}
		case c.Heard:
			if c.Call.IsValid() && old.Exported() && old.Call == c.Call {
				return *old, true
			}
		case absorbs(old, c):
			return *old, true
		case len(c.Grids) > 0 && wantsGrid(old):
			if c.Why == parse.NoCall || c.Verdict == parse.Log && c.Call == old.Call {
				return *old, true
			}
		}
	}
	return storage.Contact{}, false
}

// wantsGrid reports whether a contact lacks nothing but its grid, or its grid
// and its pass.
func wantsGrid(c *storage.Contact) bool {
	return len(c.Grids) == 0 && c.Call.IsValid() &&
		(c.State == storage.Incomplete || c.State == storage.Doubtful && c.Why == whyPass)
}

// apply does to an earlier contact what a reading says of it.
func (s *scribe) apply(old storage.Contact, c parse.Contact) uint64 {
	switch {
	case c.Heard && !c.Corrects:
		return s.doubt(old)
	case c.Corrects:
		return s.amend(old, spoken(c, old), s.cause)
	case !old.Call.IsValid():
		id := s.amend(old, c, s.cause)
		if whole, ok := s.plan.contact(id); ok {
			s.closeQuestion(whole)
		}
		return id
	}
	old.Grids, old.Cause = c.Grids, s.cause
	old.Name, old.Report = either(c.Name, old.Name), either(c.Report, old.Report)
	return s.add(s.compare(judge(old))).ID
}

// latestPeers are the contacts that a line's contacts join, up to its message, the
// latest first.
func (s *scribe) latestPeers() iter.Seq[*storage.Contact] {
	return func(yield func(*storage.Contact) bool) {
		for _, c := range slices.Backward(s.peersUnder(s.filing, s.message.At)) {
			if c.Message <= s.message.ID && !yield(c) {
				return
			}
		}
	}
}

// peersUnder returns the contacts that those of a filing join, by ID.
func (p *plan) peersUnder(f filing, at time.Time) []*storage.Contact {
	var bird storage.BirdRef
	if f.bird.Name != "" {
		bird = birdRef(f.bird)
	}
	return p.groupOf(f.pass.ID, bird, at).all
}

// doubtLast asks whether the last contact of the pass was one, because a line
// says that there was none and doesn't say with whom. An edited line means the
// same contact as before.
func (s *scribe) doubtLast(old *[]uint64) {
	if len(*old) > 0 {
		id := (*old)[0]
		*old = (*old)[1:]
		if c, ok := s.plan.contact(id); ok && c.Message != s.message.ID {
			s.came(s.doubt(c))
			return
		}
	}
	for c := range s.latestPeers() {
		if c.Exported() {
			s.came(s.doubt(*c))
			return
		}
	}
}

// doubt asks whether a contact was one.
func (s *scribe) doubt(c storage.Contact) uint64 {
	c.Why, c.Cause = string(parse.Doubted), s.cause
	return s.add(judge(c)).ID
}

// retract takes back what a line made that is no longer there: its own contact,
// or what it did to another message's.
func (s *scribe) retract(id uint64) {
	c, ok := s.plan.contact(id)
	if !ok {
		return
	}
	if c.Message == s.message.ID {
		s.drop(id, s.cause)
		return
	}
	history := list(s.plan, func() ([]storage.Contact, error) { return s.view.History(s.op.ID, id) })
	mine := only(history, func(v storage.Contact) bool { return v.Cause.Message == s.message.ID })
	if len(mine) == 0 || mine[0].Version < 2 {
		return
	}
	c = without(c, history[mine[0].Version-2], mine[len(mine)-1])
	c.Cause = s.cause
	s.add(judge(c))
}

// without takes the change from one version to the next out of a later one:
// what was changed again since stays.
func without(c, before, after storage.Contact) storage.Contact {
	if c.Call == after.Call {
		c.Call = before.Call
	}
	if slices.Equal(c.Grids, after.Grids) {
		c.Grids = before.Grids
	}
	if c.Time.Equal(after.Time) {
		c.Time, c.TimeSource, c.Clock, c.Mark = before.Time, before.TimeSource, before.Clock, before.Mark
	}
	if c.Name == after.Name {
		c.Name = before.Name
	}
	if c.Report == after.Report {
		c.Report = before.Report
	}
	if c.State == after.State && c.Why == after.Why {
		c.State, c.Why, c.Candidates = before.State, before.Why, before.Candidates
	}
	return c
}

// compose makes a contact of a reading, with all that is frozen into it.
func (s *scribe) compose(c parse.Contact) storage.Contact {
	mark := s.markOf(c)
	f := s.byMark(s.timed(s.filing, c.Clock, s.message.At), mark)
	if !c.Clock.IsSet() && mark == nil {
		f = s.orUp(f, s.message.At)
	}
	when, source, ok := s.timeOf(c.Clock, f, s.message.At)
	out := storage.Contact{
		Made: s.ev.At, Cause: s.cause, Why: string(c.Why), Call: c.Call, Grids: c.Grids, Candidates: candidates(c),
		Name: c.Name, Report: c.Report, Text: c.Text,
		Time: when, TimeSource: source, Clock: c.Clock,
		Message: s.message.ID, Line: s.number,
		OwnCall: s.message.OwnCall, OwnGrids: s.ownGrids(f, when),
	}
	if c.Why == parse.NoGrid || c.Heard {
		out.Why = ""
	}
	if out.Why == "" && !ok {
		out.Why = whyTime
	}
	if out.Mark = mark; mark != nil {
		out = timed(out, f.pass)
		s.startsAt(f, out.Mark)
	}
	s.freeze(&out, f)
	if c.Mode != "" {
		out.Mode = c.Mode
	}
	if c.Heard {
		out.State = storage.Heard
		return out
	}
	return judge(s.beyond(out, f))
}

// ownGrids is where the operator stood: for a contact made before the present
// place was set, where the pass was worked out for.
func (s *scribe) ownGrids(f filing, when time.Time) []parse.Grid {
	if f.pass.ID != "" && when.Before(s.op.Place.Set) {
		return f.pass.Place.Grids
	}
	return s.message.OwnGrids
}

// freeze puts into a contact what must not change with later settings: the
// pass, the bird, its nominal frequencies.
func (p *plan) freeze(c *storage.Contact, f filing) {
	c.Pass, c.Bird, c.Named, c.Rivals = f.pass.ID, storage.BirdRef{}, f.named, nil
	switch {
	case f.pass.ID != "":
		c.Bird = f.pass.Bird
	case f.bird.Name != "":
		c.Bird = birdRef(f.bird)
	}
	c.Part = 0
	for _, pass := range f.rivals {
		c.Rivals, c.Part = append(c.Rivals, pass.ID), f.part
	}
	c.UplinkMHz, c.DownlinkMHz, c.Mode = 0, 0, ""
	if f.bird.Name == "" {
		c.DialMHz = 0
	} else {
		t := f.bird.Main()
		c.UplinkMHz, c.DownlinkMHz, c.Mode = t.UplinkMHz, t.DownlinkMHz, t.Mode
		p.freezeDial(c, f)
	}
}

// judge says what a contact is worth from what it holds. What no log could take
// is never certain.
func judge(c storage.Contact) storage.Contact {
	if c.Why == whyPass && c.Bird.Name != "" {
		c.Why = ""
	}
	if c.Why == whySlate {
		c.Why = "" // asked again, after what comes first
	}
	switch {
	case c.Why != "":
	case !c.Call.IsValid():
		c.Why = string(parse.BadCall)
	case len(c.Grids) > 0 && parse.CheckGrids(c.Grids) != nil:
		c.Why = string(parse.BadGrid)
	case c.Bird.Name == "":
		c.Why = whyPass
	case c.Mark != nil && c.Mark.Slate.IsZero():
		c.Why = whySlate
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
func (p *plan) compare(c storage.Contact) storage.Contact {
	if !c.Exported() {
		return c
	}
	for old := range p.sameStation(c) {
		if !old.Exported() || len(old.Grids) == 0 {
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

// unchanged reports whether a new version says what the contact holds already.
func unchanged(a, b storage.Contact) bool {
	return a.State == b.State && a.Why == b.Why && a.Call == b.Call && slices.Equal(a.Grids, b.Grids) &&
		a.Name == b.Name && a.Report == b.Report && a.Time.Equal(b.Time) && a.TimeSource == b.TimeSource &&
		a.Pass == b.Pass && a.Bird == b.Bird && a.Text == b.Text && slices.Equal(a.Rivals, b.Rivals) && sameMark(a.Mark, b.Mark)
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
