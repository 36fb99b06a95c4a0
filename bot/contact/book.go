package contact

import (
	"slices"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/lists"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/storage"
)

// A contact is one contact on its way: what its lines claim, and what was decided
// of it. State is Heard, Dropped or not known yet; the rest is settled last.
type contact struct {
	storage.Contact
	key      storage.ContactKey
	number   int // in the order of making
	touched  int // in the order of what lines made and changed
	m        filing.Match
	line     *filing.Line
	sent     time.Time
	by       []int64
	answers  []*storage.Evidence
	accepted map[string]string // doubts answered with "as it is", with what it was
	kept     bool              // as stored, settled long ago
	ownCall  parse.Callsign
	ownGrids []parse.Grid
	joined   *contact  // its grid was picked to be that one's
	corrects *contact  // it may be a correction of that one, under another bird
	date     time.Time // corrected
	timed    time.Time // when its time was corrected
	// retracted: a line took it back. A correction right behind that means it still.
	retracted bool
}

// plain reports whether nothing that the lines say of a contact keeps it out of
// the log.
func (c *contact) plain() bool { return c.State == "" && c.Why == "" && c.Call.IsValid() }

// whole reports whether a contact lacks nothing.
func (c *contact) whole() bool { return c.plain() && len(c.Grids) > 0 }

// lacksGrid reports whether a contact lacks nothing but its grid, lacksCall whether it is a
// grid alone.
func (c *contact) lacksGrid() bool { return c.plain() && len(c.Grids) == 0 }

// onlyHeard reports whether a contact is a station that was heard, and whose grid isn't known.
func (c *contact) onlyHeard() bool { return c.State == storage.Heard && len(c.Grids) == 0 }

func (c *contact) lacksCall() bool {
	return c.State == "" && !c.Call.IsValid() && c.Why == string(parse.NoCall)
}

// asksGrid reports whether what is asked of a contact is its grid alone.
func (c *contact) asksGrid() bool {
	if c.State != "" || c.Why == "" || !c.Call.IsValid() {
		return false
	}
	switch parse.Why(c.Why) {
	case parse.BadGrid, parse.Partial:
		return true
	case parse.Ambiguous, parse.Repaired:
		return !slices.ContainsFunc(c.Candidates, func(o storage.Candidate) bool { return o.Call.IsValid() && o.Call != c.Call })
	}
	return false
}

// WhyNew is the doubt whether a line that corrects a contact, and finds none, tells a new
// one.
const WhyNew = "new"

// Questionable reports whether a doubt is one whether there was such a contact, with
// the bird and on that day, at all.
func Questionable(why string) bool {
	switch parse.Why(why) {
	case parse.Doubted, parse.Denied, parse.Dated, parse.Elsewhere, WhyNew:
		return true
	}
	return false
}

// A book holds the contacts so far, in the order of their making, and in groups.
type book struct {
	*filing.Facts
	contacts []*contact
	byKey    map[storage.ContactKey]*contact
	groups   map[filing.GroupKey]*group
	turns    int // how often a pass got its first contact, or lost its last
	touches  int // how often lines made or changed a contact
}

// A group is the contacts of a pass or, where none is known, of a bird.
type group struct {
	contacts    []*contact // in the order of their making
	first, last time.Time  // when they were sent
	heard       []parse.Station
	counted     int // how many of the contacts heard is of
}

// WorkedOn reports whether anything stands under a pass so far.
func (b *book) WorkedOn(id storage.PassID) bool {
	g := b.groups[filing.GroupKey{Pass: id}]
	return id != "" && g != nil && len(g.contacts) > 0 || len(b.Elsewhere(id)) > 0
}

// Turned is how often a pass got its first contact, or lost its last.
func (b *book) Turned() int { return b.turns }

func (b *book) add(c *contact) {
	c.number = len(b.contacts)
	b.contacts = append(b.contacts, c)
	b.byKey[c.key] = c
	b.join(c)
}

// join puts a contact into its group.
func (b *book) join(c *contact) {
	key := c.m.Group()
	g := b.groups[key]
	if g == nil {
		g = &group{first: c.sent, last: c.sent}
		b.groups[key] = g
	}
	if len(g.contacts) == 0 {
		b.turns++
	}
	i, _ := slices.BinarySearchFunc(g.contacts, c.number, func(o *contact, n int) int { return o.number - n })
	g.contacts = slices.Insert(g.contacts, i, c)
	if i < g.counted {
		g.counted = 0
	}
	g.first, g.last = timing.Earlier(g.first, c.sent), timing.Later(g.last, c.sent)
}

// file puts a contact under another match.
func (b *book) file(c *contact, m filing.Match) {
	if c.m.Group() != m.Group() {
		g := b.groups[c.m.Group()]
		g.contacts = slices.DeleteFunc(g.contacts, func(o *contact) bool { return o == c })
		g.counted = 0
		if len(g.contacts) == 0 {
			b.turns++
		}
		c.m = m
		b.join(c)
	}
	c.m = m
}

// peers are the contacts that a line's contacts join, in order: those of the pass
// or, where none is known, those near in time of the bird.
func (b *book) peers(m filing.Match, at time.Time) []*contact {
	g := b.groups[m.Group()]
	switch {
	case g == nil:
		return nil
	case m.Pass.ID != "" || at.Sub(g.first) < filing.LookBack && g.last.Sub(at) < filing.LookBack:
		return g.contacts
	}
	return lists.Filter(g.contacts, func(c *contact) bool { return c.sent.Sub(at).Abs() < filing.LookBack })
}

func (c *contact) stands() bool { return c.State != storage.Dropped }

// lastOf is "the last one" of those that count: the contact that a line made or
// changed last.
func lastOf(contacts []*contact, counts func(*contact) bool) (last *contact) {
	for _, c := range contacts {
		if counts(c) && (last == nil || c.touched > last.touched) {
			last = c
		}
	}
	return last
}

// lastPeer is the last one that stands of those that a line's contacts join.
func (b *book) lastPeer(m filing.Match, at time.Time) *contact {
	return lastOf(b.peers(m, at), (*contact).stands)
}

// touch notes that a line made or changed a contact.
func (b *book) touch(c *contact, l *filing.Line) {
	if id := l.Message.Said.Message; !slices.Contains(c.by, id) {
		c.by = append(c.by, id)
	}
	if !slices.Contains(l.Came, c.key) {
		l.Came = append(l.Came, c.key)
	}
	b.touches++
	c.touched = b.touches
	b.changed(c)
}

// regrid gives a contact other grids, and its repeats with it: they are the same
// contact told twice.
func (b *book) regrid(c *contact, grids []parse.Grid) {
	before := c.Grids
	for _, other := range b.peers(c.m, c.sent) {
		repeat := other.Call == c.Call && other.State != storage.Dropped && slices.Equal(other.Grids, before)
		if other == c || repeat && len(before) > 0 {
			other.Grids = grids
			b.changed(other)
		}
	}
}

// heardOn are the stations of a pass so far. The list is kept, because a heap asks
// for each of a thousand lines, until a contact in it changes.
func (b *book) heardOn(m filing.Match, at time.Time) []parse.Station {
	g, peers := b.groups[m.Group()], b.peers(m, at)
	if g == nil || len(peers) < len(g.contacts) {
		return stations(nil, peers)
	}
	if g.counted == 0 {
		g.heard = nil
	}
	g.heard, g.counted = stations(g.heard, peers[g.counted:]), len(peers)
	return g.heard
}

// changed says that a contact isn't what it was when it was heard of.
func (b *book) changed(c *contact) {
	if g := b.groups[c.m.Group()]; g.counted > 0 && c.number <= g.contacts[g.counted-1].number {
		g.counted = 0
	}
}

func stations(all []parse.Station, of []*contact) []parse.Station {
	for _, c := range of {
		if c.Call.IsValid() && c.State != storage.Dropped && c.Why == "" {
			all = append(all, parse.Station{Call: c.Call, Grids: c.Grids})
		}
	}
	return all
}

// isConfirmed reports whether an unusual call was logged before, in this sitting
// too.
func (b *book) isConfirmed(call parse.Callsign) bool {
	return b.Confirmed(call) || slices.ContainsFunc(b.contacts, func(c *contact) bool {
		return c.Call == call && c.plain()
	})
}
