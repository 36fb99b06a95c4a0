package bot

import (
	"errors"
	"math"
	"slices"
	"strings"
	"time"

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
		p.say(readyText(p.op, p.local()))
		return
	}
	p.say(textWelcome)
	p.caution()
	p.ask()
}

// caution shows the cautions, once.
func (p *plan) caution() {
	if p.op.Cautioned.IsZero() {
		p.op.Cautioned = p.ev.At
		p.say(textCautions)
	}
}

// ask asks what is still missing, one short question at a time.
func (p *plan) ask() {
	switch {
	case !p.op.Call.IsValid():
		p.op.Asking = askCall
		p.say(textAskCall)
	case len(p.op.Place.Grids) == 0:
		p.op.Asking = askPlace
		p.say(textAskPlace)
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
		p.say(ownCallText(p.op))
		return
	}
	call, err := parse.ParseCallsign(strings.TrimSpace(text))
	if err != nil {
		p.say(badCallText(text, err))
		return
	}
	p.op.Call = call
	p.settled(callSetText(call))
}

// setGrids sets the place by its grid, or by the two or four that meet there.
func (p *plan) setGrids(text string) {
	if text == "" {
		p.say(ownPlaceText(p.op, p.local()))
		return
	}
	var grids []parse.Grid
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == '/' || r == '\n' }) {
		g, err := parse.ParseGrid(word)
		if err == nil && len(g.String()) < 4 {
			err = errShortGrid
		}
		if err != nil {
			p.say(badGridText(word, err))
			return
		}
		if !slices.Contains(grids, g) {
			grids = append(grids, g)
		}
	}
	if err := parse.CheckGrids(grids); err != nil {
		p.say(badGridText(text, err))
		return
	}
	lat, lon := meeting(grids)
	p.setPlace(grids, lat, lon, "")
}

var errShortGrid = errors.New("a grid has four characters at least, such as JO33")

// meeting is the centre of one grid, or the point where several meet.
func meeting(grids []parse.Grid) (latDeg, lonDeg float64) {
	var x, y, z float64
	for _, g := range grids {
		lat, lon := g.Center()
		if len(grids) > 1 {
			lat, lon = g.Square().Center()
		}
		sinLat, cosLat := math.Sincos(lat * math.Pi / 180)
		sinLon, cosLon := math.Sincos(lon * math.Pi / 180)
		x, y, z = x+cosLat*cosLon, y+cosLat*sinLon, z+sinLat
	}
	return math.Atan2(z, math.Hypot(x, y)) * 180 / math.Pi, math.Atan2(y, x) * 180 / math.Pi
}

// placed takes a shared location as the place. Live ones move: what doesn't
// change the grid changes nothing.
func (p *plan) placed() {
	s := p.ev.Spot
	if s == nil || math.Abs(s.LatDeg) > 90 || math.Abs(s.LonDeg) > 180 {
		p.say(textBadPlace)
		return
	}
	grid := parse.GridAt(s.LatDeg, s.LonDeg, 6)
	if s.Live && slices.Equal(p.op.Place.Grids, []parse.Grid{grid}) {
		return
	}
	p.setPlace([]parse.Grid{grid}, s.LatDeg, s.LonDeg, "\n"+borderText(s.LatDeg, s.LonDeg, s.AccuracyM))
}

// setPlace sets the place; more is what there is to say of it.
func (p *plan) setPlace(grids []parse.Grid, latDeg, lonDeg float64, more string) {
	name, _ := zone.At(latDeg, lonDeg)
	before := p.op.Place
	p.op.Place = storage.Place{Grids: grids, LatDeg: latDeg, LonDeg: lonDeg, Zone: name, Set: p.ev.At}
	if slices.Equal(before.Grids, grids) {
		p.op.Place.Horizon = before.Horizon
	} else if len(before.Horizon) > 0 {
		more += "\n" + textLevelAgain
	}
	p.settled(placeSetText(p.op.Place) + more)
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
		next, found := p.nextFollowed()
		p.say(whatNextText(p.op, next, found))
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

// setRemind shows or changes what the operator is reminded of.
func (p *plan) setRemind(rest string) {
	if rest == "" {
		p.say(remindText(p.op.Remind, p.sky, p.local()))
		return
	}
	r, err := changeRemind(p.op.Remind, rest, p.sky)
	if err != nil {
		p.say(err.Error())
		return
	}
	p.op.Remind = r
	p.replan()
	p.say(remindText(r, p.sky, p.local()))
}

// spoken keeps a voice message with the pass it was recorded on.
func (p *plan) spoken() {
	m := storage.Message{
		Operator: p.op.ID, ID: p.ev.Message, At: p.ev.At, Text: p.ev.Text, Voice: p.ev.Length.Round(time.Second).String(),
	}
	if p.ready() {
		m.Pass = p.filingAt(p.ev.At.Add(-p.ev.Length)).pass.ID
	}
	p.message = &m
	p.post(storage.Post{Name: p.name("sign", m.ID), Op: storage.React, ReplyTo: m.ID, Text: signNote, Silent: true})
}
