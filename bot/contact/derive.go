package contact

import (
	"slices"
	"strings"
	"time"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// Log is what evidence comes to.
type Log struct {
	Contacts []Contact // in the order of the evidence, dropped ones too
	Messages []Message // in the order of the evidence
	// Open are the deliveries that wait for the answer which pass is meant.
	Open []Question
	// Slates are the recordings whose slate is known, with the last one told;
	// Waiting are those that contacts wait for.
	Slates  map[storage.Recording]time.Time
	Waiting []storage.Recording
	// Chosen is the pass that a name or a tap holds for what comes; "": none.
	Chosen storage.PassID
	// Carried is the time on a line of its own that was told last, for the pass
	// CarriedFor.
	Carried    time.Time
	CarriedFor storage.PassID
	// NotUp names birds that were told and had no pass, by message.
	NotUp map[int64]string
}

// Contact is a derived contact: without its ID and version, which the store gives.
type Contact struct {
	Key storage.ContactKey
	storage.Contact
	// By are the messages that made it what it is, its own first.
	By []int64
	// Earlier is the pass that it may belong to after all.
	Earlier storage.PassID
	// Delivery is the one that its pass is asked for.
	Delivery time.Time
	// Late: what it was told in came after its whole pass, so that the summary of
	// the pass asks what is in doubt.
	Late bool
}

// Message is what became of a message: its lines, the contacts that each line
// made or changed, and the pass of the last one.
type Message struct {
	ID    int64
	Lines []Line
	Pass  storage.PassID
	// Late: it says nothing of when it was written.
	Late bool
	// Told are the recordings whose slate it tells, with what that was before.
	Told []Told
	// Names is set where the message does nothing but name a bird, or a time.
	Alone bool
	// Unheld is a time told on a line of its own that holds for nothing: none of the
	// birds was up then, or another pass has begun since.
	Unheld Unheld
	// Ignored says that the message answers a contact and says nothing of it.
	Ignored Ignored
}

// Ignored says why an answer to a contact changed nothing.
type Ignored string

// Why an answer changed nothing.
const (
	Heeded     Ignored = ""
	WhichOne   Ignored = "which"      // it could mean several contacts
	NotReadOut Ignored = "not read"   // it says nothing of the contact
	NoRewrite  Ignored = "no rewrite" // a word that could be a name or a suffix
)

// Told is a slate that was told.
type Told struct {
	Of     storage.Recording
	Slate  time.Time
	Before time.Time // the one told before; zero: none
}

// Line is a line of a message and the contacts it made or changed.
type Line struct {
	Number   int
	Text     string
	Contacts []storage.ContactKey
	Match    Match
}

// Question is a delivery whose pass is asked for.
type Question struct {
	Delivery time.Time
	Message  int64 // the last one of it
	Rivals   []storage.Pass
	Contacts []storage.ContactKey
	InOrder  bool // each part can be one pass's, in order
}

// Derive works out what evidence comes to, in its order. It is a pure function:
// the same facts and evidence always give the same log.
func Derive(f Facts, evidence []storage.Evidence) Log {
	typed := map[int64]storage.PassID{}
	for range len(evidence) + 1 {
		d := derivation{Facts: f, typed: typed}
		d.run(evidence)
		if !d.again {
			return d.log()
		}
	}
	return Log{} // not reached: each round answers one more delivery
}

// derivation is one run over the evidence.
type derivation struct {
	Facts
	messages   map[int64]*message
	deliveries []*delivery

	contacts []*contact
	byKey    map[storage.ContactKey]*contact
	byPass   map[storage.PassID][]*contact // in order; those without a pass under ""
	lives    map[moment]Match
	heard    map[storage.PassID]heard
	hold     *hold
	last     *line // the last one with a pass
	carried  *carry
	order    []*message

	slates    []toldSlate
	lastSlate *toldSlate
	told      map[int64][]Told
	ignored   map[int64]Ignored
	notUpBird map[int64]string
	unheld    map[int64]Unheld

	// typed are answers that were given by naming a bird: by delivery. again says
	// that one was found, so that the evidence is to be gone through with it.
	typed map[int64]storage.PassID
	again bool
}

// A contact is one contact on its way: what its lines claim, and what was decided
// of it. State is Heard, Dropped or not known yet; the rest is settled last.
type contact struct {
	storage.Contact
	key      storage.ContactKey
	number   int // in the order of making
	m        Match
	line     *line
	sent     time.Time
	by       []int64
	answers  []*storage.Evidence
	accepted map[string]string // doubts answered with "as it is", with what it was
	kept     bool              // as stored, settled long ago
	ownCall  parse.Callsign
	ownGrids []parse.Grid
	date     time.Time // corrected
	timed    time.Time // when its time was corrected
}

func (d *derivation) run(evidence []storage.Evidence) {
	d.byKey, d.byPass = map[storage.ContactKey]*contact{}, map[storage.PassID][]*contact{}
	d.lives, d.heard = map[moment]Match{}, map[storage.PassID]heard{}
	d.told, d.ignored, d.notUpBird = map[int64][]Told{}, map[int64]Ignored{}, map[int64]string{}
	d.unheld = map[int64]Unheld{}
	d.collect(evidence)
	d.takeAnswers(evidence)
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
	d.settle()
}

// takeAnswers gives deliveries the answers to the question which pass is meant.
func (d *derivation) takeAnswers(evidence []storage.Evidence) {
	for _, v := range d.deliveries {
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
		d.answerOpen(pass, nil)
		return
	}
	for _, c := range d.contacts {
		if c.line.message.delivery.began.Equal(ev.Delivery) && len(c.m.offered) > 0 {
			d.answerAlike(pass, c.m.offered)
		}
	}
}

// answerAlike takes an answer for all deliveries that the same was asked of.
func (d *derivation) answerAlike(pass storage.Pass, offered []storage.Pass) {
	for _, c := range d.contacts {
		v := c.line.message.delivery
		if _, known := d.typed[v.began.UnixNano()]; !known && samePasses(c.m.Rivals, offered) && c.State != storage.Dropped {
			d.typed[v.began.UnixNano()] = pass.ID
			d.again = true
		}
	}
}

func samePasses(a, b []storage.Pass) bool {
	return slices.EqualFunc(a, b, func(p, q storage.Pass) bool { return p.ID == q.ID })
}

// answerOpen takes the choice of a pass as the answer for the deliveries that wait
// for one and can belong to it.
func (d *derivation) answerOpen(pass storage.Pass, but *delivery) {
	for _, c := range d.contacts {
		v := c.line.message.delivery
		_, known := d.typed[v.began.UnixNano()]
		if v != but && !known && c.State != storage.Dropped && (holds(c.m.Rivals, pass.ID) || c.m.Reason == ByNothing) {
			d.typed[v.began.UnixNano()] = pass.ID
			d.again = true
		}
	}
}

// hear takes a message, line by line.
func (d *derivation) hear(m *message) {
	d.order = append(d.order, m)
	for _, l := range m.lines {
		if strings.TrimSpace(l.text) == "" {
			continue
		}
		d.hearLine(l)
		if l.match.Pass.ID != "" {
			d.last = l
		}
	}
}

func (d *derivation) hearLine(l *line) {
	if kept := d.keptLine(l); kept != nil {
		d.takeKept(l, kept)
		return
	}
	clock := firstSet(l.inline(), l.clock)
	if !clock.IsSet() && !l.clear {
		clock = d.stillHolds(l)
	}
	l.match = d.match(l, clock)
	if d.answersSlate(l) || d.tellsSlate(l) {
		return
	}
	if l.alone {
		d.named(l)
		return
	}
	if l.match.Reason == ByNotUp {
		d.notUpBird[l.message.said.Message] = l.bird.Name
	}
	if l.look.Clock.IsSet() && len(l.look.Contacts) == 0 && l.message.said.Reply == nil {
		d.carry(l)
		return
	}
	read := d.read(l)
	if l.message.said.Reply != nil && d.reply(l, read) {
		return
	}
	if d.takesBack(l) {
		return
	}
	if read.Denies {
		d.doubtLast(l)
	}
	for i, c := range read.Contacts {
		d.take(l, c, i+1, clock)
	}
}

// read reads a line with all that is known of its pass.
func (d *derivation) read(l *line) parse.Line {
	line := parse.Read(d.reworded(l), d.known(l))[0]
	line.Number, line.Text = l.row, l.text
	for i := range line.Contacts {
		// Until words that no table knows are settled with the hand-over, they are asked
		// about at once.
		if c := &line.Contacts[i]; c.Verdict == parse.Log && c.Comment != "" {
			c.Verdict, c.Why = parse.Ask, parse.Doubted
			line.Verdict = parse.Ask
		}
	}
	return line
}

// named takes a bird's name on a line of its own.
func (d *derivation) named(l *line) {
	m := l.match
	switch {
	case m.Reason == ByNotUp:
		d.notUpBird[l.message.said.Message] = l.bird.Name
		d.hold = nil
	case m.Pass.ID != "":
		d.hold = &hold{pass: m.Pass, at: l.at()}
		if v := l.message.delivery; !v.held && v.contacts < manyLines {
			d.answerOpen(m.Pass, v)
		}
	case m.Bird.Name != "":
		d.hold = &hold{bird: m.Bird, at: l.at()}
	}
}

// A carry is a time on a line of its own, for the lines after it.
type carry struct {
	clock parse.Clock
	line  *line
	used  bool // a contact was told with it, or it was said that it doesn't hold
}

// liveClock is how long such a time holds for later messages while its pass is up:
// by then their own stamps are better.
const liveClock = 2 * time.Minute

// stillHolds is the time told alone in an earlier message, if it holds for a line:
// within the same pass only.
func (d *derivation) stillHolds(l *line) parse.Clock {
	if d.carried == nil {
		return parse.Clock{}
	}
	told, at := d.carried.line, l.at()
	pass := told.match.Pass
	same := d.match(l, parse.Clock{}).Pass.ID == pass.ID && pass.ID != ""
	long := at.Sub(told.at()) > LookBack || pass.Up(at) && at.Sub(told.at()) > liveClock
	since := slices.ContainsFunc(d.Passes(told.at(), at.Add(time.Second)), func(p storage.Pass) bool {
		return p.Followed() && p.AOS.After(told.at())
	})
	if since && pass.ID != "" {
		d.lapses(l)
	}
	if !same || long || since {
		return parse.Clock{}
	}
	d.carried.used = d.carried.used || len(l.look.Contacts) > 0
	return d.carried.clock
}

func firstSet(clocks ...parse.Clock) parse.Clock {
	for _, c := range clocks {
		if c.IsSet() {
			return c
		}
	}
	return parse.Clock{}
}

// known is what reading a line can lean on.
func (d *derivation) known(l *line) parse.Known {
	m, at := l.match, l.at()
	own := d.ownAt(at, l.message.said, m.Pass)
	k := parse.Known{
		Own: own.Call, OwnGrids: own.Grids, Birds: d.Names,
		Linear: m.Bird.Name != "" && m.Bird.Main().Kind == predict.Linear,
		Worked: d.Worked, Confirmed: d.isConfirmed, Suffix: d.Endings,
	}
	if m.Pass.ID != "" {
		k.Expected = d.Expected(m.Pass.ID)
		if _, known := d.Reached(m.Pass, parse.GridAt(0, 0, 4)); known {
			k.Reachable = func(g parse.Grid) bool { reached, _ := d.Reached(m.Pass, g.Square()); return reached }
		}
	}
	k.Heard = d.heardOn(m, at)
	return k
}

// heardOn are the stations of a pass so far. The list of a pass is kept until one of
// its contacts changes.
func (d *derivation) heardOn(m Match, at time.Time) []parse.Station {
	h := d.heard[m.Pass.ID]
	peers := d.peers(m, at)
	if m.Pass.ID == "" {
		h = heard{}
	}
	for _, c := range peers[h.of:] {
		if c.Call.IsValid() && c.State != storage.Dropped && c.Why == "" {
			h.stations = append(h.stations, parse.Station{Call: c.Call, Grids: c.Grids})
		}
	}
	h.of = len(peers)
	d.heard[m.Pass.ID] = h
	return h.stations
}

// heard are the stations of the first of a pass's contacts.
type heard struct {
	stations []parse.Station
	of       int
}

// changed says that a contact isn't what it was when it was heard of.
func (d *derivation) changed(c *contact) { delete(d.heard, c.m.Pass.ID) }

// isConfirmed reports whether an unusual call was logged before, in this sitting
// too.
func (d *derivation) isConfirmed(call parse.Callsign) bool {
	return d.Confirmed(call) || slices.ContainsFunc(d.contacts, func(c *contact) bool {
		return c.Call == call && c.plain()
	})
}

// peers are the contacts that a line's contacts join, in order: those of the pass
// or, where none is known, those near in time without one.
func (d *derivation) peers(m Match, at time.Time) []*contact {
	if m.Pass.ID != "" {
		return d.byPass[m.Pass.ID]
	}
	return filter(d.byPass[""], func(c *contact) bool { return c.joins(m, at) })
}

// file puts a contact under another match.
func (d *derivation) file(c *contact, m Match) {
	if was := c.m.Pass.ID; was != m.Pass.ID {
		delete(d.heard, was)
		delete(d.heard, m.Pass.ID)
		d.byPass[was] = slices.DeleteFunc(d.byPass[was], func(o *contact) bool { return o == c })
		i, _ := slices.BinarySearchFunc(d.byPass[m.Pass.ID], c.number, func(o *contact, n int) int { return o.number - n })
		d.byPass[m.Pass.ID] = slices.Insert(d.byPass[m.Pass.ID], i, c)
	}
	c.m = m
}

func (c *contact) joins(m Match, at time.Time) bool {
	if m.Pass.ID != "" || c.m.Pass.ID != "" {
		return c.m.Pass.ID == m.Pass.ID
	}
	return c.m.Bird.Catalog == m.Bird.Catalog && c.sent.Sub(at).Abs() < LookBack
}

// plain reports whether nothing that the lines say of a contact keeps it out of
// the log.
func (c *contact) plain() bool { return c.State == "" && c.Why == "" && c.Call.IsValid() }

// whole reports whether a contact lacks nothing.
func (c *contact) whole() bool { return c.plain() && len(c.Grids) > 0 }

// workedOn reports whether anything stands under a pass so far.
func (d *derivation) workedOn(id storage.PassID) bool {
	if id == "" {
		return false
	}
	return len(d.byPass[id]) > 0 || len(d.Elsewhere(id)) > 0
}

// log is what the run came to.
func (d *derivation) log() Log {
	g := Log{Slates: map[storage.Recording]time.Time{}, NotUp: d.notUpBird}
	for _, c := range d.contacts {
		out := Contact{Key: c.key, Contact: c.Contact, By: c.by, Earlier: c.m.Earlier}
		v := c.line.message.delivery
		out.Late = v.held || !v.silent.IsZero() && !c.m.Pass.AOS.Before(v.silent) && !c.m.Pass.LOS.After(v.began)
		if len(c.m.Rivals) > 0 || c.m.Reason == ByNothing || c.m.Earlier != "" {
			out.Delivery = v.began
		}
		g.Contacts = append(g.Contacts, out)
	}
	for _, m := range d.order {
		g.Messages = append(g.Messages, d.messageOf(m))
	}
	for _, s := range d.slates {
		g.Slates[s.of] = s.slate
	}
	for _, c := range d.contacts {
		if c.Why == WhySlate && c.State == storage.Doubtful && !slices.Contains(g.Waiting, c.recording()) {
			g.Waiting = append(g.Waiting, c.recording())
		}
	}
	if d.hold != nil {
		g.Chosen = d.hold.pass.ID
	}
	if d.carried != nil && d.carried.clock.HasHour() && d.carried.line.match.Pass.ID != "" {
		pass := d.carried.line.match.Pass
		g.Carried, g.CarriedFor = Nearest(d.carried.clock, pass.TCA), pass.ID
	}
	g.Open = d.questions()
	return g
}

func (d *derivation) messageOf(m *message) Message {
	out := Message{ID: m.said.Message, Told: d.told[m.said.Message], Ignored: d.ignored[m.said.Message], Unheld: d.unheld[m.said.Message]}
	out.Alone = true
	for _, l := range m.lines {
		out.Lines = append(out.Lines, Line{Number: l.number, Text: l.text, Contacts: l.came, Match: l.match})
		if l.match.Pass.ID != "" {
			out.Pass, out.Late = l.match.Pass.ID, l.match.Late
		}
		out.Alone = out.Alone && (l.alone || l.look.Clock.IsSet() || strings.TrimSpace(l.text) == "")
	}
	return out
}

// questions are the deliveries that wait for a pass.
func (d *derivation) questions() []Question {
	var all []Question
	for _, v := range d.deliveries {
		var q Question
		var parts []int
		same := true
		for _, c := range d.contacts {
			if c.line.message.delivery != v || c.State != storage.Doubtful || c.Why != WhyPass {
				continue
			}
			q.Contacts = append(q.Contacts, c.key)
			q.Message = c.key.Message
			parts = append(parts, c.m.Part)
			same = same && len(c.m.Rivals) > 0 && c.m.Rivals[0].Bird.Catalog == c.m.Rivals[len(c.m.Rivals)-1].Bird.Catalog
			for _, p := range c.m.Rivals {
				if !holds(q.Rivals, p.ID) {
					q.Rivals = append(q.Rivals, p)
				}
			}
		}
		if len(q.Contacts) == 0 {
			continue
		}
		slices.SortStableFunc(q.Rivals, func(a, b storage.Pass) int { return a.AOS.Compare(b.AOS) })
		slices.Sort(parts)
		parts = slices.Compact(parts)
		q.Delivery = v.began
		if n := len(all); n > 0 && samePasses(all[n-1].Rivals, q.Rivals) {
			all[n-1].Contacts = append(all[n-1].Contacts, q.Contacts...)
			continue
		}
		q.InOrder = same && len(parts) > 1 && len(parts) == len(q.Rivals) && parts[0] == 1 && parts[len(parts)-1] == len(parts)
		all = append(all, q)
	}
	return all
}
