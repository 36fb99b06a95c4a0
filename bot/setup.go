package bot

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"skyslate/bot/zone"
	"skyslate/parse"
	"skyslate/predict"
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

// answer takes a message as the answer to the open question; false if it is
// plainly something else.
func (p *plan) answer(text string) bool {
	switch p.op.Asking {
	case askCall:
		p.setCall(text)
	case askPlace:
		p.setGrids(text)
	default:
		return false
	}
	return true
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
	p.op.Place = storage.Place{Grids: grids, LatDeg: latDeg, LonDeg: lonDeg, Zone: name, Set: p.ev.At}
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
		p.say(remindText(p.op.Remind, p.desk.sky, p.local()))
		return
	}
	r, err := changeRemind(p.op.Remind, rest, p.desk.sky)
	if err != nil {
		p.say(err.Error())
		return
	}
	p.op.Remind = r
	p.replan()
	p.say(remindText(r, p.desk.sky, p.local()))
}

// showBirds shows the list, or one bird.
func (p *plan) showBirds(rest string) {
	if rest == "" {
		p.say(birdsText(p.desk.sky, p.now()))
		return
	}
	bird, ok := p.desk.sky.Bird(rest)
	if !ok {
		p.say(unknownBirdText(rest, p.desk.sky))
		return
	}
	e, known := p.desk.sky.Elements(bird.Catalog)
	p.say(birdText(bird, e, known, p.now()))
}

// elementsKey is where the elements that operators sent are kept.
const elementsKey = "elements/sent"

// handed takes a document: element sets are used at once by everybody here.
func (p *plan) handed() {
	f := p.ev.File
	p.message = &storage.Message{Operator: p.op.ID, ID: p.ev.Message, At: p.ev.At, Text: p.ev.Text}
	if f == nil || len(f.Body) > MaxDocument {
		p.say(textTooLarge)
		return
	}
	sets, problems, err := predict.ReadElements(bytes.NewReader(f.Body), f.Name)
	if err != nil || len(sets) == 0 {
		p.say(noElementsText(f.Name, problems))
		return
	}
	p.keepElements(sets)
	if p.ready() {
		p.replan()
	}
	p.say(elementsTakenText(sets, problems, p.desk.sky))
}

// keepElements uses element sets from now on, and after a restart.
func (p *plan) keepElements(sets []predict.Elements) {
	all, err := p.desk.sentElements()
	if err != nil {
		p.err = err
		return
	}
	body, err := json.Marshal(predict.Newest(append(all, sets...)))
	if err != nil {
		p.err = err
		return
	}
	p.keep = map[string][]byte{elementsKey: body}
	p.desk.sky.Replace(sets)
}

// sentElements returns the element sets that operators sent.
func (d *Desk) sentElements() ([]predict.Elements, error) {
	body, err := d.store.Kept(elementsKey)
	if err != nil || body == nil {
		return nil, err
	}
	var sets []predict.Elements
	if err := json.Unmarshal(body, &sets); err != nil {
		return nil, fmt.Errorf("kept elements: %w", err)
	}
	return sets, nil
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
