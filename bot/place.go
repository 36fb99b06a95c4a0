package bot

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// placeHolds is how long a place is taken for granted. Common practice, no
// source: a day's outing has several stops.
const placeHolds = 6 * time.Hour

// placed takes a shared location as the place. A live one moves: it speaks only
// when it crosses into another square, once it is sure of it.
func (p *plan) placed() {
	s := p.Event.Spot
	if s == nil || math.Abs(s.LatDeg) > 90 || math.Abs(s.LonDeg) > 180 {
		p.Say(say.BadPlace)
		return
	}
	grid := parse.GridAt(s.LatDeg, s.LonDeg, 6)
	if s.Live && len(p.Op.Place.Grids) > 0 {
		p.moved(grid, *s)
		return
	}
	side, corner := borders(s.LatDeg, s.LonDeg)
	p.setPlace([]parse.Grid{grid}, s.LatDeg, s.LonDeg, "\n"+say.Borders(grid.Square(), side, corner, s.AccuracyM))
}

// moved follows a live location.
func (p *plan) moved(grid parse.Grid, s event.Spot) {
	own := p.Op.Place.Grids
	inside := slices.ContainsFunc(own, func(g parse.Grid) bool { return g.Square() == grid.Square() })
	side, _ := borders(s.LatDeg, s.LonDeg)
	switch {
	case inside && (len(own) > 1 || own[0] == grid || own[0].Chars() == 4):
		// A line or a corner claimed, or a square named by hand: still there.
		p.Op.Place.Confirmed = p.Event.At
	case inside:
		horizon := p.Op.Place.Horizon
		p.movePlace([]parse.Grid{grid}, s.LatDeg, s.LonDeg)
		p.Op.Place.Horizon = horizon
		if p.Ready() {
			p.replan()
		}
	case s.AccuracyM > side.Metres:
		// Perhaps across, perhaps not: the next one will tell.
	default:
		text := say.Crossed(own, parse.GridAt(s.LatDeg, s.LonDeg, 6))
		if p.movePlace([]parse.Grid{grid}, s.LatDeg, s.LonDeg) {
			text += "\n" + say.LevelAgain
		}
		p.settled(text)
	}
}

// askHere reports whether the operator should say that the place still holds: it
// is old, or another than the one that the outing's contacts were made from.
func (p *plan) askHere() bool {
	place := p.Op.Place
	last := tx.Later(place.Set, place.Confirmed)
	if o, out := p.outingNow(); out && p.apartFrom(o) {
		return false // the outing asks
	}
	if len(place.Grids) == 0 || !place.Asked.Before(p.Now().Add(-placeHolds)) && place.Asked.After(last) {
		return false
	}
	if p.Now().Sub(last) > placeHolds {
		return true
	}
	if !place.Confirmed.IsZero() && !place.Confirmed.Before(place.Set) {
		return false
	}
	outing := tx.List(p.Tx, func() ([]storage.Contact, error) {
		return p.View.Contacts(p.Op.ID, p.Now().Add(-placeHolds), p.Now())
	})
	return slices.ContainsFunc(outing, func(c storage.Contact) bool {
		return c.State != storage.Dropped && !slices.Equal(c.OwnGrids, place.Grids)
	})
}

func (p *plan) hereButton() storage.Button {
	p.Op.Place.Asked = p.Now()
	return storage.Button{
		Label: say.StillInLabel(shown.Place(p.Op.Place)), Data: tapHere + ":" + strconv.FormatInt(p.Op.Place.Set.Unix(), 10),
	}
}

// checkPlace asks, where contacts come in, whether the place still holds; a
// reminder that asked the same is enough.
func (p *plan) checkPlace() {
	if len(p.Contacts) == 0 || !p.askHere() {
		return
	}
	button := p.hereButton()
	p.Put(storage.Post{
		Name: p.Name("here", p.Event.ID), Text: say.StillHere(shown.Place(p.Op.Place), p.Now()), Buttons: [][]storage.Button{{button}},
	})
}

// tapStillHere takes the answer that the place still holds.
func (p *plan) tapStillHere(rest string) {
	if rest != strconv.FormatInt(p.Op.Place.Set.Unix(), 10) {
		p.Say(say.OldButton)
		return
	}
	p.Op.Place.Confirmed = p.Now()
	post, ok := tx.Got(p.Tx, func() (storage.Post, bool, error) { return p.View.PostByApp(p.Op.ID, p.Event.Post) })
	if !ok {
		return
	}
	rows := slices.Clone(post.Buttons)
	for i, row := range rows {
		rows[i] = tx.Filter(row, func(b storage.Button) bool { return !strings.HasPrefix(b.Data, tapHere+":") })
	}
	rows = slices.DeleteFunc(rows, func(row []storage.Button) bool { return len(row) == 0 })
	text := post.Text
	if len(rows) == 0 {
		text = say.Here(shown.Place(p.Op.Place))
	}
	p.EditTapped(text, rows...)
}
