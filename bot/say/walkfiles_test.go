package say

import (
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/predict"
	"skyslate/predict/predicttest"
)

// extremesOfFiles are the texts of what was sent or can be deleted.
func extremesOfFiles(t *testing.T, e edge) map[string]extreme {
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
	return map[string]extreme{
		"NoElements":     said(NoElements(longWord, nil), NoElements(longWord, faults)).with("Line 123456", "two lines or OMM"),
		"ElementsTaken":  said(ElementsTaken(taken)).with("42 more", "Line 123456", "99 faults", "newer ones"),
		"AskPair":        said(AskPair(e.one.Table.Elements())).with("OCHRE-1 (99101)", "tone"),
		"AskUplink":      said(AskUplink(e.one.Table.Elements())).with("OCHRE-1 (99101)", "uplink"),
		"BadPair":        said(BadPair(longWord)).with("145.850/435.400 tone 67"),
		"WhichUplink":    said(WhichUplink("145.9125-145.9375", "435.9125-435.9375")).with("145.9125-145.9375/435.9125-435.9375"),
		"NoSuchElements": said(NoSuchElements(longWord)).with("/birds add NAME"),
		"BadBird":        said(BadBird(wrong)).with("Nothing is changed"),
		"Reading":        edited(Reading(file, 5, 10)).with("50 %"),
		"IntoLog":        edited(IntoLog(5, 10)).with("50 %"),
		"OutOfLog":       edited(OutOfLog(5, 10)).with("50 %"),
		"GoesOn":         edited(GoesOn(Reading(file, 5, 10))).with("50 %", "00:00 UTC"),
		"Added":          edited(Added(file, 54321, 12345)).with("54321", "12345"),
		"TakenOut":       edited(TakenOut(file, 54321)).with("54321"),
		"ForeignLog":     edited(ForeignLog(file, e.call.String())).with(e.call.String()),
		"LogInFile":      edited(LogInFile(file, read), LogInFile(file, LogRead{})).with("997 more", "54321"),
		"Forgotten":      said(Forgotten(Copies{Backups: []time.Time{e.one.AOS}, Kept: 14, Damaged: 1}, []string{longWord})).with("Removed", "14 newer", "1 damaged"),
	}
}
