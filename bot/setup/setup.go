// Package setup is what operators tell of themselves: their call, where they stand and
// what hides the sky there, how their radio is dialled, what they are reminded of, and
// what they know of birds that the shared list doesn't.
package setup

import (
	"slices"
	"strings"
	"unicode"

	"skyslate/bot/event"
	"skyslate/bot/oneself"
	"skyslate/bot/say"
	"skyslate/bot/say/settings"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/parse"
	"skyslate/storage"
)

// Settings are what operators tell of themselves, but for birds.
type Settings struct{ watch.Planner }

// Start greets, shows the cautions once, and asks the first open question.
func (p Settings) Start() {
	if p.Ready() {
		p.Say(settings.Ready(p.Op.Call, shown.Place(p.Op.Place)))
		return
	}
	p.Say(say.Welcome)
	p.Caution()
	p.Ask()
}

// Answer takes a message as the answer to a question of setting up.
func (p Settings) Answer(question, text string) {
	switch question {
	case tx.AskCall:
		p.takeCall(text)
	case tx.AskPlace:
		if p.firstPlace() { // it was edited at once
			text = watch.Home + " " + text
		}
		p.SetGrids(text)
	default:
		Birds(p).pairTold(question, text)
	}
}

// SetCall sets the operator's own call for the contacts to come.
func (p Settings) SetCall(text string) {
	if text == "" {
		p.Say(settings.OwnCall(p.Op.Call))
		return
	}
	call, err := tx.CallIn(text)
	if err != nil {
		p.Say(err.Error())
		return
	}
	p.Op.Call = call
	if oneself.Apart(text) {
		p.settled(settings.CallSet(call))
		p.asksWhich(text, false)
		return
	}
	if grids, _, err := tx.GridsIn(text); err == nil { // "HX7KZQ/P in IP62"
		p.Say(settings.CallSet(call))
		site := say.Meeting(grids)
		p.setPlace(grids, site.LatDeg, site.LonDeg, "")
		return
	}
	p.settled(settings.CallSet(call))
}

// SetGrids sets the place by its grid, or by the two or four that meet there.
func (p Settings) SetGrids(text string) {
	if text == "" {
		p.Say(settings.OwnPlace(shown.Place(p.Op.Place), p.Local()))
		return
	}
	word, rest, _ := strings.Cut(text, " ")
	home := strings.EqualFold(word, watch.Home)
	switch {
	case home && rest != "":
		text = rest
	case home && len(p.Op.Home.Grids) > 0:
		at := p.Op.Home
		p.setPlace(at.Grids, at.LatDeg, at.LonDeg, "")
		return
	case home && p.Op.Asking != "":
		p.Ask() // for it, as for any place
		return
	case home:
		p.Say(settings.NoHome)
		return
	}
	if lat, lon, ok := coordinates(text); ok {
		if !onEarth(lat, lon) {
			p.Say(say.BadPlace)
			return
		}
		p.setSpot(lat, lon, 0)
		if home {
			p.Op.Home = p.Op.Place
		}
		return
	}
	if p.asksWhich(text, home) {
		return
	}
	grids, left, err := tx.GridsIn(text)
	switch {
	case err != nil && !strings.ContainsFunc(text, unicode.IsDigit):
		p.Say(settings.NoNames)
		return
	case err != nil:
		p.Say(err.Error())
		return
	}
	more := ""
	if left != "" {
		more = "\n" + say.BadGridLeft(left)
	}
	site := say.Meeting(grids)
	if !home {
		p.setPlace(grids, site.LatDeg, site.LonDeg, more)
		return
	}
	if p.firstPlace() {
		p.Op.Place.Grids = nil // one never was there
	}
	p.setPlace(grids, site.LatDeg, site.LonDeg, more+"\n"+settings.HomeToo)
	p.Op.Home = p.Op.Place
}

// asksWhich asks which of the grids in a text is the place, where they are not claimed
// together.
func (p Settings) asksWhich(text string, home bool) bool {
	grids, _, err := tx.GridsAmong(text)
	if err != nil || len(grids) < 2 || !oneself.Apart(text) {
		return false
	}
	grids = grids[:min(len(grids), tx.MaxChoices)]
	var rows [][]storage.Button
	for _, g := range grids {
		to := g.String()
		if home {
			to = watch.Home + " " + to
		}
		rows = append(rows, []storage.Button{tx.Button(settings.MoveLabel([]parse.Grid{g}), watch.TapMove, to)})
	}
	p.Say(settings.AskWhich(grids, parse.CheckGrids(grids) == nil), rows...)
	return true
}

// setPlace sets the place; more is what there is to say of it.
func (p Settings) setPlace(grids []parse.Grid, latDeg, lonDeg float64, more string) {
	first := p.firstPlace()
	if !p.Ready() {
		p.Op.Place.Grids = nil // of two places told before the call the later one is home
	}
	if p.movePlace(grids, latDeg, lonDeg) {
		more += "\n" + settings.LevelAgain
	}
	stays, rows := p.homeOffered(first)
	p.settled(settings.PlaceSet(shown.Place(p.Op.Place), p.Local(), p.Now())+more+stays, rows...)
}

// movePlace sets the place and reports whether a horizon drawn for another was
// given up.
func (p Settings) movePlace(grids []parse.Grid, latDeg, lonDeg float64) bool {
	to, before := p.placeAt(grids, latDeg, lonDeg), p.Op.Place
	tx.Move(&p.Op, to, p.Now())
	return len(before.Horizon) > 0 && len(to.Horizon) == 0
}

// placeAt is a place told now, with the horizon that is known there.
func (p Settings) placeAt(grids []parse.Grid, latDeg, lonDeg float64) storage.Place {
	to := storage.Place{Grids: grids, LatDeg: latDeg, LonDeg: lonDeg, Set: p.Event.At}
	to.Zone = shown.ZoneName(to)
	for _, known := range []storage.Place{p.Op.Home, p.Op.Place} {
		if slices.Equal(known.Grids, grids) {
			to.Horizon = known.Horizon
		}
	}
	return to
}

// settled says what was set; if set-up goes on it asks the next question, and
// at its end it says what will happen next.
func (p Settings) settled(text string, rows ...[]storage.Button) {
	wasReady := p.Op.Asking == ""
	post, _ := p.TappedPost()
	beside := tx.Without(post.Buttons, watch.TapHere, watch.TapMove)
	switch {
	case p.Event.Kind != event.Tapped:
		p.Say(text, rows...)
	case len(beside) > 0 && len(beside) < len(post.Buttons): // a reminder that asked it goes on to stand
		p.EditTapped(post.Text, beside...)
		p.Say(text, rows...)
	default:
		p.EditTapped(text, rows...)
	}
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
		var next storage.Pass // that a reminder will come for
		for _, pass := range p.Ahead() {
			if pass.Followed() && pass.AOS.After(p.Now()) {
				next = pass
				break
			}
		}
		p.Say(settings.WhatNext(shown.Planned(next), p.Op.Remind.Lead))
		if refused := p.Refusals(); refused != "" {
			p.Say(refused, p.AddButtons()...)
		}
	}
}
