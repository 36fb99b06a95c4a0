package say

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot/dial"
	"skyslate/bot/layout"
	"skyslate/bot/say/saytest"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/predict/predicttest"
)

// An extreme is what one function says where everything that goes into it is as
// long, or as many, as it gets, and what must be found in it.
type extreme struct {
	say  []string // answers, each in as many messages as it takes
	put  []string // posts that are edited where they stand: one message each
	must []string
}

// edge is a world in which everything is as long as it gets.
type edge struct {
	call     parse.Callsign // with a place before it and marks behind it
	name     string         // of a bird
	names    []string       // of fifty
	grids    []parse.Grid   // four of eight characters
	place    Place
	one      Pass
	passes   []Pass
	contacts []Contact // a hundred, of every state
	east     *time.Location
}

func newEdge(t *testing.T) edge {
	e := edge{
		call: parse.MustParseCallsign("3D2/OX2026ABCDEF/MM"), name: "VERY-LONG-NAMED-OCHRE-00",
		grids: grids("JO62qm01 JO62rm02 JO62qn03 JO62rn04"),
		east:  time.FixedZone("", 14*3600),
	}
	for i := range 50 {
		e.names = append(e.names, fmt.Sprintf("VERY-LONG-NAMED-OCHRE-%02d", i))
	}
	e.place = placeAt("JO62qm")
	e.place.Grids, e.place.Set = e.grids, utc("2026-08-01T00:00:00Z")
	for i := range 8 {
		e.place.Horizon = append(e.place.Horizon, predict.Sector{FromDeg: float64(30 * i), ToDeg: float64(30*i + 29), MinElDeg: 15})
	}
	for _, p := range passesOf(t, inventedSky(t), "OCHRE-1", placeAt("JO62qm")) {
		p.Name, p.Bird.Name, p.Place, p.Followed = e.name, e.name, e.place, true
		p.Radio = Radio{StepKHz: 6.25, Both: true}
		p.Wanted = grids("JO43 KO24 IO85 JP71 JN48 IO91 KP20 JO33 JO22 JN33 IO83 JO59")
		p.Skeds = slices.Repeat([]Sked{{
			Call: e.call, Grid: e.grids[0], At: p.TCA, MHz: 435.64125, Note: layout.Short(strings.Repeat("card ", 20), layout.Columns-2), // as long as it is kept
		}}, 4)
		e.passes = append(e.passes, p)
	}
	e.one = e.passes[0]
	states := []State{Certain, Incomplete, Doubtful, Heard}
	for i := range 100 {
		c := Contact{
			Call: e.call, Grids: e.grids, State: states[i%4], Why: WhyPass, Text: strings.Repeat("0x9qzt j033 ", 9),
			Time: e.one.TCA, TimeSource: FromRecording, Slate: e.one.AOS, Offset: 754 * time.Second,
			Bird: e.name, LogName: e.name, OwnCall: e.call, OwnGrids: e.grids, Made: e.one.LOS, Cause: "bulk",
		}
		if c.State == Incomplete {
			c.Grids = nil
		}
		e.contacts = append(e.contacts, c)
	}
	return e
}

// TestTextsLoseNothing walks every function that makes a text with extreme values.
// What an operator needs of it stands in it, whole, in messages that fit on a phone.
func TestTextsLoseNothing(t *testing.T) {
	e := newEdge(t)
	all := map[string]extreme{}
	for _, part := range []map[string]extreme{
		extremesOfPasses(e), extremesOfLog(e), extremesOfSettings(e), extremesOfFiles(t, e), extremesOfAgreeing(e), extremesOfSecond(e),
	} {
		maps.Copy(all, part)
	}
	for _, name := range saytest.TextFunctions(t, small...) {
		x, ok := all[name]
		if !ok {
			t.Errorf("%s is not walked", name)
			continue
		}
		delete(all, name)
		t.Run(name, func(t *testing.T) { saytest.Check(t, x.say, x.put, x.must...) })
	}
	for name := range all {
		t.Errorf("%s is walked, and no function", name)
	}
}

// small are the exported functions that make no text of their own: words, and what must fit into a button or a line of another text.
var small = []string{"Clock", "Grids", "PassName", "DatedName", "Listed", "OrphanName", "SaidState"}

// TestConstantsFit holds the sentences that never change to the size of a phone.
func TestConstantsFit(t *testing.T) {
	all := saytest.Constants(t)
	for _, text := range all {
		if why := saytest.UnfitOnPhone(text); why != "" {
			t.Errorf("%s: %s", why, text)
		}
	}
	if len(all) < 80 {
		t.Errorf("only %d constants", len(all))
	}
}

func said(texts ...string) extreme { return extreme{say: texts} }

func edited(texts ...string) extreme { return extreme{put: texts} }

func (x extreme) with(words ...string) extreme {
	x.must = append(x.must, words...)
	return x
}

const longWord = saytest.LongWord

// extremesOfPasses are the texts of passes, outings and the radio.
func extremesOfPasses(e edge) map[string]extreme {
	p, aos, los := e.one, Clock(e.one.AOS), Clock(e.one.LOS)
	bare := p.Pass
	refused := Refusals(Refused{NoElements: []string{e.name}, Old: []string{e.name}, Age: 40 * day, Max: 30 * day})
	outing := Outing{Place: e.place, Zone: e.east, From: p.AOS.Add(-time.Hour), Until: p.AOS.Add(12 * time.Hour), Armed: true}
	var windows []Window
	for _, q := range e.passes {
		windows = append(windows, Window{e.name, predict.Window{Start: q.AOS, End: q.LOS}})
	}
	rows := p.Table.MemoryPlan(p.Place.Site, bare, p.Transponder(), 6.25, 7)
	linear := p
	linear.Bird.Transponders = []predict.Transponder{{
		Kind: predict.Linear, UplinkMHz: 1267.4, UplinkWidthKHz: 60, DownlinkMHz: 2401.5, DownlinkWidthKHz: 60, Inverting: true, Mode: "SSB",
	}}
	call, fourth := e.call.String(), e.grids[3].String()
	frequencies := []string{dial.Nearest(145.99, 6.25), dial.Nearest(436.8, 6.25), "67.0"}
	reminders := []string{Reminder(p, nil, e.call, p.AOS.Add(-45*time.Minute), e.east), Reminder(p, e.passes[1:4], e.call, p.AOS, e.east)}
	late := []string{
		AsOf(saytest.Unstyled(reminders[0]), p.AOS, p.AOS.Add(-45*time.Minute), p.AOS.Add(-35*time.Minute)),
		AsOf(saytest.Unstyled(reminders[0]), p.AOS, p.AOS.Add(-45*time.Minute), p.AOS.Add(time.Minute)),
	}
	first := e.contacts[0]
	first.Number, first.Again = 100, true
	last := Echo(first)
	sked := p.Skeds[0]
	return map[string]extreme{
		"Reminder":      edited(reminders...).with(frequencies...).with(aos, los, e.name, call, fourth),
		"AsOf":          edited(late...).with(frequencies...).with(aos, los, e.name, call, fourth, "35 min"),
		"Sheets":        said(Sheets([]Pass{p}, e.call, e.east)).with(frequencies...).with(aos, los, e.name, call, fourth),
		"SheetsCaption": said(SheetsCaption(99, outing)).with("99 passes", "Open"),
		"SheetsAnew":    said(SheetsAnew(outing, []string{SheetMoved(bare, -90*time.Minute), SheetNew(bare), SheetGone(bare)})).with("90 min earlier", "One more", "No longer"),
		"SheetMoved":    said(SheetMoved(bare, -90*time.Minute)).with(e.name, "90 min earlier"),
		"SheetNew":      said(SheetNew(bare)).with(e.name),
		"SheetGone":     said(SheetGone(bare)).with(e.name, aos[:5]),
		"Announcement":  said(Announcement(e.place, e.passes, e.call)).with(aos[:5], fourth, call, e.name),
		"CalendarEntry": said(CalendarEntry(p, e.call, e.east)).with(frequencies...).with(aos, los, e.name),
		"Early":         said(Early(p, 10*time.Minute, p.AOS.Add(-45*time.Minute), e.east)).with(frequencies...).with(aos, los, e.name, fourth),
		"Card":          edited(Card(p, p.AOS, 100, 25, last, true)).with(frequencies...).with(los, call, fourth),
		"Passes":        edited(Passes(e.passes, placeAt("JO33"), refused, 12)).with("reminded", fourth, "newer ones"),
		"Evening":       edited(Evening(p.AOS, e.passes[:6], placeAt("JO33"), e.east)).with("reminded", fourth),
		"Stale":         said(Stale(e.passes, 40*day, time.Minute), Stale(nil, 0, 0)).with(shortClock(p.AOS)),
		"Light":         said(Light(p)).with("Daylight", "Elements", "shadow"),
		"Horizon":       said(Horizon(e.place), Horizon(Place{})).with("15° from 210", fourth, "/horizon level"),
		"BadHorizon":    said(BadHorizon(longWord, 8)).with("at most 8"),
		"OldElements":   said(OldElements(e.names, 20*day, time.Minute)).with("20 days", "42 more"),
		"Outings":       said(Outings(slices.Repeat([]Outing{outing}, 6))).with(fourth, "/outing"),
		"CalledOff":     said(CalledOff(outing)).with("Called off"),
		"OutingRange":   said(OutingRange(outing, 28)).with("28 days"),
		"BadOuting":     said(BadOuting(longWord)).with("/outing"),
		"LoggedThere":   said(LoggedThere(e.place, 100)).with(fourth, "100 contacts", "/undo"),
		"ItIs":          said(ItIs(p.AOS, e.east)).with(aos),
		"NotThere":      said(NotThere(e.place)).with(fourth),
		"AskThere":      said(AskThere(e.place, e.place)).with(fourth),
		"Arrived":       said(Arrived(e.place, 100)).with(fourth, "100 contacts"),
		"Windows":       said(Windows(e.grids[0], windows, refused, WindowSpan(time.Time{}, 3))).with("more in 3 days", "newer ones", aos[:5]),
		"Wanted":        said(Wanted(p.Wanted, e.passes)).with("JO59", "more", aos[:5]),
		"TooManyWanted": said(TooManyWanted(99, 12)).with("99"),
		"Memories":      said(Memories(p, rows)).with(frequencies[0], "67.0", aos[:5]),
		"NoMemories":    said(NoMemories(e.name)).with("/dial"),
		"NoLinear":      said(NoLinear(longWord), NoLinear("")).with("FM birds"),
		"OffBand":       said(OffBand(linear.Bird, 999.12345)).with("1267.400", "2401.500"),
		"Dials":         said(Dials(linear, linear.Transponder(), p.AOS)).with(los, "1267", "2401"),
		"RadioSet":      said(RadioSet(p.Radio)).with("6.25"),
		"BadStep":       said(BadStep(longWord)).with("12.5"),

		"NextPass": said(
			NextPass(Coming{AsksUp: true, Next: &p, Later: e.passes}, p.AOS.Add(-time.Hour), e.east),
			NextPass(Coming{Up: e.passes[:1], OfBird: true, Next: &p, Later: e.passes}, p.AOS, e.east),
			NextPass(Coming{Up: e.passes[:2], Worked: e.name}, p.AOS, e.east)).with(aos, los, e.name),
		"NoPassThen": said(NoPassThen(bare)).with(e.name),
		"Meaning":    said(Meaning("doppler")).with("70 cm"),
		"WhereNow":   said(WhereNow(p, p.AOS.Add(-time.Hour)), WhereNow(p, p.TCA)).with(e.name, aos, "look"),
		"Tuned":      said(Tuned(p, p.TCA), Tuned(linear, linear.TCA)).with(e.name),
		"DoNow":      said(DoNow(p, p.AOS.Add(-time.Hour), p.AOS.Add(-10*time.Minute)), DoNow(p, p.TCA, time.Time{}), DoNow(linear, linear.TCA, time.Time{})).with(e.name, "ox9qzt"),
		"WindowSpan": said(WindowSpan(time.Time{}, 3), WindowSpan(p.TCA, 3)).with("in 3 days"),

		"WorkedElsewhere": edited(WorkedElsewhere(bare, bare)).with(los),
		"ArmingBack":      said(ArmingBack(bare, true, true), ArmingBack(bare, false, true)).with(e.name),
		"Skipped":         edited(Skipped(bare)).with(e.name),
		"Armed":           said(Armed(bare, p.AOS.Add(-time.Hour)), Armed(bare, time.Time{})).with(e.name, "Reminder"),
		"SkyCaption":      said(SkyCaption(bare)).with(aos[:5]),
		"ReachCaption":    said(ReachCaption(p, p.Wanted)).with("JO43", "KO24"),
		"CalendarCaption": said(CalendarCaption(bare, 2)).with(e.name, "2 passes"),
		"CalendarSummary": said(CalendarSummary(p)).with(e.name),
		"WhichChance":     said(WhichChance(sked, 99, 6)).with(call, "6 of 99"),
		"NoChance":        said(NoChance(e.grids[0], e.name, p.AOS, "10:47 local")).with(e.name, "10:47"),
		"UnclearZone":     said(UnclearZone("10:47 IST")).with("10:47 IST"),
		"Arranged":        said(Arranged(p, e.call)).with(e.name, call),
		"Skeds":           said(Skeds(e.passes), Skeds(nil)).with(aos[:5], shortClock(e.passes[len(e.passes)-1].AOS)),
		"SkedOutcome":     said(strings.Join(SkedOutcome(p, sked, false), "\n"), strings.Join(SkedOutcome(p, sked, true), "\n")).with("not logged"),
		"SkedDropped":     said(SkedDropped(bare, e.call)).with(e.name),
		"SkedLost":        said(SkedLost(bare, e.call)).with(call),
		"Moved":           said(Moved(bare, 100)).with("100 contacts"),
		"Chosen":          said(Chosen(bare, 100)).with("100", e.name),
		"WhichPass":       said(WhichPass([]predict.Pass{bare}, p.AOS, e.name), WhichPass(nil, p.AOS, "")).with(e.name),
		"TimeUnheld":      said(TimeUnheld(parse.MakeClock(10, 47), bare, true), TimeUnheld(parse.MakeClock(10, 47), bare, false)).with(e.name, "10:47"),
		"NotUp":           said(NotUp(e.name)).with(e.name),
		"Echo":            edited(last).with(call, fourth, "again"),
	}
}

// extremesOfLog are the texts of contacts.
func extremesOfLog(e edge) map[string]extreme {
	sure, open, bare := e.contacts[0], e.contacts[2], e.one.Pass
	call, fourth := e.call.String(), e.grids[3].String()
	correction := Correction{Field: "slate", Value: longWord, Contacts: 100}
	doubts := []string{}
	for _, why := range []string{WhyPass, WhyTime, WhySlate, string(parse.NoCall), string(parse.Odd), string(parse.Denied)} {
		c := open
		c.Why, c.Call = why, parse.Callsign{}
		doubts = append(doubts, Question(c))
	}
	more := slices.Repeat([]string{strings.Repeat("n", layout.Columns)}, layout.Lines/2)
	counts := LogCounts{Worth: 50, Today: 100, Waiting: 9}
	return map[string]extreme{
		"Summary":    edited(Summary(e.name, 50, 9, e.contacts, more, &open), Summary(e.name, 0, 9, nil, more, nil)).with("99 before", call, fourth, "Open:", "which pass?"),
		"EarlierDay": edited(EarlierDay(e.contacts[0].Time)),
		"Log":        said(Log(PassName(bare), e.contacts, layout.Lines-4, counts), Log(Today, e.contacts, layout.MostPages*layout.Lines-4, counts), Log(Today, nil, 1, counts)).with(call, "Waiting"),
		"History":    said(History(e.contacts[:40])).with(call, fourth, e.name, Clock(sure.Time), "+12:34"),
		"Question":   said(doubts...).with("which pass?", "worked or not?", "from when?", "whose grid?", "can't be"),

		"Settled": said(Settled(sure, true), Settled(sure, false)).with(call, fourth),
		"Open": said(Open([]OpenPass{{"", e.contacts[:30]}, {DatedName(bare), e.contacts[:30]}}), Open(nil)).
			with(call, "Without a pass", "60 contacts", "Nothing is open"),
		"NothingOn":      said(NothingOn(longWord)).with("/log"),
		"WantedLine":     said(WantedLine(e.grids)).with(fourth),
		"Undone":         said(Undone(Listed(names(e.contacts)), e.contacts)).with(call, fourth, "92 more"),
		"NoDifference":   said(NoDifference(strings.Repeat("ox9qzt jo33 ", 9), "change to it", Listed(names(e.contacts))), NoDifference("", "", "")).with("ox9qzt jo33", call),
		"Quoted":         said(Quoted(strings.Repeat("ox9qzt jo33 ", 9)), Quoted("")),
		"ChoiceBack":     said(ChoiceBack(e.one.Pass, e.one.Pass), ChoiceBack(predict.Pass{}, predict.Pass{})).with(e.name),
		"Step":           said(Step(sure, false), Step(open, true)).with(call, fourth),
		"StillOpen":      said(StillOpen(e.contacts)).with(call),
		"LeftOver":       said(LeftOver(e.contacts)).with(call, fourth, "100 contacts"),
		"Parts":          said(Parts(99, e.name)).with(e.name, "99 parts"),
		"InOrder":        said(InOrder(slices.Repeat([]predict.Pass{bare}, 9), 100)).with("100 contacts", "5 more"),
		"MoreLogged":     said(MoreLogged(99)).with("99"),
		"AskSlate":       said(AskSlate(VoiceMessage + LabelFromVoice)).with("UTC"),
		"EarlierSlate":   said(EarlierSlate(e.one.AOS, 99)).with("99", "Tap"),
		"SlateTold":      said(SlateTold(Recording, e.one.AOS, 100)).with(Clock(e.one.AOS)),
		"NoVoices":       said(NoVoices(bare), NoVoices(predict.Pass{})).with(e.name),
		"Voice":          said(Voice(99, 99, e.name, "1h2m3s", e.one.AOS)).with("99 of 99", e.name),
		"Beside":         said(Beside(bare, e.one.LOS.Add(99*time.Minute)), Beside(bare, e.one.AOS)).with(e.name, "99 min after"),
		"Correct":        said(Correct(correction, bare, open, 99)).with("100 contacts", call, fourth, "99"),
		"LastOfWhat":     said(LastOfWhat(CorrectionStep(correction), e.contacts[0])).with(call, "100"),
		"Dropping":       said(Dropping(e.contacts)).with(call, "/undo"),
		"CorrectionStep": said(CorrectionStep(correction)).with("100"),
		"Corrected":      said(Corrected(correction)).with("/undo"),

		"NothingToCorrect":  said(NothingToCorrect(bare)).with(e.name),
		"Since":             said(Since(slices.Repeat([]Change{{sure, open}}, 40), e.contacts[:40], e.contacts)...).with(call, fourth, "withdrawn", "Added"),
		"HandOverCaption":   said(HandOverCaption(e.contacts, e.contacts, e.names, e.one.AOS, e.one.LOS)).with(call, fourth, "Doubtful, left out:", "96 more", "42 more", "21 more"),
		"SlowFile":          said(SlowFile(123456)).with("123456 contacts"),
		"NothingToHandOver": said(NothingToHandOver("2026-09-01", e.contacts)).with(call, "92 more"),
		"NeverWorked":       said(NeverWorked(call)).with(call),
		"NotOnBird":         said(NotOnBird(e.name)).with(e.name),
		"WorkedBefore":      said(WorkedBefore(NotOnBird(e.name), 123456, sure, 99)).with(call, "123456 contacts", e.name, "99"),
		"Found":             said(Found(call, []Contact{sure})).with(call),
		"WordedAsk":         said(WordedAsk(e.contacts)).with(call, "92 more"),
		"WordedTaken":       said(WordedTaken(123456)).with("123456 contacts"),
		"DayInAll": said(DayInAll(Day{
			Date: e.one.AOS, Contacts: e.contacts, News: more, Passes: slices.Repeat([]PassCount{{PassName(bare), 100, 5678}}, 12),
		})).with("100 contacts", "more passes"),
		"NewsLine":      said(NewsLine(e.name, News{Station: true, GridOnBird: true, Before: 99, Name: longWord})).with("99× before"),
		"TwinLine":      said(TwinLine(parse.MustParseCallsign("HX7ABCD"))).with("HX7ABCD"),
		"NewsTally":     said(strings.Join(NewsTally(e.names, e.names, 99), "\n")).with("New stations: 99"),
		"WorkedCaption": said(WorkedCaption(e.name, e.grids)).with(fourth),
		"NothingWorked": said(NothingWorked(e.name)).with(e.name),
		"AskForget":     said(AskForget(12345)).with("12345"),
		"CaughtUp": said(CaughtUp(Missed{
			Messages: 999, Contacts: 999, Reminders: 99, From: e.one.AOS, To: e.one.LOS,
		})).with("999 messages", "99 reminders"),
		"AfterDamage": said(
			AfterDamage(Lost{Since: e.one.AOS, Contacts: slices.Repeat([]LostContact{
				{99_999, e.call, e.one.AOS, e.name, true}, {Number: 1},
			}, 20)}),
			AfterDamage(Lost{All: true})).with("40 contacts", e.call.String(), e.name, "#99999", "beginning"),
		"Crossed":   said(Crossed(e.grids, e.grids[0])).with(fourth),
		"StillHere": said(StillHere(e.place, e.one.AOS)).with(fourth, "31 days"),
		"Here":      said(Here(e.place)).with(fourth),
	}
}

// extremesOfSettings are the texts of who and where one is, and of birds.
func extremesOfSettings(e edge) map[string]extreme {
	fourth := e.grids[3].String()
	weekend, evenings := Hours{0, 24}, Hours{17, 23}
	many := Remind{
		Week: [7]Hours{weekend, evenings, {18, 22}, evenings, {19, 21}, evenings, weekend},
		Lead: 10 * time.Minute, Evening: 21, Birds: e.names, Picture: true,
	}
	set := e.one.Table.Elements()
	bird := Bird{Bird: e.one.Bird, Also: slices.Repeat([]string{longWord}, 5), Elements: &set, NeverUp: true}
	bird.Notes, bird.Status.Source = strings.Repeat("note ", 200), longWord
	bird.Transponders = slices.Repeat(predicttest.Birds()[2].Transponders, 4)
	square, side := grids("JO62")[0], Border{12, "N", grids("JO72")[0]}
	return map[string]extreme{
		"CallSet": said(CallSet(e.call)).with(e.call.String()),
		"SetStep": said(SetStep(Settings{}, Settings{e.call, e.grids, e.grids, Radio{}}), SetStep(Settings{}, Settings{Radio: Radio{Both: true}}), SetStep(Settings{}, Settings{})).
			with(e.call.String(), fourth, "radio", "reminded"),
		"SetBack":          said(SetBack(Settings{}, Settings{Call: e.call, Grids: e.grids})).with(e.call.String(), fourth),
		"OwnCall":          said(OwnCall(e.call), OwnCall(parse.Callsign{})).with(e.call.String()),
		"BadCall":          said(BadCall(longWord)).with("OX9QZT/P"),
		"TwoCalls":         said(TwoCalls([]string{e.call.String(), e.call.String()})).with(e.call.String()),
		"BadGrid":          said(BadGrid(longWord)).with("JO33ab"),
		"BadGridLeft":      said(BadGridLeft(longWord)).with("left out"),
		"AskMove":          said(AskMove(e.grids, e.one.Place)).with("/outing"),
		"TooManyNow":       said(TooManyNow),
		"TooManyToday":     said(TooManyToday),
		"TooManyContacts":  said(TooManyContacts),
		"TooManyDocuments": said(TooManyDocuments),
		"TooManyMade":      said(TooManyMade),
		"TooMuchStored":    said(TooMuchStored),
		"TooManyArmed":     said(TooManyArmed),
		"TooManySkeds":     said(TooManySkeds),
		"FileGone":         said(FileGone),
		"NoRoom":           said(NoRoom),
		"BadGrids":         said(BadGrids(longWord, errors.New(longWord), longWord)),
		"PlaceSet":         said(PlaceSet(e.place, "Pacific/Kiritimati")).with(fourth, "Pacific/Kiritimati"),
		"OwnPlace":         said(OwnPlace(e.place, e.east), OwnPlace(Place{}, nil)).with(fourth, "/at"),
		"Borders":          said(Borders(square, side, side, 5000), Borders(square, side, side, 15), Borders(square, side, side, 9)).with("/at JO62 JO72", "JO62 alone"),
		"Ready":            said(Ready(e.call, e.place)).with(e.call.String(), "/help more"),
		"WhatNext":         said(WhatNext(e.one.Pass, time.Hour), WhatNext(predict.Pass{}, 0)).with(e.name),
		"UnknownCommand":   said(UnknownCommand(longWord)).with("/help"),
		"UnknownBird":      said(UnknownBird(longWord, e.names)).with("42 more"),
		"UnknownSpan":      said(UnknownSpan(longWord, e.names)).with("42 more"),
		"Reminders":        said(Reminders(many, e.names, e.east), Reminders(Remind{Off: true}, nil, nil)).with("hours 6-23", "OCHRE-49", "picture"),
		"UnknownSetting":   said(UnknownSetting(longWord)).with("/remind"),
		"BadNumber":        said(BadNumber(longWord, "evening", UnitEvening, 1, 23)).with("/remind evening 10"),
		"BadHours":         said(BadHours(longWord)).with("hours 6-23"),
		"NameBirds":        said(NameBirds(e.names)).with(e.names[1]),
		"Birds":            said(Birds(slices.Repeat([]Bird{bird}, 50), BirdNotes{e.names, e.names, e.names}, 6.25, utc("2026-09-02T00:00:00Z"))).with("Check before", "50 in all"),
		"OneBird":          said(OneBird(bird, 6.25, utc("2026-09-20T00:00:00Z"))).with("18 days", "note", "435.610–435.670", "20 Aug 2026"),
		"NeverUp":          said(NeverUp(e.names)).with("42 more"),
		"Refusals":         said(Refusals(Refused{NoElements: e.names, Old: e.names, Unfit: e.names, Age: 40 * day, Max: 30 * day, Detail: longWord})).with("42 more", "/passes stale"),
		"ListedAlready":    said(ListedAlready(bird.Bird)).with(e.name),
		"RemovedBird":      said(RemovedBird(e.name, true)).with("shared"),
		"LongBirdNote":     said(LongBirdNote(300)).with("300"),
		"TooManyBirds":     said(TooManyBirds(50)).with("50"),
		"BadDay":           said(BadDay(longWord)).with("/day"),
		"NoneTaken":        said(NoneTaken(100)).with("100 contacts"),
		"BadSpan":          said(BadSpan(longWord)).with("together"),
		"BadDate":          said(BadDate(longWord)).with("2026-11-24"),
	}
}
