package contact

import (
	"slices"

	"skyslate/parse"
	"skyslate/storage"
)

// ofNumber takes what a line says of a contact by its number.
func (d *derivation) ofNumber(l *line) {
	read := d.read(l)
	key, known := d.Numbered(l.match.Pass.ID, l.about, l.message.said.Message)
	c := d.byKey[key]
	if !known || c == nil || c.State == storage.Dropped {
		if _, says := answerIn(read); says || read.Withdraws || markOnly.MatchString(l.text) {
			l.message.outcome.Ignored = NoNumber
		}
		return
	}
	read.Contacts = slices.Clone(read.Contacts) // the memo's
	for i := range read.Contacts {
		read.Contacts[i].Corrects = true
	}
	d.answered(l, read, []*contact{c}, false)
}

// fillSame gives the contacts of a line the grid that their station gave before in this
// sitting; of several it is asked. What other sittings have is offered as for any call
// without a grid: it may have changed since, and an edit there would change it here.
func (d *derivation) fillSame(l *line, read *parse.Line) {
	read.Contacts = slices.Clone(read.Contacts) // the memo's
	for i := range read.Contacts {
		c := &read.Contacts[i]
		if !c.Call.IsValid() || len(c.Grids) > 0 || c.Why != parse.NoGrid && c.Verdict != parse.Log {
			continue
		}
		switch given := d.givenBy(c.Call, l); len(given) {
		case 0:
		case 1:
			c.Grids, c.Candidates, c.Why, c.Verdict = given[0], nil, "", parse.Log
		default:
			c.Candidates, c.Why, c.Verdict = nil, parse.Ambiguous, parse.Ask
			for _, grids := range given {
				c.Candidates = append(c.Candidates, parse.Candidate{Call: c.Call, Grids: grids})
			}
		}
	}
}

// givenBy are the grids that a station gave before a line, those given together as
// such, the latest first.
func (d *derivation) givenBy(call parse.Callsign, l *line) [][]parse.Grid {
	var all [][]parse.Grid
	add := func(grids []parse.Grid) {
		if len(grids) > 0 && !slices.ContainsFunc(all, func(o []parse.Grid) bool { return slices.Equal(o, grids) }) {
			all = append(all, grids)
		}
	}
	for _, c := range slices.Backward(d.contacts) {
		if c.Call == call && c.line != l && c.State != storage.Dropped && c.Why == "" {
			add(c.Grids)
		}
	}
	return all
}

// sameAlone takes "same grid" as all of a line: it is that of the contact answered, or
// of the last one, that has none.
func (d *derivation) sameAlone(l *line) {
	of := d.peers(l.match, l.at())
	if r := l.message.said.Reply; r != nil {
		of = d.targets(r)
	}
	for _, c := range slices.Backward(of) {
		if !c.plain() || len(c.Grids) > 0 {
			continue
		}
		read := parse.Line{Contacts: []parse.Contact{{Call: c.Call, Why: parse.NoGrid, Verdict: parse.Ask, Text: l.text}}}
		if d.fillSame(l, &read); read.Contacts[0].Why == parse.NoGrid {
			l.message.outcome.Ignored = NoneGiven
			return
		}
		d.amend(c, read.Contacts[0], l)
		return
	}
}
