package contact

import (
	"slices"

	"skyslate/bot/idiom"
	"skyslate/parse"
	"skyslate/storage"
)

// A Naming is a line about a contact that it names by its call: it goes, or has another
// call or grid. Of two calls the log has the one, and the other is right.
type Naming struct {
	Calls []parse.Callsign
	says  []string     // what a contact with each of them should be; none: it goes
	not   []parse.Grid // which grid of its was wrong
	sure  bool         // it can't tell a new contact
	Words string       // behind: they may say which pass
}

// NamingIn reads a line as one that names a contact by its call.
func NamingIn(text string) (Naming, bool) {
	read, ok := idiom.Named(text)
	word, err := parse.ParseCallsign(read.Word)
	if !ok || err != nil {
		return Naming{}, false
	}
	n := Naming{Calls: []parse.Callsign{word}, sure: true, Words: read.Rest}
	if read.Drop {
		return n, true
	}
	n.says = []string{read.Other}
	not, wrong := parse.ParseGrid(read.Not)
	if wrong == nil {
		n.not = []parse.Grid{not}
	}
	if other, err := parse.ParseCallsign(read.Other); err == nil && read.Not == "" {
		n.Calls, n.says = append(n.Calls, other), append(n.says, read.Word)
		return n, true
	}
	n.sure = read.Corrects || wrong == nil
	_, err = parse.ParseGrid(read.Other)
	return n, err == nil && (read.Not == "" || wrong == nil)
}

// Names reports whether a contact is one that the line may mean.
func (n Naming) Names(c storage.Contact) bool {
	return c.State != storage.Dropped && slices.Contains(n.Calls, c.Call) && (n.not == nil || slices.Equal(n.not, c.Grids))
}

// Sure reports whether the line can tell no new contact.
func (n Naming) Sure() bool { return n.sure }

// ofCall takes what a line says of a contact that it names by its call; false if it may
// tell a new one. The pass that its words name was found when it was sent.
func (d *derivation) ofCall(l *line) bool {
	n, means := l.names, func(c *contact) bool { return l.names.Names(c.Contact) }
	among := d.peers(l.match, l.at())
	switch r := l.message.said.Reply; {
	case r != nil:
		among = d.answered(r)
	case n.says != nil && n.Words != "":
		return false
	case n.sure && !slices.ContainsFunc(among, means):
		if last := lastOf(d.contacts, means); last != nil {
			among = d.peers(last.m, last.sent)
		}
	}
	found := filter(among, means)
	if len(found) == 0 {
		if n.sure {
			l.message.outcome.Ignored = NoCall
		}
		return n.sure
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
		if n.says == nil {
			c.State, c.kept = storage.Dropped, false
			d.touch(c, l)
		} else if says, ok := answerIn(d.readText(l, n.says[slices.Index(n.Calls, first.Call)], true)); ok {
			d.amend(c, spoken(says, c), l)
		}
	}
	return true
}
