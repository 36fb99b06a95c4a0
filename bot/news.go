package bot

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// News is what a contact brings that nothing earlier did, ever or with its bird.
type news struct {
	station, grid             bool
	stationOnBird, gridOnBird bool
	before                    int       // contacts with the station, earlier passes
	last                      time.Time // the latest of them
	name                      string    // that the station gave last, where this contact has none
}

// worked returns the earlier contacts with a station that belong in a log.
func (p *plan) worked(call parse.Callsign) []storage.Contact {
	all := list(p, func() ([]storage.Contact, error) { return p.view.ContactsOfCall(p.op.ID, call) })
	return p.overlay(all, func(c storage.Contact) bool { return c.Call == call && remembered(c) })
}

// gridsOf returns the grids that a station gave before, those given together as
// such.
func (p *plan) gridsOf(call parse.Callsign) [][]parse.Grid {
	var all [][]parse.Grid
	for _, c := range p.worked(call) {
		known := slices.ContainsFunc(all, func(grids []parse.Grid) bool { return slices.Equal(grids, c.Grids) })
		if len(c.Grids) > 0 && !known {
			all = append(all, c.Grids)
		}
	}
	return all
}

// remembered reports whether a contact tells what was worked: it stands in the
// log, or came from a file.
func remembered(c storage.Contact) bool { return c.Exported() || c.State == storage.Remembered }

func earlier(a, b storage.Contact) bool {
	return a.ID != b.ID && remembered(a) && (a.Time.Before(b.Time) || a.Time.Equal(b.Time) && a.ID < b.ID)
}

// hasPast reports whether anything was worked before a contact's pass. Where
// nothing was, all is new, and saying so says nothing.
func (p *plan) hasPast(c storage.Contact) bool {
	begin := c.Time.Add(-contact.LookAhead)
	if pass, ok := p.pass(c.Pass); ok {
		begin = pass.AOS.Add(-contact.ClockSlack)
	}
	found := false
	p.visit(func() error {
		return p.view.VisitByTime(p.op.ID, func(old storage.Contact) bool {
			at := old.Time
			if now, changed := p.contacts[old.ID]; changed {
				old = now
			}
			found = remembered(old) && old.Time.Before(begin)
			return !found && at.Before(begin)
		})
	})
	return found
}

// visit runs a visit of the store unless a read failed before.
func (p *plan) visit(walk func() error) {
	if p.err == nil {
		p.err = walk()
	}
}

// newsOf holds a contact against all that was worked earlier.
func (p *plan) newsOf(c storage.Contact) say.News {
	n := say.News{Station: true, StationOnBird: true}
	var named time.Time
	counted := map[exchange]bool{}
	for _, old := range p.worked(c.Call) {
		old, ok := p.contact(old.ID)
		if !ok || !earlier(old, c) {
			continue
		}
		if c.Name == "" && old.Name != "" && !old.Time.Before(named) {
			n.Name, named = old.Name, old.Time
		}
		n.Station = false
		n.StationOnBird = n.StationOnBird && !sameBird(old, c)
		// What was told again on its pass was worked once.
		on := exchange{old.Pass, old.Call.String(), ""}
		if old.Pass == "" {
			on.grids = say.Grids(old.Grids) + old.Time.UTC().Format(time.DateOnly)
		}
		if !p.repeats(old) && !counted[on] && !p.samePass(old, c) && !(imported(old) && logbook.Same(old, c)) {
			counted[on] = true
			n.Before++
		}
	}
	for _, g := range c.Grids {
		n.Grid = n.Grid || !p.squareWorked(g, storage.BirdRef{}, c)
		n.GridOnBird = n.GridOnBird || !p.squareWorked(g, c.Bird, c)
	}
	return n
}

// samePass reports whether two contacts were made on one pass or, where none is
// known, with one bird within hours.
func (p *plan) samePass(a, b storage.Contact) bool {
	if a.Pass != "" || b.Pass != "" {
		return a.Pass == b.Pass
	}
	return sameBird(a, b) && a.Time.Sub(b.Time).Abs() < contact.LookBack
}

func sameBird(a, b storage.Contact) bool {
	return strings.EqualFold(cmp.Or(a.Bird.LogName, a.Bird.Name), cmp.Or(b.Bird.LogName, b.Bird.Name))
}

// squareKey is a square, and the bird it was worked with; no bird is any.
type squareKey struct {
	square parse.Grid
	bird   storage.BirdRef
}

// squareWorked reports whether a square was worked before a contact, with one
// bird or with any.
func (p *plan) squareWorked(g parse.Grid, bird storage.BirdRef, c storage.Contact) bool {
	key := squareKey{g.Square(), bird}
	if known, ok := p.workedIn[key]; ok && earlier(known, c) {
		return true
	}
	found := false
	p.visit(func() error {
		return p.view.VisitSquare(p.op.ID, g, bird, func(old storage.Contact) bool {
			if now, changed := p.contacts[old.ID]; changed {
				old = now
			}
			found = earlier(old, c) && slices.ContainsFunc(old.Grids, func(o parse.Grid) bool { return o.Square() == g.Square() })
			if found {
				p.workedIn[key] = old
			}
			return !found
		})
	})
	for _, old := range p.contacts {
		if !found && earlier(old, c) && (bird.Name == "" || sameBird(old, c)) {
			found = slices.ContainsFunc(old.Grids, func(o parse.Grid) bool { return o.Square() == g.Square() })
		}
	}
	return found
}

// echoNews says below the echo of contacts what is new about them: of a single
// one all, of several the new things together.
func (p *plan) echoNews(contacts []storage.Contact) string {
	good := only(contacts, func(c storage.Contact) bool { return c.Exported() && c.Bird.Name != "" && !p.repeats(c) })
	if len(good) == 0 || !p.hasPast(good[0]) {
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
		if c.State != storage.Incomplete || len(rows) == maxChoices {
			continue
		}
		var row []storage.Button
		for _, grids := range p.gridsOf(c.Call) {
			if len(row) < maxChoices/2 {
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
		p.say(say.OldButton)
		return
	}
	id, err1 := strconv.ParseUint(parts[0], 10, 64)
	version, err2 := strconv.Atoi(parts[1])
	grids, err3 := gridsIn(parts[2])
	c, ok := p.contact(id)
	if err1 != nil || err2 != nil || err3 != nil || !ok || c.Version != version {
		p.say(say.Settled(contactView(c), ok))
		return
	}
	p.decide(c, contact.Take, &storage.Candidate{Call: c.Call, Grids: grids})
}

// showDay shows a day of the operator's: how much, what was new, how far, by pass.
func (p *plan) showDay(word string) {
	at := p.ev.At
	if word != "" {
		date, err := time.ParseInLocation(time.DateOnly, word, p.local())
		if err != nil {
			p.say(say.BadDay(word))
			return
		}
		at = date
	}
	from := startOfDay(at, p.local())
	all := list(p, func() ([]storage.Contact, error) {
		return p.view.Contacts(p.op.ID, from, startOfDay(from.Add(day+day/2), p.local()))
	})
	good := logbook.Entries(all)
	p.say(say.DayInAll(say.Day{
		Date: from.In(p.local()), Contacts: contactViews(good), News: p.newsTally(good), Passes: p.byPass(good),
	}))
}

// byPass counts contacts by their passes, in order.
func (p *plan) byPass(contacts []storage.Contact) []say.PassCount {
	var counts []say.PassCount
	for _, c := range contacts {
		name := p.passNames([]storage.Contact{c})[0]
		if n := len(counts); n == 0 || counts[n-1].Pass != name {
			counts = append(counts, say.PassCount{Pass: name})
		}
		last := &counts[len(counts)-1]
		last.Contacts++
		last.FarthestKm = max(last.FarthestKm, contactView(c).ReachKm())
	}
	return counts
}
