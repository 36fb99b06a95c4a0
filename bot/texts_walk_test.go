package bot

import (
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot/contact"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// An extreme is what one function of texts says where everything that goes into
// it is as long, or as many, as it gets, and what must be found in it.
type extreme struct {
	say  []string // answers, each in as many messages as it takes
	put  []string // posts that are edited where they stand: one message each
	must []string
}

// edge is a world in which everything is as long as it gets.
type edge struct {
	call     parse.Callsign // with a place before it and marks behind it
	name     string         // of a bird
	grids    []parse.Grid   // four of eight characters
	op       storage.Operator
	pass     storage.Pass
	one      passing
	passes   []passing
	contacts []storage.Contact // a hundred, of every state
	birds    []predict.Bird    // fifty
	sky      *Sky
	east     *time.Location
}

func newEdge(t *testing.T) edge {
	e := edge{
		call: parse.MustParseCallsign("3D2/OX2026ABCDEF/MM"), name: "VERY-LONG-NAMED-OCHRE-00",
		grids: placeAt("JO62qm01", "JO62rm02", "JO62qn03", "JO62rn04").Grids,
		east:  time.FixedZone("", 14*3600),
	}
	prefix := "VERY-LONG-NAMED-OCHRE-"
	template := inventedBirds()[0]
	for i := range 50 {
		b := template
		b.Name, b.Catalog = fmt.Sprintf("%s%02d", prefix, i), template.Catalog+i
		e.birds = append(e.birds, b)
	}
	e.sky = NewSky(e.birds, inventedSets(t))
	place := placeAt("JO62qm")
	place.Grids, place.Zone, place.Set = e.grids, "Pacific/Kiritimati", utc("2026-08-01T00:00:00Z")
	for i := range mostHidden {
		place.Horizon = append(place.Horizon, storage.Hidden{FromDeg: float64(30 * i), ToDeg: float64(30*i + 29), ElDeg: 15})
	}
	e.op = storage.Operator{ID: "1", Call: e.call, Place: place, Remind: DefaultRemind(), Radio: storage.Radio{StepKHz: 6.25, Both: true}}
	for i, p := range passingsOf(t, inventedSky(t), "OCHRE-1", placeAt("JO62qm")) {
		p.bird = e.birds[0]
		p.pass.Bird, p.pass.Place = birdRef(p.bird), place
		p.pass.ID = storage.PassID(fmt.Sprint("pass", i))
		p.rig = e.op.Radio
		p.wanted = parseGrids("JO43 KO24 IO85 JP71 JN48 IO91 KP20 JO33 JO22 JN33 IO83 JO59")
		p.pass.Skeds = slices.Repeat([]storage.Sked{{
			Call: e.call, Grid: e.grids[0], At: p.pass.TCA, MHz: 435.64125, Note: strings.Repeat("card ", 20),
		}}, 4)
		e.passes = append(e.passes, p)
	}
	e.one = e.passes[0]
	e.pass = e.one.pass
	states := []storage.State{storage.Certain, storage.Incomplete, storage.Doubtful, storage.Heard}
	for i := range 100 {
		c := storage.Contact{
			ID: uint64(i + 1), Version: 1, Call: e.call, Grids: e.grids, State: states[i%4], Pass: e.pass.ID, Bird: e.pass.Bird,
			Time: e.pass.TCA, TimeSource: storage.FromRecording, OwnCall: e.call, OwnGrids: e.grids, Why: contact.WhyPass,
			Mark: &storage.Mark{Slate: e.pass.AOS, Offset: 754 * time.Second}, Text: strings.Repeat("0x9qzt j033 ", 9),
			Made: e.pass.LOS, Cause: storage.Cause{Kind: "bulk"},
		}
		if c.State == storage.Incomplete {
			c.Grids = nil
		}
		e.contacts = append(e.contacts, c)
	}
	return e
}

func parseGrids(text string) []parse.Grid { return placeAt(strings.Fields(text)...).Grids }

// TestTextsLoseNothing walks every function of texts with extreme values. What an
// operator needs of it stands in it, whole, in messages that fit on a phone.
func TestTextsLoseNothing(t *testing.T) {
	e := newEdge(t)
	all := extremes(t, e)
	for _, name := range textFunctions(t) {
		x, ok := all[name]
		if !ok {
			t.Errorf("%s is not walked", name)
			continue
		}
		delete(all, name)
		t.Run(name, func(t *testing.T) { x.check(t) })
	}
	for name := range all {
		t.Errorf("%s is walked, and no function", name)
	}
}

func (x extreme) check(t *testing.T) {
	var seen []string
	for _, text := range x.say {
		pages := paged(text)
		if strings.HasSuffix(pages[len(pages)-1], "\n"+textMore) {
			t.Errorf("cut after %d messages", len(pages))
		}
		seen = append(seen, pages...)
	}
	for _, text := range x.put {
		whole := shaped(text, storage.Send)
		if strings.HasSuffix(whole, "\n"+textMore) {
			t.Errorf("cut:\n%s", text)
		}
		seen = append(seen, whole)
	}
	for _, page := range seen {
		if why := unfitOnPhone(page); why != "" {
			t.Errorf("%s in\n%s", why, page)
		}
		for _, wrong := range []string{"%!", "NaN", "  \n", "\n\n"} {
			if strings.Contains(page, wrong) {
				t.Errorf("%q in\n%s", wrong, page)
			}
		}
	}
	flat := strings.Join(strings.Fields(strings.Join(seen, "\n")), " ")
	for _, word := range x.must {
		if !strings.Contains(flat, word) {
			t.Errorf("%q is lost in\n%s", word, strings.Join(seen, "\n---\n"))
		}
	}
	if len(seen) == 0 {
		t.Error("it says nothing")
	}
}

// textFunctions are the functions that make a whole text or the caption of a file.
func textFunctions(t *testing.T) []string {
	files, err := filepath.Glob("texts*.go")
	if err != nil {
		t.Fatal(err)
	}
	whole := regexp.MustCompile(`(Texts?|Caption)$`)
	names := map[string]bool{}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range parsed.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && f.Recv == nil && whole.MatchString(f.Name.Name) {
				names[f.Name.Name] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(names))
}

func said(texts ...string) extreme { return extreme{say: texts} }

func edited(texts ...string) extreme { return extreme{put: texts} }

func (x extreme) with(words ...string) extreme {
	x.must = append(x.must, words...)
	return x
}

func extremes(t *testing.T, e edge) map[string]extreme {
	all := map[string]extreme{}
	for _, part := range []map[string]extreme{
		extremesOfPasses(e), extremesOfLog(e), extremesOfSettings(e), extremesOfFiles(t, e),
	} {
		maps.Copy(all, part)
	}
	return all
}

var longWord = strings.Repeat("wörd", 30)

// extremesOfPasses are the texts of passes, outings and the radio.
func extremesOfPasses(e edge) map[string]extreme {
	p, aos, los := e.one, clock(e.pass.AOS), clock(e.pass.LOS)
	refused := refusalsText([]error{&NoElementsError{e.name}, &StaleError{e.name, 40 * day, 30 * day}})
	outing := storage.Outing{
		ID: 7, Place: e.op.Place, From: e.pass.AOS.Add(-time.Hour), Until: e.pass.AOS.Add(12 * time.Hour), Armed: e.pass.AOS, Wanted: p.wanted,
	}
	var windows []window
	for _, q := range e.passes {
		windows = append(windows, window{e.name, predict.Window{Start: q.pass.AOS, End: q.pass.LOS}})
	}
	rows := p.table.MemoryPlan(siteOf(p.pass.Place), p.predicted(), p.radio(), 6.25, mostMemories)
	linear := p
	linear.bird.Transponders = []predict.Transponder{{
		Kind: predict.Linear, UplinkMHz: 1267.4, UplinkWidthKHz: 60, DownlinkMHz: 2401.5, DownlinkWidthKHz: 60, Inverting: true, Mode: "SSB",
	}}
	fourth := e.grids[3].String()
	frequencies := []string{dial(145.99, 6.25), dial(436.8, 6.25), "67.0"}
	reminders := []string{reminderText(p, nil, e.call, e.pass.AOS.Add(-earlyLead), e.east), reminderText(p, e.passes[1:4], e.call, e.pass.AOS, e.east)}
	last := echoLine(e.contacts[0], 100, true, e.op.Place)
	w := wish{sked: storage.Sked{Call: e.call, Grid: e.grids[0]}, bird: e.name}
	return map[string]extreme{
		"reminderText":  edited(reminders...).with(frequencies...).with(aos, los, e.name, e.call.String(), fourth),
		"sheetText":     said(sheetText(p, sheetMovedHead(p, 90*time.Second), e.call)).with(frequencies...).with(aos, los, e.name, "90 s later"),
		"calendarText":  said(calendarText(p, e.call, e.east)).with(frequencies...).with(aos, los, e.name),
		"earlyText":     said(earlyText(p, e.pass.AOS.Add(-earlyLead))).with(frequencies...).with(aos, los, e.name, fourth),
		"cardText":      edited(cardText(p, e.pass.AOS, e.contacts, last, true)).with(frequencies...).with(los, e.call.String(), fourth),
		"passesText":    edited(passesText(e.passes, placeAt("JO33"), refused)).with("reminded", fourth, "newer ones"),
		"eveningText":   edited(eveningText(e.pass.AOS, e.passes[:eveningPasses], placeAt("JO33"), e.east)).with("reminded", fourth),
		"staleText":     said(staleText(e.passes, 40*day, time.Minute)).with(shortClock(e.pass.AOS)),
		"lightText":     said(lightText(p)),
		"lightsText":    said(lightsText(p)).with("Daylight", "Elements", "umbra"),
		"horizonText":   said(horizonText(e.op.Place)).with("15° from 210", fourth, "/horizon level"),
		"warningText":   said(warningText(e.sky.names(), 20*day, time.Minute)).with("20 days", "42 more"),
		"outingText":    edited(outingText(outing, e.passes, refused)).with(aos[:5], fourth, "newer ones", "more"),
		"outingsText":   said(outingsText(slices.Repeat([]storage.Outing{outing}, mostOutings))).with(fourth, "/outing"),
		"outingOffText": said(outingOffText(outing)).with("Called off"), "outingRangeText": said(outingRangeText(outing, e.east)).with("28 days"),
		"elsewhereOutingText": said(elsewhereOutingText(e.op.Place)).with(fourth), "sheetGoneText": said(sheetGoneText(e.pass)).with(e.name, aos[:5], fourth),
		"moreSheetsText": said(moreSheetsText(99)).with("99 passes"), "askThereText": said(askThereText(e.op.Place, e.op.Place)).with(fourth),
		"arrivedText": said(arrivedText(e.op.Place, 100)).with(fourth, "100 contacts"), "badOutingText": said(badOutingText(longWord)).with("/outing"),
		"windowsText":    said(windowsText(e.grids[0], windows, refused)).with("more in 3 days", "newer ones", aos[:5]),
		"wantedText":     said(wantedText(p.wanted, e.passes)).with("JO59", "more", aos[:5]),
		"memoriesText":   said(memoriesText(p, rows)).with(frequencies[0], "67.0", aos[:5]),
		"noMemoriesText": said(noMemoriesText(p.bird)).with("/dial"), "noLinearText": said(noLinearText(longWord)).with("FM birds"),
		"offBandText": said(offBandText(linear.bird, 999.12345)).with("1267.400", "2401.500"),
		"dialText":    said(dialText(linear, linear.radio(), e.pass.AOS)).with(los, "1267", "2401"), "radioText": said(radioText(e.op.Radio)).with("6.25"),
		"badStepText": said(badStepText(longWord)).with("12.5"), "elsewhereText": edited(elsewhereText(e.pass, e.pass)).with(los),
		"skippedText": edited(skippedText(e.pass)).with(e.name), "armedText": said(armedText(e.pass, e.op.Remind, e.pass.AOS.Add(-time.Hour))).with(e.name),
		"tooManyWantedText": said(tooManyWantedText(99)).with("99"), "skyCaption": said(skyCaption(e.pass)).with(aos[:5]),
		"reachCaption":    said(reachCaption(e.pass, p.windows(p.wanted))).with("JO43", "KO24"),
		"calendarCaption": said(calendarCaption([]storage.Pass{e.pass, e.pass})).with(e.name), "whichChanceText": said(whichChanceText(w, 99)).with(e.call.String()),
		"noChanceText": said(noChanceText(w)).with(e.name), "arrangedText": said(arrangedText(p, e.call)).with(e.name, e.call.String()),
		"skedsText":       said(skedsText(e.passes)).with(aos[:5], shortClock(e.passes[len(e.passes)-1].pass.AOS)),
		"skedDroppedText": said(skedDroppedText(e.pass, e.call)).with(e.name), "skedLostText": said(skedLostText(e.pass, e.pass.Skeds[0])).with(e.call.String()),
		"movedText": said(movedText(e.pass, 100)).with("100 contacts"), "chosenText": said(chosenText(e.pass, 100)).with("100", e.name),
		"whichText": said(whichText([]storage.Pass{e.pass}, e.pass.AOS, e.name)).with(e.name), "notUpText": said(notUpText(e.name)).with(e.name),
	}
}

// extremesOfLog are the texts of contacts.
func extremesOfLog(e edge) map[string]extreme {
	sure, open := e.contacts[0], e.contacts[2]
	call, fourth := e.call.String(), e.grids[3].String()
	open.Candidates = nil
	bulk := storage.Bulk{Change: storage.Change{Field: "slate"}, Value: longWord, Contacts: make([]storage.ContactRef, 100)}
	doubts := []string{}
	for _, why := range []string{contact.WhyPass, contact.WhyTime, contact.WhySlate, string(parse.NoCall), string(parse.Odd), string(parse.Denied)} {
		c := open
		c.Why, c.Call = why, parse.Callsign{}
		doubts = append(doubts, questionText(c))
	}
	h := handing{added: e.contacts, changed: slices.Repeat([]amended{{sure, open}}, 40), withdrawn: e.contacts[:40]}
	recipe := order{from: e.pass.AOS, to: e.pass.LOS}
	more := slices.Repeat([]string{strings.Repeat("n", textColumns)}, textLines/2)
	return map[string]extreme{
		"summaryText":  edited(summaryText(e.pass, e.contacts, more, &open), summaryText(e.pass, nil, more, nil)).with("99 before", call, fourth, "Open:", "which pass?"),
		"logText":      said(logText(passLabel(e.pass), e.contacts, textLines-4, 100, 9), logText(textToday, e.contacts, mostPages*textLines, 100, 9)).with(call, "Waiting"),
		"historyText":  said(historyText(e.contacts[:40], 100)).with(call, fourth, e.name),
		"questionText": said(doubts...).with("which pass?", "worked or not?", "from when?", "whose grid?", "can't be"),
		"droppedText":  edited(droppedText(sure)).with(call, fourth, "dropped"), "settledText": said(settledText(sure, true)).with(call, fourth),
		"undoneText":  said(undoneText(storage.Step{What: contactNames(e.contacts)}, e.contacts)).with(call, fourth, "92 more"),
		"stepText":    said(stepText(sure, false)).with(call, fourth),
		"timeText":    said(timeText(sure)).with(clock(sure.Time)),
		"offsetText":  said(offsetText(754 * time.Second)).with("+12:34"),
		"waitingText": said("x" + waitingText(100)).with("100"),
		"againText":   said(againText(e.contacts)).with(call), "askSlateText": said(askSlateText(textVoiceMessage + labelFromVoice)).with("UTC"),
		"earlierSlateText": said(earlierSlateText(e.pass.AOS, 99)).with("99", "/correct slate"),
		"slateText":        said(slateText(textRecording, e.pass.AOS, 100)).with(clock(e.pass.AOS)), "noVoicesText": said(noVoicesText(e.pass)).with(e.name),
		"voiceText":  said(voiceText(storage.Message{Voice: "1h2m3s", At: e.pass.AOS}, e.name, 99, 99)).with("99 of 99", e.name),
		"besideText": said(besideText(e.pass, e.pass.LOS.Add(99*time.Minute))).with(e.name, "99 min after"),
		"partsText":  said(partsText(99, e.name)).with(e.name, "99 parts"), "othersText": said(othersText(e.contacts)).with(call, fourth, "100 contacts"),
		"inOrderText": said(inOrderText(slices.Repeat([]storage.Pass{e.pass}, 9), 100)).with("100 contacts", "5 more"),
		"bulkText":    said(bulkText(bulk, e.pass, open, 99)).with("100 contacts", call, fourth, "99"), "bulkStepText": said(bulkStepText(bulk)).with("100"),
		"bulkDoneText": said(bulkDoneText(bulk)).with("/undo"), "nothingToCorrectText": said(nothingToCorrectText(e.pass)).with(e.name),
		"sinceTexts":            said(sinceTexts(h)...).with(call, fourth, "withdrawn", "Added"),
		"changeText":            said(changeText(amended{sure, open})).with(call),
		"handOverText":          said(handOverText(recipe, e.contacts, e.sky.names(), e.contacts)).with(call, fourth, "Doubtful, left out:", "96 more", "42 more", "21 more"),
		"slowFileText":          said(slowFileText(123456)).with("123456 contacts"),
		"nothingToHandOverText": said(nothingToHandOverText("2026-09-01", e.contacts)).with(call, "92 more"),
		"dayText": said(dayText(dayTold{
			date: e.pass.AOS, contacts: e.contacts, news: more, place: e.op.Place,
			passes: slices.Repeat([]passCount{{passLabel(e.pass), 100, 5678}}, 12),
		})).with("100 contacts", "more passes"),
		"moreLoggedText": said(moreLoggedText(99)).with("99"), "workedCaption": said(workedCaption(e.name, e.grids)).with(fourth),
		"nothingWorkedText": said(nothingWorkedText(e.name)).with(e.name), "forgetText": said(forgetText(12345)).with("12345"),
		"missedText": said(missedText(storage.Missed{
			Messages: 999, Contacts: 999, Reminders: 99, From: e.pass.AOS, To: e.pass.LOS,
		})).with("999 messages", "99 reminders"),
		"crossedText":   said(crossedText(e.grids, e.grids[0])).with(fourth),
		"stillHereText": said(stillHereText(e.op.Place, e.pass.AOS)).with(fourth), "hereText": said(hereText(e.op.Place)).with(fourth),
		"sinceText": said(sinceText(1000 * day)).with("1000 days"),
	}
}

// extremesOfSettings are the texts of who and where one is, and of birds.
func extremesOfSettings(e edge) map[string]extreme {
	bad := errors.New(longWord)
	fourth := e.grids[3].String()
	_, badCall := parse.ParseCallsign(longWord)
	many := e.op.Remind
	many.Birds, many.Picture = e.sky.names(), true
	bird := e.birds[0]
	bird.Aliases, bird.Notes, bird.Status.Source = slices.Repeat([]string{longWord}, 5), strings.Repeat("note ", 200), longWord
	bird.Transponders = slices.Repeat(inventedBirds()[2].Transponders, 4)
	set, _ := e.sky.Elements(99101)
	errs := []error{}
	for _, b := range e.birds {
		errs = append(errs, &NoElementsError{b.Name}, &StaleError{b.Name, 40 * day, 30 * day})
	}
	return map[string]extreme{
		"callSetText": said(callSetText(e.call)).with(e.call.String()), "ownCallText": said(ownCallText(e.op)).with(e.call.String()),
		"badCallText": said(badCallText(longWord, badCall)).with("OX9QZT/P"), "badGridText": said(badGridText(longWord, bad)).with("JO33ab"),
		"placeSetText": said(placeSetText(e.op.Place)).with(fourth, "Pacific/Kiritimati"), "ownPlaceText": said(ownPlaceText(e.op, e.east)).with(fourth, "/at"),
		"readyText": said(readyText(e.op, e.east)).with(e.call.String(), "/help more"), "whatNextText": said(whatNextText(e.op, e.pass, true)).with(e.name),
		"unknownCommandText": said(unknownCommandText(longWord)).with("/help"), "unknownBirdText": said(unknownBirdText(longWord, e.sky)).with("42 more"),
		"unknownSpanText": said(unknownSpanText(longWord, e.sky)).with("42 more"), "remindText": said(remindText(many, e.sky, e.east)).with("hours 6-23", "OCHRE-49", "picture"),
		"birdsText":  said(birdsText(e.sky, e.op, nil, utc("2026-09-02T00:00:00Z"))).with("Check before"),
		"birdText":   said(birdText(bird, set, true, 6.25, utc("2026-09-20T00:00:00Z"))).with("18 days", "note", "435.610–435.670"),
		"statusText": said(statusText(bird.Status)).with("20 Aug 2026"), "neverText": said(neverText(e.sky.names())).with("42 more"),
		"refusalsText": said(refusalsText(errs)).with("42 more", "/passes stale"), "listedAlreadyText": said(listedAlreadyText(bird)).with(e.birds[0].Name),
		"removedBirdText": said(removedBirdText(e.name, true)).with("shared"), "badDayText": said(badDayText(longWord)).with("/day"),
		"badAdifText": said(badAdifText(longWord)).with("together"), "badDateText": said(badDateText(longWord)).with("2026-11-24"),
		"borderText": said(borderText(52.999, 13.999, 5000), borderText(52.9999, 13.9999, 12), borderText(52.5, 13.5, 9)).with("/at JO62 JO72", "JO62 alone"),
	}
}

// extremesOfFiles are the texts of what was sent or can be deleted.
func extremesOfFiles(t *testing.T, e edge) map[string]extreme {
	fault := &predict.InputError{File: longWord, Line: 123456, Column: 123456, Found: longWord, Expected: "a number " + strings.Repeat("of a kind ", 9)}
	sets := inventedSets(t)
	got := taken{
		sets: sets, problems: slices.Repeat([]*predict.InputError{fault}, 99), used: e.sky.names(), older: e.sky.names(), never: e.sky.names(),
		orphans: slices.Repeat(sets, 9), refused: []error{&NoElementsError{e.name}, &StaleError{e.name, 40 * day, 30 * day}},
	}
	im := importing{Name: noteText(longWord, 60), Moved: 54321, Again: 12345, Size: 1e9, Read: logbook.Progress{
		Records: 54321, Fresh: 54321, Broken: 999, Strange: 54321, Faults: slices.Repeat([]string{"123456: " + strings.Repeat("this and ", 20)}, 9),
	}}
	reading := im
	reading.Stage = stageRead
	return map[string]extreme{
		"noElementsText": said(noElementsText(longWord, nil), noElementsText(longWord, got.problems)).with("Line 123456", "two lines or OMM"),
		"faultText":      said(faultText(fault)).with("123456"),
		"takenText":      said(takenText(got)).with("42 more", "Line 123456", "99 faults", "newer ones"),
		"badBirdText":    said(badBirdText(fault)).with("Nothing is changed"),
		"importText":     edited(importText(im, stageRead), importText(reading, ""), importText(im, stageAdd), importText(im, stageBack)).with("54321", "999"),
		"addedText":      edited(addedText(im)).with("12345"),
		"readText":       edited(readText(im)).with("997 more"),
		"forgottenText":  said(forgottenText([]string{"20260901T000000Z.db", "skyslate.db.broken-20260901T000000Z"}, []string{longWord})).with("Removed"),
	}
}
