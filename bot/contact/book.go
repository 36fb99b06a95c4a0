package contact

import (
	"slices"
	"time"

	"skyslate/parse"
	"skyslate/storage"
)

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

// plain reports whether nothing that the lines say of a contact keeps it out of
// the log.
func (c *contact) plain() bool { return c.State == "" && c.Why == "" && c.Call.IsValid() }

// whole reports whether a contact lacks nothing.
func (c *contact) whole() bool { return c.plain() && len(c.Grids) > 0 }

// lacksGrid reports whether a contact lacks nothing but its grid.
func (c *contact) lacksGrid() bool { return c.plain() && len(c.Grids) == 0 }

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

// questioned reports whether a contact is one that may not have been worked.
func (c *contact) questioned() bool {
	return c.State == storage.Heard || c.Why == string(parse.Doubted) || c.Why == string(parse.Denied)
}

func (c *contact) joins(m Match, at time.Time) bool {
	if m.Pass.ID != "" || c.m.Pass.ID != "" {
		return c.m.Pass.ID == m.Pass.ID
	}
	return c.m.Bird.Catalog == m.Bird.Catalog && c.sent.Sub(at).Abs() < LookBack
}

// touch notes that a line made or changed a contact.
func (c *contact) touch(l *line) {
	if id := l.message.said.Message; !slices.Contains(c.by, id) {
		c.by = append(c.by, id)
	}
	if !slices.Contains(l.came, c.key) {
		l.came = append(l.came, c.key)
	}
}

// A book holds the contacts so far, in the order of their making.
type book struct {
	*Facts
	contacts []*contact
	byKey    map[storage.ContactKey]*contact
	byPass   map[storage.PassID][]*contact // in order; those without a pass under ""
	heard    map[storage.PassID]heard
}

// workedOn reports whether anything stands under a pass so far.
func (b *book) workedOn(id storage.PassID) bool {
	if id == "" {
		return false
	}
	return len(b.byPass[id]) > 0 || len(b.Elsewhere(id)) > 0
}

func (b *book) add(c *contact) {
	c.number = len(b.contacts)
	b.contacts = append(b.contacts, c)
	b.byKey[c.key] = c
	b.byPass[c.m.Pass.ID] = append(b.byPass[c.m.Pass.ID], c)
}

// file puts a contact under another match.
func (b *book) file(c *contact, m Match) {
	if was := c.m.Pass.ID; was != m.Pass.ID {
		delete(b.heard, was)
		delete(b.heard, m.Pass.ID)
		b.byPass[was] = slices.DeleteFunc(b.byPass[was], func(o *contact) bool { return o == c })
		i, _ := slices.BinarySearchFunc(b.byPass[m.Pass.ID], c.number, func(o *contact, n int) int { return o.number - n })
		b.byPass[m.Pass.ID] = slices.Insert(b.byPass[m.Pass.ID], i, c)
	}
	c.m = m
}

// peers are the contacts that a line's contacts join, in order: those of the pass
// or, where none is known, those near in time without one.
func (b *book) peers(m Match, at time.Time) []*contact {
	if m.Pass.ID != "" {
		return b.byPass[m.Pass.ID]
	}
	return filter(b.byPass[""], func(c *contact) bool { return c.joins(m, at) })
}

func (b *book) lastPeer(m Match, at time.Time) *contact {
	for _, c := range slices.Backward(b.peers(m, at)) {
		if c.State != storage.Dropped {
			return c
		}
	}
	return nil
}

// regrid gives a contact other grids, and its repeats with it: they are the same
// contact told twice.
func (b *book) regrid(c *contact, grids []parse.Grid) {
	before := c.Grids
	for _, other := range b.peers(c.m, c.sent) {
		repeat := other.Call == c.Call && other.State != storage.Dropped && slices.Equal(other.Grids, before)
		if other == c || repeat && len(before) > 0 {
			other.Grids = grids
		}
	}
}

// heardOn are the stations of a pass so far. The list of a pass is kept until one of
// its contacts changes.
func (b *book) heardOn(m Match, at time.Time) []parse.Station {
	h := b.heard[m.Pass.ID]
	peers := b.peers(m, at)
	if m.Pass.ID == "" {
		h = heard{}
	}
	for _, c := range peers[h.of:] {
		if c.Call.IsValid() && c.State != storage.Dropped && c.Why == "" {
			h.stations = append(h.stations, parse.Station{Call: c.Call, Grids: c.Grids})
		}
	}
	h.of = len(peers)
	b.heard[m.Pass.ID] = h
	return h.stations
}

// heard are the stations of the first of a pass's contacts.
type heard struct {
	stations []parse.Station
	of       int
}

// changed says that a contact isn't what it was when it was heard of.
func (b *book) changed(c *contact) { delete(b.heard, c.m.Pass.ID) }

// isConfirmed reports whether an unusual call was logged before, in this sitting
// too.
func (b *book) isConfirmed(call parse.Callsign) bool {
	return b.Confirmed(call) || slices.ContainsFunc(b.contacts, func(c *contact) bool {
		return c.Call == call && c.plain()
	})
}
