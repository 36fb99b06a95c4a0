package setup

import (
	"skyslate/bot/phrase"
	"skyslate/bot/question"
	"skyslate/bot/say/settings"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
)

// TakeMove takes a message that tells in plain words where the operator is. While a pass
// is worked it may be a word about a station, so it is asked then, as is all that could
// mean another's place or a day to come.
func (p Settings) TakeMove(q question.Question, working bool) {
	grids, _, err := tx.GridsIn(q.Grids)
	to := phrase.Grids(grids)
	switch {
	case q.Kind == question.Home:
		to = watch.Home
		grids = p.Op.Home.Grids
	case err != nil:
		p.Say(err.Error())
		return
	}
	switch {
	case len(grids) == 0:
		p.Say(settings.NoHome)
	case phrase.Grids(grids) == phrase.Grids(p.Op.Place.Grids):
		p.Say(settings.OwnPlace(shown.Place(p.Op.Place), p.Local()))
	case q.Kind == question.Move && !working && p.firstPlace():
		p.SetGrids(watch.Home + " " + to)
	case q.Kind != question.Maybe && q.Kind != question.Was && !working:
		p.SetGrids(to)
	default:
		p.askMove(grids, false)
	}
}

// TapMoved sets the place that a button names.
func (p Settings) TapMoved(tap tx.Tap) {
	p.SetGrids(tap.Part(0))
}
