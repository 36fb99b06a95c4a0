package bot

import (
	"errors"
	"slices"
	"strings"

	"skyslate/bot/say"
	"skyslate/bot/zone"
	"skyslate/parse"
	"skyslate/storage"
)

// The questions of setting up, in order.
const (
	askCall  = "call"
	askPlace = "place"
)

// start greets, shows the cautions once, and asks the first open question.
func (p *plan) start() {
	if p.ready() {
		p.say(say.Ready(p.op.Call, placeView(p.op.Place)))
		return
	}
	p.say(say.Welcome)
	p.caution()
	p.ask()
}

// caution shows the cautions, once.
func (p *plan) caution() {
	if p.op.Cautioned.IsZero() {
		p.op.Cautioned = p.ev.At
		p.say(say.Cautions)
	}
}

// ask asks what is still missing, one short question at a time.
func (p *plan) ask() {
	switch {
	case !p.op.Call.IsValid():
		p.op.Asking = askCall
		p.say(say.AskCall)
	case len(p.op.Place.Grids) == 0:
		p.op.Asking = askPlace
		p.say(say.AskPlace)
		p.posts[len(p.posts)-1].Keys = storage.KeysPlace
	default:
		p.op.Asking = ""
	}
}

// answer takes a message as the answer to a question of setting up.
func (p *plan) answer(question, text string) {
	switch question {
	case askCall:
		p.setCall(text)
	case askPlace:
		p.setGrids(text)
	}
}

// setCall sets the operator's own call for the contacts to come.
func (p *plan) setCall(text string) {
	if text == "" {
		p.say(say.OwnCall(p.op.Call))
		return
	}
	call, err := parse.ParseCallsign(strings.TrimSpace(text))
	if err != nil {
		p.say(say.BadCall(text, err))
		return
	}
	p.op.Call = call
	p.settled(say.CallSet(call))
}

// setGrids sets the place by its grid, or by the two or four that meet there.
func (p *plan) setGrids(text string) {
	if text == "" {
		p.say(say.OwnPlace(placeView(p.op.Place), p.local()))
		return
	}
	grids, err := gridsIn(text)
	if err != nil {
		p.say(err.Error())
		return
	}
	site := say.Meeting(grids)
	p.setPlace(grids, site.LatDeg, site.LonDeg, "")
}

var errShortGrid = errors.New("a grid has four characters at least, such as JO33")

// setPlace sets the place; more is what there is to say of it.
func (p *plan) setPlace(grids []parse.Grid, latDeg, lonDeg float64, more string) {
	if p.movePlace(grids, latDeg, lonDeg) {
		more += "\n" + say.LevelAgain
	}
	p.settled(say.PlaceSet(placeView(p.op.Place), p.op.Place.Zone) + more)
}

// movePlace sets the place and reports whether a horizon drawn for another was
// given up.
func (p *plan) movePlace(grids []parse.Grid, latDeg, lonDeg float64) bool {
	name, _ := zone.At(latDeg, lonDeg)
	before := p.op.Place
	p.op.Place = storage.Place{Grids: grids, LatDeg: latDeg, LonDeg: lonDeg, Zone: name, Set: p.ev.At}
	if slices.Equal(before.Grids, grids) {
		p.op.Place.Horizon = before.Horizon
		return false
	}
	return len(before.Horizon) > 0
}

// settled says what was set; if set-up goes on it asks the next question, and
// at its end it says what will happen next.
func (p *plan) settled(text string) {
	wasReady := p.op.Asking == ""
	p.say(text)
	if p.op.Asking == askPlace {
		p.posts[len(p.posts)-1].Keys = storage.KeysGone
	}
	p.ask()
	if !p.ready() {
		return
	}
	p.replan()
	if !wasReady {
		p.caution()
		next, _ := p.nextFollowed()
		p.say(say.WhatNext(planned(next), p.op.Remind.Lead))
		if refused := p.refusals(); refused != "" {
			p.say(refused)
		}
	}
}

// nextFollowed returns the next pass that a reminder will come for.
func (p *plan) nextFollowed() (storage.Pass, bool) {
	for _, pass := range p.passesIn(p.now(), p.now().Add(planDays*day)) {
		if pass.Followed() && pass.AOS.After(p.now()) {
			return pass, true
		}
	}
	return storage.Pass{}, false
}
