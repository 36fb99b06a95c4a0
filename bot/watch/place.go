package watch

import (
	"slices"
	"strconv"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// placeHolds is how long a place is taken for granted. Common practice, no
// source: a day's outing has several stops.
const placeHolds = 6 * time.Hour

// askHere reports whether the operator should say that the place still holds: it
// is old, or another than the one that the outing's contacts were made from.
func (p Outings) askHere() bool {
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
	return slices.ContainsFunc(p.ContactsIn(p.Now().Add(-placeHolds), p.Now()), func(c storage.Contact) bool {
		return c.State != storage.Dropped && !slices.Equal(c.OwnGrids, place.Grids)
	})
}

func (p Outings) hereButton() storage.Button {
	p.Op.Place.Asked = p.Now()
	return tx.Button(say.StillInLabel(shown.Place(p.Op.Place)), TapHere, p.Op.Place.Set.Unix())
}

// CheckPlace asks, where contacts come in, whether the place still holds; a
// reminder that asked the same is enough, and so is having set it just now.
func (p Outings) CheckPlace() {
	if p.Now().Sub(p.Op.Place.Set) < time.Hour {
		return
	}
	here := func(c storage.Contact) bool { return slices.Equal(c.OwnGrids, p.Op.Place.Grids) }
	if !slices.ContainsFunc(p.Touched(), here) || !p.askHere() {
		return
	}
	button := p.hereButton()
	p.Put(storage.Post{
		Name: p.Name("here", p.Event.ID), Class: storage.ClassQuestion, Text: say.StillHere(shown.Place(p.Op.Place), p.Now()), Buttons: [][]storage.Button{{button}},
	})
}

// TapStillHere takes the answer that the place still holds.
func (p Outings) TapStillHere(tap tx.Tap) {
	if tap.Part(0) != strconv.FormatInt(p.Op.Place.Set.Unix(), 10) {
		p.Say(say.OldButton)
		return
	}
	p.Op.Place.Confirmed = p.Now()
	post, ok := p.TappedPost()
	if !ok {
		return
	}
	rows, text := tx.Without(post.Buttons, TapHere), post.Text
	if len(rows) == 0 {
		text = say.Here(shown.Place(p.Op.Place))
	}
	p.EditTapped(text, rows...)
}
