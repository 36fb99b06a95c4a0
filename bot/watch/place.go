package watch

import (
	"slices"
	"strconv"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
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
	last := timing.Later(place.Set, place.Confirmed)
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

// hereButtons say that the place holds, or that one is at home again.
func (p Outings) hereButtons() []storage.Button {
	p.Op.Place.Asked = p.Now()
	still := tx.Button(say.StillInLabel(shown.Place(p.Op.Place)), TapHere, p.Op.Place.Set.Unix())
	return slices.Concat([]storage.Button{still}, slices.Concat(p.homeButtons()...))
}

// homeButtons say that one is at home again, if one was not.
func (p Outings) homeButtons() [][]storage.Button {
	if home := p.Op.Home; len(home.Grids) > 0 && !slices.Equal(home.Grids, p.Op.Place.Grids) {
		return [][]storage.Button{{tx.Button(say.HomeLabel(shown.Place(home)), TapMove, Home)}}
	}
	return nil
}

// askOver asks once, in words, whether one still is at the place of an outing that is over:
// else days of passes would be told for it. It is false where there is nothing to ask.
func (p Outings) askOver() bool {
	o, over := p.outingOver()
	name := p.Name("here", "outing", o.ID)
	if _, asked := p.StoredPost(name); !over || asked {
		return false
	}
	p.Put(storage.Post{
		Name: name, Class: storage.ClassQuestion, Text: say.StillDown(shown.Place(p.Op.Place)), Buttons: [][]storage.Button{p.hereButtons()},
	})
	return true
}

// CheckPlace asks, where contacts come in, whether the place still holds; a
// reminder that asked the same is enough, and so is having set it just now.
func (p Outings) CheckPlace() {
	if p.Now().Sub(p.Op.Place.Set) < time.Hour {
		return
	}
	here := func(c storage.Contact) bool {
		return slices.Equal(c.OwnGrids, p.Op.Place.Grids) && p.Now().Sub(c.Time) < filing.LookBack // a correction of yesterday tells nothing of today
	}
	if !slices.ContainsFunc(p.Touched(), here) {
		return
	}
	name := p.Name("here", p.Event.ID)
	if o, over := p.outingOver(); over {
		name = p.Name("here", "outing", o.ID)
		if _, asked := p.StoredPost(name); asked {
			return
		}
	} else if !p.askHere() {
		return
	}
	p.Put(storage.Post{
		Name: name, Class: storage.ClassQuestion, Text: say.StillHere(shown.Place(p.Op.Place), p.Now()), Buttons: [][]storage.Button{p.hereButtons()},
	})
}

// outingOver is the outing at whose place the operator still is said to be though it is
// over. A button under a reminder is too little then: most are home by now.
func (p Outings) outingOver() (storage.Outing, bool) {
	place := p.Op.Place
	for _, o := range p.Op.Outings {
		during := place.Set.After(o.From.Add(-outingMargin)) && place.Set.Before(o.Until.Add(outingMargin))
		over := p.Now().After(o.Until.Add(outingMargin)) && !place.Confirmed.After(o.Until)
		if !o.Armed.IsZero() && during && over && slices.Equal(place.Grids, o.Place.Grids) {
			return o, true
		}
	}
	return storage.Outing{}, false
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
	rows, text := tx.Without(post.Buttons, TapHere, TapMove), post.Text
	if len(rows) == 0 {
		text = say.Here(shown.Place(p.Op.Place))
	}
	p.EditTapped(text, rows...)
}
