package bot

import (
	"slices"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/exchange"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// A past is what was worked so far: what contacts are held against.
type past struct{ *tx.Tx }

// gridsOf returns the grids that a station gave before, those given together as
// such.
func (p past) gridsOf(call parse.Callsign) [][]parse.Grid {
	var all [][]parse.Grid
	for _, c := range p.Worked(call) {
		known := slices.ContainsFunc(all, func(grids []parse.Grid) bool { return slices.Equal(grids, c.Grids) })
		if len(c.Grids) > 0 && !known {
			all = append(all, c.Grids)
		}
	}
	return all
}

// newsOf holds a contact against all that was worked earlier.
func (p past) newsOf(c storage.Contact) say.News {
	n := say.News{Station: true, StationOnBird: true}
	var named time.Time
	counted := map[given]bool{}
	for _, old := range p.Worked(c.Call) {
		if !tx.Earlier(old, c) {
			continue
		}
		if c.Name == "" && old.Name != "" && !old.Time.Before(named) {
			n.Name, named = old.Name, old.Time
		}
		n.Station = false
		n.StationOnBird = n.StationOnBird && !tx.SameBird(old, c)
		// What was told again on its pass was worked once.
		on := given{old.Pass, old.Call.String(), ""}
		if old.Pass == "" {
			on.grids = say.Grids(old.Grids) + old.Time.UTC().Format(time.DateOnly)
		}
		if !p.Repeats(old) && !counted[on] && !p.samePass(old, c) && !(tx.Imported(old) && logbook.Same(old, c)) {
			counted[on] = true
			n.Before++
		}
	}
	for _, g := range c.Grids {
		n.Grid = n.Grid || !p.SquareWorked(g, storage.BirdRef{}, c)
		n.GridOnBird = n.GridOnBird || !p.SquareWorked(g, c.Bird, c)
	}
	return n
}

// echoNews says below the echo of contacts what is new about them: of a single
// one all, of several the new things together.
func (p past) echoNews(contacts []storage.Contact) string {
	good := tx.Filter(contacts, func(c storage.Contact) bool { return c.Exported() && c.Bird.Name != "" && !p.Repeats(c) })
	if len(good) == 0 || !p.HasPast(good[0]) {
		return ""
	}
	if len(contacts) == 1 {
		return say.NewsLine(good[0].Bird.Name, p.newsOf(good[0]))
	}
	return strings.Join(p.newsTally(good), "\n")
}

// newsTally says what contacts bring together, in a few lines.
func (p past) newsTally(good []storage.Contact) []string {
	var grids, onBird []string
	stations := 0
	for _, c := range good {
		n := p.newsOf(c)
		switch {
		case n.Grid:
			grids = appendNew(grids, say.Grids(c.Grids))
		case n.GridOnBird:
			onBird = appendNew(onBird, say.Grids(c.Grids))
		}
		if n.Station {
			stations++
		}
	}
	return say.NewsTally(grids, onBird, stations)
}

// suggestions offer for each contact without a grid the grids that the same call
// gave before: a tap takes one, nothing takes it by itself.
func (p past) suggestions(contacts []storage.Contact) [][]storage.Button {
	var rows [][]storage.Button
	for _, c := range contacts {
		if c.State != storage.Incomplete || len(rows) == tx.MaxChoices {
			continue
		}
		var row []storage.Button
		for _, grids := range p.gridsOf(c.Call) {
			if len(row) < tx.MaxChoices/2 {
				given := strings.ReplaceAll(say.Grids(grids), " ", ",")
				row = append(row, tx.Button(say.StationLabel(c.Call, grids)+"?", tapGrid, c.ID, c.Version, given))
			}
		}
		if len(row) > 0 {
			rows = append(rows, row)
		}
	}
	return rows
}

// byPass counts contacts by their passes, in order.
func (p past) byPass(contacts []storage.Contact) []say.PassCount {
	var counts []say.PassCount
	for _, c := range contacts {
		name := exchange.PassNames(p.Tx, []storage.Contact{c})[0]
		if n := len(counts); n == 0 || counts[n-1].Pass != name {
			counts = append(counts, say.PassCount{Pass: name})
		}
		last := &counts[len(counts)-1]
		last.Contacts++
		last.FarthestKm = max(last.FarthestKm, shown.Contact(c).ReachKm())
	}
	return counts
}

// samePass reports whether two contacts were made on one pass or, where none is
// known, with one bird within hours.
func (p past) samePass(a, b storage.Contact) bool {
	if a.Pass != "" || b.Pass != "" {
		return a.Pass == b.Pass
	}
	return tx.SameBird(a, b) && a.Time.Sub(b.Time).Abs() < contact.LookBack
}

func appendNew(list []string, s string) []string {
	if s == "" || slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

// A given is what a station gave on a pass.
type given struct {
	pass  storage.PassID
	call  string
	grids string
}
