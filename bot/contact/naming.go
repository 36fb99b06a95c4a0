package contact

import (
	"slices"

	"skyslate/bot/idiom"
	"skyslate/storage"
)

// Names reports whether a contact is one that a line may mean by a call.
func Names(n idiom.Naming, c storage.Contact) bool {
	asked := (c.State == "" || c.State == storage.Doubtful) && (c.Note != "" || Questionable(c.Why))
	_, means := n.Means(c.Call)
	return means && c.State != storage.Dropped && (asked || !n.Open) && (n.Grids == nil || slices.Equal(n.Grids, c.Grids))
}

// ofCall takes what a line says of a contact that it names by its call; false if it may
// tell a new one. The pass that its words name was found when it was sent.
func (d *derivation) ofCall(l *line) bool {
	n := l.names
	means := func(c *contact) bool {
		taken, answered := c.accepted[WhyWords]
		return Names(*n, c.Contact) && !(n.Open && c.Why == "" && answered && taken == c.Note)
	}
	among := d.peers(l.match, l.at())
	switch r := l.message.said.Reply; {
	case r != nil:
		among = d.answered(r)
	case n.Says != nil && n.Words != "":
		return false
	case (n.Sure || n.Open) && !slices.ContainsFunc(among, means):
		if last := lastOf(d.contacts, means); last != nil {
			among = d.peers(last.m, last.sent)
		}
	}
	found := filter(among, means)
	if len(found) == 0 {
		if n.Sure {
			l.message.outcome.Ignored = NoCall
		}
		return n.Sure
	}
	first := found[0]
	differ := func(c *contact) bool {
		return c.Call != first.Call || len(n.Calls) == 1 && !slices.Equal(c.Grids, first.Grids)
	}
	if slices.ContainsFunc(found, differ) {
		l.message.outcome.Ignored = WhichOne
		return true
	}
	l.named = true
	for _, c := range found {
		if n.Says == nil {
			c.State, c.kept = storage.Dropped, false
			d.touch(c, l)
			continue
		}
		text, _ := n.Means(c.Call)
		if says, ok := answerIn(d.readText(l, text, true)); ok {
			d.amend(c, spoken(says, c), l)
		}
	}
	return true
}
