package bot

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// gridsOf returns the grids that a station gave before, those given together as
// such.
func (p *plan) gridsOf(call parse.Callsign) [][]parse.Grid {
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
func (p *plan) newsOf(c storage.Contact) say.News {
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
func (p *plan) echoNews(contacts []storage.Contact) string {
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
func (p *plan) newsTally(good []storage.Contact) []string {
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

func appendNew(list []string, s string) []string {
	if s == "" || slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

// suggestions offer for each contact without a grid the grids that the same call
// gave before: a tap takes one, nothing takes it by itself.
func (p *plan) suggestions(contacts []storage.Contact) [][]storage.Button {
	var rows [][]storage.Button
	for _, c := range contacts {
		if c.State != storage.Incomplete || len(rows) == tx.MaxChoices {
			continue
		}
		var row []storage.Button
		for _, grids := range p.gridsOf(c.Call) {
			if len(row) < tx.MaxChoices/2 {
				row = append(row, storage.Button{
					Label: say.StationLabel(c.Call, grids) + "?",
					Data:  fmt.Sprintf("%s:%d:%d:%s", tapGrid, c.ID, c.Version, strings.ReplaceAll(say.Grids(grids), " ", ",")),
				})
			}
		}
		if len(row) > 0 {
			rows = append(rows, row)
		}
	}
	return rows
}

// tapGrid is the button that takes a suggested grid: contact:version:grid.
const tapGrid = "grid"

// takeGrid gives a contact the grid that was suggested.
func (p *plan) takeGrid(rest string) {
	parts := strings.SplitN(rest, ":", 3)
	if len(parts) != 3 {
		p.Say(say.OldButton)
		return
	}
	id, err1 := strconv.ParseUint(parts[0], 10, 64)
	version, err2 := strconv.Atoi(parts[1])
	grids, err3 := tx.GridsIn(parts[2])
	c, ok := p.Contact(id)
	if err1 != nil || err2 != nil || err3 != nil || !ok || c.Version != version {
		p.Say(say.Settled(shown.Contact(c), ok))
		return
	}
	p.decide(c, contact.Take, &storage.Candidate{Call: c.Call, Grids: grids})
}

// showDay shows a day of the operator's: how much, what was new, how far, by pass.
func (p *plan) showDay(word string) {
	at := p.Event.At
	if word != "" {
		date, err := time.ParseInLocation(time.DateOnly, word, p.Local())
		if err != nil {
			p.Say(say.BadDay(word))
			return
		}
		at = date
	}
	from := tx.StartOfDay(at, p.Local())
	all := tx.List(p.Tx, func() ([]storage.Contact, error) {
		return p.View.Contacts(p.Op.ID, from, tx.StartOfDay(from.Add(tx.Day+tx.Day/2), p.Local()))
	})
	good := logbook.Entries(all)
	p.Say(say.DayInAll(say.Day{
		Date: from.In(p.Local()), Contacts: shown.Contacts(good), News: p.newsTally(good), Passes: p.byPass(good),
	}))
}

// byPass counts contacts by their passes, in order.
func (p *plan) byPass(contacts []storage.Contact) []say.PassCount {
	var counts []say.PassCount
	for _, c := range contacts {
		name := p.PassNames([]storage.Contact{c})[0]
		if n := len(counts); n == 0 || counts[n-1].Pass != name {
			counts = append(counts, say.PassCount{Pass: name})
		}
		last := &counts[len(counts)-1]
		last.Contacts++
		last.FarthestKm = max(last.FarthestKm, shown.Contact(c).ReachKm())
	}
	return counts
}

// A given is what a station gave on a pass.
type given struct {
	pass  storage.PassID
	call  string
	grids string
}

// samePass reports whether two contacts were made on one pass or, where none is
// known, with one bird within hours.
func (p *plan) samePass(a, b storage.Contact) bool {
	if a.Pass != "" || b.Pass != "" {
		return a.Pass == b.Pass
	}
	return tx.SameBird(a, b) && a.Time.Sub(b.Time).Abs() < contact.LookBack
}
