package contact

import (
	"fmt"
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
	r := l.message.said.Reply
	if r == nil && n.Says != nil && n.Words != "" {
		return false
	}
	late := l.bird == nil && r == nil && l.at().After(l.match.Pass.LOS)
	found := filter(d.meantBy(l, "", func(m Match) []*contact {
		pass := m.Pass
		if late && pass.ID == l.match.Pass.ID {
			return filter(d.contacts, means) // of whichever pass: it is asked
		}
		if !n.Sure && !n.Open && pass.ID != l.match.Pass.ID && pass.ID != l.message.said.Listed && l.at().Sub(pass.LOS) > Lingering {
			return nil // it tells a new one by now
		}
		return filter(d.peers(m, l.at()), means)
	}, func() []*contact {
		if last := lastOf(d.contacts, means); last != nil && (n.Sure || n.Open) {
			return filter(d.peers(last.m, last.sent), means)
		}
		return nil
	}), means)
	if r != nil {
		found = filter(d.answered(r), means)
	}
	if len(found) == 0 {
		if n.Sure {
			l.message.outcome.Ignored = NoCall
		}
		return n.Sure
	}
	first := found[0]
	differ := func(c *contact) bool {
		return c.Call != first.Call || c.m.group() != first.m.group() || len(n.Calls) == 1 && !slices.Equal(c.Grids, first.Grids)
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
			why := c.Why
			if d.amend(c, spoken(says, c), l); !n.Open && Questionable(why) && c.Why == "" {
				c.Why = why // what is put right says nothing of whether it was
			}
		}
	}
	return true
}

// meantBy are the contacts that a line means, by what it names them with: on the pass that
// it says itself; else of the list that was asked for right before it; else on the pass of
// the last contact, and on the one that the line would be filed under, or elsewhere. It is asked once:
// what comes or moves later changes neither what a line meant nor that it was refused.
func (d *derivation) meantBy(l *line, by string, on func(Match) []*contact, elsewhere func() []*contact) (found []*contact) {
	said := l.message.said
	name := fmt.Sprint(said.Message, " ", by, " ", l.text)
	if l.bird != nil {
		name += " " + l.bird.Name
	}
	keys := d.Meant(name, func() (keys []storage.ContactKey) {
		for _, c := range d.find(l, on, elsewhere) {
			keys = append(keys, c.key)
		}
		return keys
	})
	for _, key := range keys {
		if c := d.byKey[key]; c != nil {
			found = append(found, c)
		}
	}
	return found
}

// find finds the contacts that meantBy is about.
func (d *derivation) find(l *line, on func(Match) []*contact, elsewhere func() []*contact) []*contact {
	here := on(l.match)
	if l.bird != nil || l.message.said.Reply != nil {
		return here
	}
	if listed, ok := d.Pass(l.message.said.Listed); ok {
		if all := on(d.under(listed, ByReply)); len(all) > 0 {
			return all
		}
	}
	if last := d.lastSaid(); last != nil && last.m.group() != l.match.group() {
		here = append(here, on(last.m)...)
	}
	if len(here) == 0 && elsewhere != nil {
		return elsewhere()
	}
	return here
}

// lastSaid is the contact that was told or changed last, wherever it stands.
func (d *derivation) lastSaid() *contact { return lastOf(d.contacts, (*contact).stands) }
