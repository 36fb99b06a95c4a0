package say

import (
	"slices"
	"strings"
	"testing"

	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/bot/say/saytest"
	"skyslate/predict"
	"skyslate/predict/predicttest"
)

// extremesOfFiles are the texts of what was sent or can be deleted.
func extremesOfFiles(t *testing.T, e edge) map[string]saytest.Extreme {
	wrong := &predict.InputError{File: longWord, Line: 123456, Column: 123456, Found: longWord, Expected: "a number " + strings.Repeat("of a kind ", 9)}
	faults := slices.Repeat([]*predict.InputError{wrong}, 99)
	taken := Taken{
		Sets: len(predicttest.Sets(t)), Faults: faults, Used: e.names, Older: e.names, Never: e.names, Orphans: e.names, LeftOut: 99, Most: 100,
		Refused: Refused{NoElements: []string{e.name}, Old: []string{e.name}, Age: 40 * phrase.Day, Max: 30 * phrase.Day},
	}
	file := layout.Short(longWord, 60)
	read := LogRead{
		Records: 54321, Fresh: 54321, Broken: 999, Strange: 54321, Faults: slices.Repeat([]string{"123456: " + strings.Repeat("this and ", 20)}, 9),
	}
	return map[string]saytest.Extreme{
		"NoElements":     saytest.Said(NoElements(longWord, nil), NoElements(longWord, faults)).With("Line 123456", "two lines or OMM"),
		"ElementsTaken":  saytest.Said(ElementsTaken(taken)).With("42 more", "Line 123456", "99 faults", "newer ones"),
		"AskPair":        saytest.Said(AskPair(e.one.Table.Elements())).With("OCHRE-1 (99101)", "tone"),
		"AskUplink":      saytest.Said(AskUplink(e.one.Table.Elements())).With("OCHRE-1 (99101)", "uplink"),
		"BadPair":        saytest.Said(BadPair(longWord)).With("145.850/435.400 tone 67"),
		"WhichUplink":    saytest.Said(WhichUplink("145.9125-145.9375", "435.9125-435.9375")).With("145.9125-145.9375/435.9125-435.9375"),
		"NoSuchElements": saytest.Said(NoSuchElements(longWord)).With("/birds add NAME"),
		"BadBird":        saytest.Said(BadBird(wrong)).With("Nothing is changed"),
		"Reading":        saytest.Edited(Reading(file, 5, 10)).With("50 %"),
		"IntoLog":        saytest.Edited(IntoLog(5, 10)).With("50 %"),
		"OutOfLog":       saytest.Edited(OutOfLog(5, 10)).With("50 %"),
		"GoesOn":         saytest.Edited(GoesOn(Reading(file, 5, 10))).With("50 %", "00:00 UTC"),
		"Added":          saytest.Edited(Added(file, 54321, 12345)).With("54321", "12345"),
		"TakenOut":       saytest.Edited(TakenOut(file, 54321)).With("54321"),
		"ForeignLog":     saytest.Edited(ForeignLog(file, e.call.String())).With(e.call.String()),
		"LogInFile":      saytest.Edited(LogInFile(file, read), LogInFile(file, LogRead{})).With("997 more", "54321"),
	}
}
