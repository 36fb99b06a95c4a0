// Package past holds contacts against all that was worked before: what is new about
// them, and which grids a station gave.
package past

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/lists"
	"skyslate/bot/phrase"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/parse/slip"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// TapGrid is the verb of the button that takes a suggested grid: contact:version:grids:told.
const TapGrid = "grid"

// GridButton gives a contact grids; told is the contact that was made of the line with them, and
// goes then, or 0.
func GridButton(label string, c storage.Contact, grids []parse.Grid, told uint64) storage.Button {
	return tx.Button(label, TapGrid, c.ID, c.Version, strings.ReplaceAll(phrase.Grids(grids), " ", ","), told)
}

// A Past is what was worked, as an event leaves it.
type Past struct{ *tx.Tx }

// gridsOf are the grids to offer for a contact without one: that of the sked on its
// pass first, then where the station says itself that it stands, if both compare their
// logs, then those that it gave, the latest first.
func (p Past) gridsOf(c storage.Contact) [][]parse.Grid {
	all := tx.GridsGiven(p.Worked(c.Call))
	first := func(grids []parse.Grid) {
		all = slices.DeleteFunc(all, func(o []parse.Grid) bool { return slices.Equal(o, grids) })
		all = slices.Insert(all, 0, grids)
	}
	if own := p.Op.Agreeing; own.Call.IsValid() && !c.Time.Before(own.Since) {
		if others := p.View.CallersOf(c.Call.Base()); len(others) == 1 && others[0] != p.Op.ID {
			o, _ := tx.Got(p.Tx, func() (storage.Operator, bool, error) { return p.View.Operator(others[0]) })
			first(parse.Squares(o.Place.Grids))
		}
	}
	pass, _ := p.Pass(c.Pass)
	for _, s := range pass.Skeds {
		if s.Call == c.Call {
			first([]parse.Grid{s.Grid})
		}
	}
	return all
}

// earlier are the contacts with a station before one, of each pass, and of each day
// without one, a single one: what is told again there, or by a file, was worked once.
func (p Past) earlier(c storage.Contact) []storage.Contact {
	counted := map[string]bool{} // passes and days
	return lists.Filter(p.Worked(c.Call), func(old storage.Contact) bool {
		on := cmp.Or(string(old.Pass), phrase.Grids(old.Grids)+old.Time.UTC().Format(time.DateOnly))
		if !tx.Earlier(old, c) || p.Repeats(old) || counted[on] || samePass(old, c) || tx.Imported(old) && logbook.Same(old, c) {
			return false
		}
		counted[on] = true
		return true
	})
}

// Before are the contacts with a call so far, counted as echoes count them.
func (p Past) Before(call parse.Callsign) []storage.Contact {
	return p.earlier(storage.Contact{Call: call, Time: p.Now().Add(tx.Day)})
}

// newsOf holds a contact against all that was worked earlier.
func (p Past) newsOf(c storage.Contact) say.News {
	n := say.News{Station: true, StationOnBird: true, Before: len(p.earlier(c))}
	var named time.Time
	for _, old := range p.Worked(c.Call) {
		if !tx.Earlier(old, c) {
			continue
		}
		if c.Name == "" && old.Name != "" && !old.Time.Before(named) {
			n.Name, named = old.Name, old.Time
		}
		n.Station = false
		n.StationOnBird = n.StationOnBird && !tx.SameBird(old, c)
	}
	for _, g := range c.Grids {
		n.Grid = n.Grid || !p.SquareWorked(g, storage.BirdRef{}, c)
		n.GridOnBird = n.GridOnBird || !p.SquareWorked(g, c.Bird, c)
	}
	return n
}

// InSquare are the contacts with stations in a square, in any state.
func (p Past) InSquare(g parse.Grid) []storage.Contact {
	given := func(c storage.Contact) bool {
		return slices.ContainsFunc(c.Grids, func(o parse.Grid) bool { return o.Square() == g.Square() })
	}
	var stored []storage.Contact
	p.Visit(func() error {
		return p.View.VisitSquare(p.Op.ID, g, storage.BirdRef{}, func(c storage.Contact) bool {
			stored = append(stored, c)
			return true
		})
	})
	return p.Overlay(stored, given)
}

// CallsOf are the calls of one base that stand in the log, such as a station's at home
// and the one with which it is out.
func (p Past) CallsOf(base string) []parse.Callsign {
	var calls []parse.Callsign
	add := func(c storage.Contact) bool {
		if c.Call.IsValid() && c.Call.Base() == base && !slices.Contains(calls, c.Call) {
			calls = append(calls, c.Call)
		}
		return true
	}
	p.Visit(func() error { return p.View.VisitTail(p.Op.ID, base, add) })
	for _, c := range p.Contacts {
		add(c)
	}
	return calls
}

// HasPast reports whether anything was worked before a contact's pass. Where
// nothing was, all is new, and saying so says nothing.
func (p Past) HasPast(c storage.Contact) bool {
	begin := c.Time.Add(-filing.LookAhead)
	if pass, ok := p.Pass(c.Pass); ok {
		begin = pass.AOS.Add(-timing.ClockSlack)
	}
	found := false
	p.Visit(func() error {
		return p.View.VisitByTime(p.Op.ID, func(old storage.Contact) bool {
			at := old.Time
			if now, changed := p.Contacts[old.ID]; changed {
				old = now
			}
			found = tx.Remembered(old) && old.Time.Before(begin)
			return !found && at.Before(begin)
		})
	})
	for _, old := range p.Contacts {
		found = found || tx.Remembered(old) && old.Time.Before(begin)
	}
	return found
}

// Answer says whether a station, under whatever marks of its call, or a grid was worked
// by a bird: by the one that was named, else by another, else in another way.
func (p Past) Answer(asked filing.Inquiry) string {
	var all, before []storage.Contact
	of := asked.Call.String()
	if asked.Call.IsValid() {
		for _, call := range p.CallsOf(asked.Call.Base()) {
			all, before = append(all, p.Worked(call)...), append(before, p.Before(call)...)
		}
	} else {
		of = phrase.Grids(asked.Grids)
		for _, g := range asked.Grids {
			all = append(all, lists.Filter(p.InSquare(g), func(c storage.Contact) bool { return tx.Remembered(c) && !p.Repeats(c) })...)
		}
	}
	otherwise := lists.Filter(all, func(c storage.Contact) bool { return !tx.ByBird(c) })
	if all = lists.Filter(all, tx.ByBird); asked.Call.IsValid() {
		all = before
	}
	onBird := lists.Filter(all, func(c storage.Contact) bool { return tx.SameBird(c, storage.Contact{Bird: asked.Bird}) })
	lead := ""
	switch {
	case len(all)+len(otherwise) == 0:
		return say.NeverWorked(of)
	case len(all) == 0:
		lead, all, otherwise = say.NotByBird, otherwise, nil
	case asked.Bird.Name != "" && len(onBird) == 0:
		lead = say.NotOnBird(asked.Bird.Name)
	case asked.Bird.Name != "":
		all = onBird
	}
	last := slices.MaxFunc(all, func(a, b storage.Contact) int { return a.Time.Compare(b.Time) })
	return say.WorkedBefore(lead, len(all), shown.Contact(last), len(otherwise))
}

// EchoNews says below the echo of contacts what is new about them: of a single
// one all, of several the new things together.
func (p Past) EchoNews(contacts []storage.Contact) string {
	good := lists.Filter(contacts, func(c storage.Contact) bool { return c.Exported() && c.Bird.Name != "" && !p.Repeats(c) })
	if len(good) == 0 {
		return ""
	}
	if twin := p.twinOf(good[0]); len(contacts) == 1 && twin.IsValid() {
		return say.TwinLine(twin)
	}
	wanted := say.WantedLine(p.wantedIn(good))
	switch {
	case !p.HasPast(good[0]):
		return wanted
	case len(contacts) == 1:
		return strings.Trim(wanted+"\n"+say.NewsLine(good[0].Bird.Name, p.newsOf(good[0])), "\n")
	}
	return strings.Trim(wanted+"\n"+strings.Join(p.Tally(good), "\n"), "\n")
}

// wantedIn are the squares of contacts that the operator looks out for, on an outing those
// of that.
func (p Past) wantedIn(contacts []storage.Contact) (found []parse.Grid) {
	for _, c := range contacts {
		wanted := p.Op.Wanted
		if o, out := p.Op.OutingAt(c.Time); out {
			wanted = o.Wanted
		}
		for _, g := range c.Grids {
			if square := g.Square(); slices.Contains(wanted, square) && !slices.Contains(found, square) {
				found = append(found, square)
			}
		}
	}
	return found
}

// twinOf is a call that was told before on the same pass with the same grid and is one
// character off: rather one station mistyped than two. Who was worked on another pass is
// no slip.
func (p Past) twinOf(c storage.Contact) (twin parse.Callsign) {
	if c.Pass == "" || len(c.Grids) == 0 || len(p.earlier(c)) > 0 {
		return twin
	}
	for _, old := range p.InSquare(c.Grids[0]) {
		said, was := c.Call.Base(), old.Call.Base()
		if old.Pass == c.Pass && old.Exported() && old.ID < c.ID && said != was && slip.One(said, was) {
			twin = old.Call
		}
	}
	return twin
}

// Tally says what contacts bring together, in a few lines.
func (p Past) Tally(good []storage.Contact) []string {
	var grids, onBird []string
	stations := 0
	for _, c := range good {
		n := p.newsOf(c)
		switch {
		case n.Grid:
			grids = appendNew(grids, phrase.Grids(c.Grids))
		case n.GridOnBird:
			onBird = appendNew(onBird, phrase.Grids(c.Grids))
		}
		if n.Station {
			stations++
		}
	}
	return say.NewsTally(grids, onBird, stations)
}

// Suggestions offer for each contact without a grid the grids that the same call
// gave before: a tap takes one, nothing takes it by itself.
func (p Past) Suggestions(contacts []storage.Contact) [][]storage.Button {
	var rows [][]storage.Button
	for _, c := range contacts {
		if c.State != storage.Incomplete || len(rows) == tx.MaxChoices {
			continue
		}
		var row []storage.Button
		for _, grids := range p.gridsOf(c) {
			if len(row) < tx.MaxChoices/2 {
				row = append(row, GridButton(say.StationLabel(c.Call, grids)+"?", c, grids, 0))
			}
		}
		if len(row) > 0 {
			rows = append(rows, row)
		}
	}
	return rows
}

// samePass reports whether two contacts were made on one pass or, where none is
// known, with one bird within hours.
func samePass(a, b storage.Contact) bool {
	if a.Pass != "" || b.Pass != "" {
		return a.Pass == b.Pass
	}
	return tx.SameBird(a, b) && a.Time.Sub(b.Time).Abs() < filing.LookBack
}

func appendNew(list []string, s string) []string {
	if s == "" || slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}
