package bot

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/say"
	"skyslate/parse"
	"skyslate/storage"
)

// placeHolds is how long a place is taken for granted. Common practice, no
// source: a day's outing has several stops.
const placeHolds = 6 * time.Hour

// gridsIn reads one grid, the two of a line or the four of a corner. Its error
// is a sentence for the operator.
func gridsIn(text string) ([]parse.Grid, error) {
	var grids []parse.Grid
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == '/' || r == '\n' }) {
		g, err := parse.ParseGrid(word)
		if err == nil && g.Chars() < 4 {
			err = errShortGrid
		}
		if err != nil {
			return nil, sayable(say.BadGrid(word, err))
		}
		if !slices.Contains(grids, g) {
			grids = append(grids, g)
		}
	}
	if err := parse.CheckGrids(grids); err != nil {
		return nil, sayable(say.BadGrid(text, err))
	}
	return grids, nil
}

// placed takes a shared location as the place. A live one moves: it speaks only
// when it crosses into another square, once it is sure of it.
func (p *plan) placed() {
	s := p.ev.Spot
	if s == nil || math.Abs(s.LatDeg) > 90 || math.Abs(s.LonDeg) > 180 {
		p.say(say.BadPlace)
		return
	}
	grid := parse.GridAt(s.LatDeg, s.LonDeg, 6)
	if s.Live && len(p.op.Place.Grids) > 0 {
		p.moved(grid, *s)
		return
	}
	side, corner := borders(s.LatDeg, s.LonDeg)
	p.setPlace([]parse.Grid{grid}, s.LatDeg, s.LonDeg, "\n"+say.Borders(grid.Square(), side, corner, s.AccuracyM))
}

// moved follows a live location.
func (p *plan) moved(grid parse.Grid, s Spot) {
	own := p.op.Place.Grids
	inside := slices.ContainsFunc(own, func(g parse.Grid) bool { return g.Square() == grid.Square() })
	side, _ := borders(s.LatDeg, s.LonDeg)
	switch {
	case inside && (len(own) > 1 || own[0] == grid || own[0].Chars() == 4):
		// A line or a corner claimed, or a square named by hand: still there.
		p.op.Place.Confirmed = p.ev.At
	case inside:
		horizon := p.op.Place.Horizon
		p.movePlace([]parse.Grid{grid}, s.LatDeg, s.LonDeg)
		p.op.Place.Horizon = horizon
		if p.ready() {
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
	place := p.op.Place
	last := later(place.Set, place.Confirmed)
	if o, out := p.outingNow(); out && p.apartFrom(o) {
		return false // the outing asks
	}
	if len(place.Grids) == 0 || !place.Asked.Before(p.now().Add(-placeHolds)) && place.Asked.After(last) {
		return false
	}
	if p.now().Sub(last) > placeHolds {
		return true
	}
	if !place.Confirmed.IsZero() && !place.Confirmed.Before(place.Set) {
		return false
	}
	outing := list(p, func() ([]storage.Contact, error) {
		return p.view.Contacts(p.op.ID, p.now().Add(-placeHolds), p.now())
	})
	return slices.ContainsFunc(outing, func(c storage.Contact) bool {
		return c.State != storage.Dropped && !slices.Equal(c.OwnGrids, place.Grids)
	})
}

func (p *plan) hereButton() storage.Button {
	p.op.Place.Asked = p.now()
	return storage.Button{
		Label: say.StillInLabel(placeView(p.op.Place)), Data: tapHere + ":" + strconv.FormatInt(p.op.Place.Set.Unix(), 10),
	}
}

// checkPlace asks, where contacts come in, whether the place still holds; a
// reminder that asked the same is enough, and so is having set it just now.
func (p *plan) checkPlace() {
	if p.now().Sub(p.op.Place.Set) < time.Hour {
		return
	}
	here := func(c storage.Contact) bool { return slices.Equal(c.OwnGrids, p.op.Place.Grids) }
	if !slices.ContainsFunc(p.touched(), here) || !p.askHere() {
		return
	}
	button := p.hereButton()
	p.put(storage.Post{
		Name: p.name("here", p.ev.ID), Text: say.StillHere(placeView(p.op.Place), p.now()), Buttons: [][]storage.Button{{button}},
	})
}

// tapStillHere takes the answer that the place still holds.
func (p *plan) tapStillHere(rest string) {
	if rest != strconv.FormatInt(p.op.Place.Set.Unix(), 10) {
		p.say(say.OldButton)
		return
	}
	p.op.Place.Confirmed = p.now()
	post, ok := got(p, func() (storage.Post, bool, error) { return p.view.PostByApp(p.op.ID, p.ev.Post) })
	if !ok {
		return
	}
	rows := slices.Clone(post.Buttons)
	for i, row := range rows {
		rows[i] = only(row, func(b storage.Button) bool { return !strings.HasPrefix(b.Data, tapHere+":") })
	}
	rows = slices.DeleteFunc(rows, func(row []storage.Button) bool { return len(row) == 0 })
	text := post.Text
	if len(rows) == 0 {
		text = say.Here(placeView(p.op.Place))
	}
	p.editTapped(text, rows...)
}
