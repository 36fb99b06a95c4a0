package settings

import (
	"fmt"
	"testing"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/say/saytest"
	"skyslate/parse"
	"skyslate/predict"
)

const longWord = saytest.LongWord

// A walk is what one function says where all that goes into it is as long as it gets, and
// what must be found in it.
type walk struct{ said, must []string }

func said(texts ...string) walk { return walk{said: texts} }

func (w walk) with(words ...string) walk {
	w.must = append(w.must, words...)
	return w
}

func TestTextsLoseNothing(t *testing.T) {
	all := walks()
	for _, name := range saytest.TextFunctions(t) {
		w, ok := all[name]
		if !ok {
			t.Errorf("%s is not walked", name)
			continue
		}
		delete(all, name)
		t.Run(name, func(t *testing.T) { saytest.Check(t, w.said, nil, w.must...) })
	}
	for name := range all {
		t.Errorf("%s is walked, and no function", name)
	}
}

func TestConstantsFit(t *testing.T) {
	for _, text := range saytest.Constants(t) {
		if why := saytest.UnfitOnPhone(text); why != "" {
			t.Errorf("%s: %s", why, text)
		}
	}
}

func walks() map[string]walk {
	call := parse.MustParseCallsign("3D2/OX2026ABCDEF/MM") // with a place before it and marks behind it
	var names []string
	for i := range 50 {
		names = append(names, fmt.Sprintf("VERY-LONG-NAMED-OCHRE-%02d", i))
	}
	grids := []parse.Grid{
		parse.MustParseGrid("JO62qm01"), parse.MustParseGrid("JO62rm02"), parse.MustParseGrid("JO62qn03"), parse.MustParseGrid("JO62rn04"),
	}
	place := say.Place{Grids: grids, Site: predict.Site{LatDeg: -52.52, LonDeg: -113.37}, Set: time.Date(2026, 8, 1, 0, 0, 0, 0, time.UTC)}
	for i := range 8 {
		place.Horizon = append(place.Horizon, predict.Sector{FromDeg: float64(30 * i), ToDeg: float64(30*i + 29), MinElDeg: 15})
	}
	next := predict.Pass{Name: names[0], AOS: time.Date(2026, 9, 29, 20, 38, 58, 0, time.UTC)}
	next.AtTCA.ElDeg = 62
	east := time.FixedZone("", 14*3600)
	weekend, evenings := Hours{0, 24}, Hours{17, 23}
	many := Remind{
		Week: [7]Hours{weekend, evenings, {18, 22}, evenings, {19, 21}, evenings, weekend},
		Lead: 10 * time.Minute, Evening: 21, Birds: names, Picture: true,
	}
	square, side := parse.MustParseGrid("JO62"), Border{12, "N", parse.MustParseGrid("JO72")}
	settings, radio := say.Settings{Call: call, Grids: grids, Wanted: grids}, say.Settings{Radio: say.Radio{Both: true}}
	fourth := grids[3].String()
	return map[string]walk{
		"CallSet": said(CallSet(call)).with(call.String()),
		"SetStep": said(SetStep(say.Settings{}, settings), SetStep(say.Settings{}, radio), SetStep(say.Settings{}, say.Settings{})).
			with(call.String(), fourth, "radio", "reminded"),
		"SetBack":        said(SetBack(say.Settings{}, settings)).with(call.String(), fourth),
		"OwnCall":        said(OwnCall(call), OwnCall(parse.Callsign{})).with(call.String()),
		"TwoCalls":       said(TwoCalls([]string{call.String(), call.String()})).with(call.String()),
		"AskMove":        said(AskMove(grids, place)).with("/outing"),
		"PlaceSet":       said(PlaceSet(place, "Pacific/Kiritimati")).with(fourth, "Pacific/Kiritimati"),
		"OwnPlace":       said(OwnPlace(place, east), OwnPlace(say.Place{}, nil)).with(fourth, "/at"),
		"Borders":        said(Borders(square, side, side, 5000), Borders(square, side, side, 15), Borders(square, side, side, 9)).with("/at JO62 JO72", "JO62 alone"),
		"Ready":          said(Ready(call, place)).with(call.String(), "/help more"),
		"WhatNext":       said(WhatNext(next, time.Hour), WhatNext(predict.Pass{}, 0)).with(next.Name),
		"Reminders":      said(Reminders(many, names, east), Reminders(Remind{Off: true}, nil, nil)).with("hours 6-23", "OCHRE-49", "picture"),
		"UnknownSetting": said(UnknownSetting(longWord)).with("/remind"),
		"BadNumber":      said(BadNumber(longWord, "evening", UnitEvening, 1, 23)).with("/remind evening 10"),
		"BadHours":       said(BadHours(longWord)).with("hours 6-23"),
		"NameBirds":      said(NameBirds(names)).with(names[1]),
		"Horizon":        said(Horizon(place), Horizon(say.Place{})).with("15° from 210", fourth, "/horizon level"),
		"BadHorizon":     said(BadHorizon(longWord, 8)).with("at most 8"),
		"RadioSet":       said(RadioSet(say.Radio{StepKHz: 6.25, Both: true})).with("6.25"),
		"BadStep":        said(BadStep(longWord)).with("12.5"),
	}
}
