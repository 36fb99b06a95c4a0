package bot

import (
	"slices"
	"strings"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/bot/zone"
	"skyslate/parse"
	"skyslate/storage"
)

// start greets, shows the cautions once, and asks the first open question.
func (p *plan) start() {
	if p.Ready() {
		p.Say(say.Ready(p.Op.Call, shown.Place(p.Op.Place)))
		return
	}
	p.Say(say.Welcome)
	p.Caution()
	p.Ask()
}

// answer takes a message as the answer to a question of setting up.
func (p *plan) answer(question, text string) {
	switch question {
	case tx.AskCall:
		p.setCall(text)
	case tx.AskPlace:
		p.setGrids(text)
	}
}

// setCall sets the operator's own call for the contacts to come.
func (p *plan) setCall(text string) {
	if text == "" {
		p.Say(say.OwnCall(p.Op.Call))
		return
	}
	call, err := parse.ParseCallsign(strings.TrimSpace(text))
	if err != nil {
		p.Say(say.BadCall(text, err))
		return
	}
	p.Op.Call = call
	p.settled(say.CallSet(call))
}

// setGrids sets the place by its grid, or by the two or four that meet there.
func (p *plan) setGrids(text string) {
	if text == "" {
		p.Say(say.OwnPlace(shown.Place(p.Op.Place), p.Local()))
		return
	}
	grids, err := tx.GridsIn(text)
	if err != nil {
		p.Say(err.Error())
		return
	}
	site := say.Meeting(grids)
	p.setPlace(grids, site.LatDeg, site.LonDeg, "")
}

// setPlace sets the place; more is what there is to say of it.
func (p *plan) setPlace(grids []parse.Grid, latDeg, lonDeg float64, more string) {
	if p.movePlace(grids, latDeg, lonDeg) {
		more += "\n" + say.LevelAgain
	}
	p.settled(say.PlaceSet(shown.Place(p.Op.Place), p.Op.Place.Zone) + more)
}

// movePlace sets the place and reports whether a horizon drawn for another was
// given up.
func (p *plan) movePlace(grids []parse.Grid, latDeg, lonDeg float64) bool {
	name, _ := zone.At(latDeg, lonDeg)
	before := p.Op.Place
	p.Op.Place = storage.Place{Grids: grids, LatDeg: latDeg, LonDeg: lonDeg, Zone: name, Set: p.Event.At}
	if slices.Equal(before.Grids, grids) {
		p.Op.Place.Horizon = before.Horizon
		return false
	}
	return len(before.Horizon) > 0
}

// settled says what was set; if set-up goes on it asks the next question, and
// at its end it says what will happen next.
func (p *plan) settled(text string) {
	wasReady := p.Op.Asking == ""
	p.Say(text)
	if p.Op.Asking == tx.AskPlace {
		p.Posts[len(p.Posts)-1].Keys = storage.KeysGone
	}
	p.Ask()
	if !p.Ready() {
		return
	}
	p.Replan()
	if !wasReady {
		p.Caution()
		next, _ := p.nextFollowed()
		p.Say(say.WhatNext(shown.Planned(next), p.Op.Remind.Lead))
		if refused := p.Refusals(); refused != "" {
			p.Say(refused)
		}
	}
}

// nextFollowed returns the next pass that a reminder will come for.
func (p *plan) nextFollowed() (storage.Pass, bool) {
	for _, pass := range p.PassesIn(p.Now(), p.Now().Add(watch.PlanDays*tx.Day)) {
		if pass.Followed() && pass.AOS.After(p.Now()) {
			return pass, true
		}
	}
	return storage.Pass{}, false
}
