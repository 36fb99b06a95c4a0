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

func TestTextsLoseNothing(t *testing.T) { saytest.Walk(t, extremes()) }

func TestConstantsFit(t *testing.T) { saytest.Constants(t, 8) }

// extremes are the texts of all that is set.
func extremes() map[string]saytest.Extreme {
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
	kiritimati, _ := time.LoadLocation("Pacific/Kiritimati")
	atSea, _ := time.LoadLocation("Etc/GMT-2")
	weekend, evenings := Hours{0, 24}, Hours{17, 23}
	many := Remind{
		Week: [7]Hours{weekend, evenings, {18, 22}, evenings, {19, 21}, evenings, weekend},
		Lead: 10 * time.Minute, Evening: 21, Birds: names, Picture: true,
	}
	square, side := parse.MustParseGrid("JO62"), Border{12, "N", parse.MustParseGrid("JO72")}
	settings, radio := say.Settings{Call: call, Grids: grids, Wanted: grids}, say.Settings{Radio: say.Radio{Both: true}}
	fourth := grids[3].String()
	return map[string]saytest.Extreme{
		"RemindChanged": saytest.Said(RemindChanged(Remind{}, many, east), RemindChanged(many, Remind{Off: true}, east), RemindChanged(many, many, east)).
			With("10 min", "21 h", names[0], "so already", "off"),
		"CallSet": saytest.Said(CallSet(call)).With(call.String()),
		"SetStep": saytest.Said(SetStep(say.Settings{}, settings), SetStep(say.Settings{}, radio), SetStep(say.Settings{}, say.Settings{})).
			With(call.String(), fourth, "radio", "reminded"),
		"SetBack":        saytest.Said(SetBack(say.Settings{}, settings)).With(call.String(), fourth),
		"OwnCall":        saytest.Said(OwnCall(call), OwnCall(parse.Callsign{})).With(call.String()),
		"TwoCalls":       saytest.Said(TwoCalls([]string{call.String(), call.String()})).With(call.String()),
		"AskOwnCall":     saytest.Said(AskOwnCall(call, call)).With(call.String()),
		"GridNotCall":    saytest.Said(GridNotCall(call)).With("/call"),
		"HomeIs":         saytest.Said(HomeIs(grids, grids)).With(fourth, "/at home"),
		"HomeStays":      saytest.Said(HomeStays(grids)).With(fourth),
		"AskWhich":       saytest.Said(AskWhich(grids, true), AskWhich(grids, false)).With(fourth),
		"AskMove":        saytest.Said(AskMove(grids, place)).With("/outing"),
		"WasThere":       saytest.Said(WasThere(grids)).With(fourth),
		"AskWas":         saytest.Said(AskWas(grids, grids, 1000)).With(fourth, "1000 contacts"),
		"PlaceSet":       saytest.Said(PlaceSet(place, kiritimati, place.Set), PlaceSet(place, atSea, place.Set)).With(fourth, "Pacific/Kiritimati", "UTC+02:00"),
		"OwnPlace":       saytest.Said(OwnPlace(place, east), OwnPlace(say.Place{}, nil)).With(fourth, "/at"),
		"Borders":        saytest.Said(Borders(square, side, side, 5000), Borders(square, side, side, 15), Borders(square, side, side, 9)).With("/at JO62 JO72", "JO62 alone"),
		"Ready":          saytest.Said(Ready(call, place)).With(call.String(), "/help more"),
		"WhatNext":       saytest.Said(WhatNext(next, time.Hour), WhatNext(predict.Pass{}, 0)).With(next.Name),
		"Reminders":      saytest.Said(Reminders(many, names, east), Reminders(Remind{Off: true}, nil, nil)).With("hours 6-23", "OCHRE-49", "picture"),
		"UnknownSetting": saytest.Said(UnknownSetting(longWord)).With("/remind"),
		"BadNumber":      saytest.Said(BadNumber(longWord, "evening", UnitEvening, 1, 23)).With("/remind evening 10"),
		"BadHours":       saytest.Said(BadHours(longWord)).With("hours 6-23"),
		"NameBirds":      saytest.Said(NameBirds(names)).With(names[1]),
		"Horizon":        saytest.Said(Horizon(place), Horizon(say.Place{})).With("15° from 210", fourth, "/horizon level"),
		"BadHorizon":     saytest.Said(BadHorizon(longWord, 8)).With("at most 8"),
		"RadioSet":       saytest.Said(RadioSet(say.Radio{StepKHz: 6.25, Both: true})).With("6.25"),
		"BadStep":        saytest.Said(BadStep(longWord)).With("12.5"),
	}
}
