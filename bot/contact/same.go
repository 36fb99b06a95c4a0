package contact

import (
	"regexp"
	"slices"
	"strings"

	"skyslate/parse"
	"skyslate/storage"
)

// sameGrid are the words that stand for the grid that a station gave before. Common
// practice, no source.
var sameGrid = regexp.MustCompile(`(?i)(?:\b|^)(?:(?:the )?same (?:grid|square|loc(?:ator)?|qth|place)(?: as (?:before|last time|always|usual))?` +
	`|(?:same )?as (?:before|last time|always|usual)|grid as (?:before|usual)` +
	`|(?:gleiches?|selbes|selber) (?:grid|feld|loc(?:ator)?|qth)(?: wie (?:vorher|immer|letztes mal))?|wie (?:vorher|immer|letztes mal|zuletzt)` +
	`|(?:el )?mismo (?:grid|locator|cuadro|qth)|como (?:antes|siempre)` +
	`|(?:le )?m[eê]me (?:grid|locator|carr[eé]|qth)|comme (?:avant|toujours)` +
	`|(?:lo )?stesso (?:grid|locator|quadrato|qth)|come (?:prima|sempre)` +
	`|(?:o )?mesmo (?:grid|locator|quadrado|qth)|onaji (?:grid|basho))(?:\b|$)`)

// withoutSame is a line without the words that stand for a grid told before.
func withoutSame(text string) (rest string, same bool) {
	rest = sameGrid.ReplaceAllString(text, " ")
	return strings.TrimSpace(rest), rest != text
}

// fillSame gives the contacts of a line the grid that their station gave last: before
// in this sitting, or in the log. Where it gave several, or none and somebody else may
// be meant, it is asked.
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
	for _, grids := range d.Given(call) {
		add(grids)
	}
	return all
}

// sameAlone takes "same grid" as all of a line: it is that of the contact answered, or
// of the last one, that has none.
func (d *derivation) sameAlone(l *line) {
	of := d.peers(l.match, l.at())
	if r := l.message.said.Reply; r != nil {
		of = nil
		for _, key := range d.answeredKeys(r) {
			if c := d.byKey[key]; c != nil {
				of = append(of, c)
			}
		}
	}
	for _, c := range slices.Backward(of) {
		if !c.plain() || len(c.Grids) > 0 {
			continue
		}
		read := parse.Line{Contacts: []parse.Contact{{Call: c.Call, Why: parse.NoGrid, Verdict: parse.Ask, Text: l.text}}}
		d.fillSame(l, &read)
		if now := read.Contacts[0]; now.Why != parse.NoGrid {
			d.amend(c, now, l)
		}
		return
	}
}
