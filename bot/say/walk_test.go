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
	"skyslate/bot/phrase"
	"skyslate/bot/say/saytest"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/predict/predicttest"
)

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
	all := map[string]saytest.Extreme{}
	for _, part := range []map[string]saytest.Extreme{
		extremesOfPasses(e), extremesOfLog(e), extremesOfBirds(e), extremesOfFiles(t, e), extremesOfAgreeing(e),
	} {
		maps.Copy(all, part)
	}
	saytest.Walk(t, all, small...)
}

// small are the exported functions that make no text of their own: words, and what must fit into a button or a line of another text.
var small = []string{"PassName", "DatedName", "OrphanName", "SaidState"}

// TestConstantsFit holds the sentences that never change to the size of a phone.
func TestConstantsFit(t *testing.T) { saytest.Constants(t, 80) }

const longWord = saytest.LongWord

// extremesOfPasses are the texts of passes, outings and the radio.
func extremesOfPasses(e edge) map[string]saytest.Extreme {
	p, aos, los := e.one, phrase.Clock(e.one.AOS), phrase.Clock(e.one.LOS)
	bare := p.Pass
	refused := Refusals(Refused{NoElements: []string{e.name}, Old: []string{e.name}, Age: 40 * phrase.Day, Max: 30 * phrase.Day})
	outing := Outing{Place: e.place, Zone: e.east, From: p.AOS.Add(-time.Hour), Until: p.AOS.Add(12 * time.Hour), Wanted: e.grids, Armed: true}
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
	return map[string]saytest.Extreme{
		"Reminder":      saytest.Edited(reminders...).With(frequencies...).With(aos, los, e.name, call, fourth),
		"AsOf":          saytest.Edited(late...).With(frequencies...).With(aos, los, e.name, call, fourth, "35 min"),
		"Sheets":        saytest.Said(Sheets([]Pass{p}, e.call, e.east)).With(frequencies...).With(aos, los, e.name, call, fourth),
		"SheetsCaption": saytest.Said(SheetsCaption(99, outing)).With("99 passes", "Open"),
		"SheetsAnew":    saytest.Said(SheetsAnew(outing, []string{SheetMoved(bare, -90*time.Minute), SheetNew(bare), SheetGone(bare)})).With("90 min earlier", "One more", "No longer"),
		"SheetMoved":    saytest.Said(SheetMoved(bare, -90*time.Minute)).With(e.name, "90 min earlier"),
		"SheetNew":      saytest.Said(SheetNew(bare)).With(e.name),
		"SheetGone":     saytest.Said(SheetGone(bare)).With(e.name, aos[:5]),
		"Announcement":  saytest.Said(Announcement(e.place, e.passes, e.call)).With(aos[:5], fourth, call, e.name),
		"CalendarEntry": saytest.Said(CalendarEntry(p, e.call, e.east)).With(frequencies...).With(aos, los, e.name),
		"Early":         saytest.Said(Early(p, 10*time.Minute, p.AOS.Add(-45*time.Minute), e.east)).With(frequencies...).With(aos, los, e.name, fourth),
		"Card":          saytest.Edited(Card(p, p.AOS, 100, 25, last, true)).With(frequencies...).With(los, call, fourth),
		"Passes":        saytest.Edited(Passes(e.passes, placeAt("JO33"), refused, 12)).With("reminded", fourth, "newer ones"),
		"Evening":       saytest.Edited(Evening(p.AOS, e.passes[:6], placeAt("JO33"), e.east, 2)).With("reminded", fourth),
		"Stale":         saytest.Said(Stale(e.passes, 40*phrase.Day, time.Minute), Stale(nil, 0, 0)).With(phrase.ShortClock(p.AOS)),
		"Light":         saytest.Said(Light(p)).With("Daylight", "Elements", "shadow"),
		"OldElements":   saytest.Said(OldElements(e.names, 20*phrase.Day, time.Minute)).With("20 days", "42 more"),
		"Outings":       saytest.Said(Outings(slices.Repeat([]Outing{outing}, 6))).With(fourth, "/outing"),
		"StillRing":     saytest.Said(StillRing([]string{"WICKET-1 15:44"})).With("15:44"),
		"CalledOff":     saytest.Said(CalledOff(outing)).With("Called off"),
		"OutingTwice":   saytest.Said(OutingTwice("9-11")).With("“9-11”", "one at a time"),
		"ArmedWith":     saytest.Said(ArmedWith([]string{"WICKET-1 10:42"}, outing)).With("WICKET-1 10:42", "call one off"),
		"OutingLeft":    saytest.Said(OutingLeft(outing, 100)).With("100 passes", "/at home"),
		"OutingRange":   saytest.Said(OutingRange(outing, 28)).With("28 days"),
		"BadOuting":     saytest.Said(BadOuting(longWord)).With("/outing"),
		"LoggedThere":   saytest.Said(LoggedThere(e.place, 100)).With(fourth, "100 contacts", "/undo"),
		"HowFar":        saytest.Said(HowFar(e.grids, e.place)).With("km"),
		"ItIs":          saytest.Said(ItIs(p.AOS, e.east)).With(aos),
		"NotThere":      saytest.Said(NotThere(e.place)).With(fourth),
		"AskThere":      saytest.Said(AskThere(e.place, e.place)).With(fourth),
		"Arrived":       saytest.Said(Arrived(e.place, 100)).With(fourth, "100 contacts"),
		"Windows":       saytest.Said(Windows(e.grids[0], windows, refused, WindowSpan(time.Time{}, 3))).With("more in 3 days", "newer ones", aos[:5]),
		"Wanted":        saytest.Said(Wanted(p.Wanted, e.passes)).With("JO59", "more", aos[:5]),
		"TooManyWanted": saytest.Said(TooManyWanted(99, 12)).With("99"),
		"Memories":      saytest.Said(Memories(p, rows)).With(frequencies[0], "67.0", aos[:5]),
		"NoMemories":    saytest.Said(NoMemories(e.name)).With("/dial"),
		"NoLinear":      saytest.Said(NoLinear(longWord), NoLinear("")).With("FM birds"),
		"OffBand":       saytest.Said(OffBand(linear.Bird, 999.12345)).With("1267.400", "2401.500"),
		"Dials":         saytest.Said(Dials(linear, linear.Transponder(), p.AOS)).With(los, "1267", "2401"),

		"NextPass": saytest.Said(
			NextPass(Coming{AsksUp: true, Next: &p, Later: e.passes}, p.AOS.Add(-time.Hour), e.east),
			NextPass(Coming{Up: e.passes[:1], OfBird: true, Next: &p, Later: e.passes}, p.AOS, e.east),
			NextPass(Coming{Up: e.passes[:2], Worked: e.name}, p.AOS, e.east)).With(aos, los, e.name),
		"WhichRises": saytest.Said(WhichRises(bare, bare)).With(e.name),
		"NoPassThen": saytest.Said(NoPassThen(bare)).With(e.name),
		"Meaning":    saytest.Said(Meaning("doppler")).With("70 cm"),
		"WhereNow":   saytest.Said(WhereNow(p, p.AOS.Add(-time.Hour)), WhereNow(p, p.TCA)).With(e.name, aos, "look"),
		"Tuned":      saytest.Said(Tuned(p, p.TCA), Tuned(linear, linear.TCA)).With(e.name),
		"DoNow":      saytest.Said(DoNow(p, p.AOS.Add(-time.Hour), p.AOS.Add(-10*time.Minute)), DoNow(p, p.TCA, time.Time{}), DoNow(linear, linear.TCA, time.Time{})).With(e.name, "ox9qzt"),
		"WindowSpan": saytest.Said(WindowSpan(time.Time{}, 3), WindowSpan(p.TCA, 3)).With("in 3 days"),

		"WorkedElsewhere": saytest.Edited(WorkedElsewhere(bare, bare)).With(los),
		"ArmingBack":      saytest.Said(ArmingBack(bare, true, true), ArmingBack(bare, false, true)).With(e.name),
		"Skipped":         saytest.Edited(Skipped(bare)).With(e.name),
		"SkippedWorked":   saytest.Said(SkippedWorked(bare)).With(e.name, "summary"),
		"Armed":           saytest.Said(Armed(bare, p.AOS.Add(-time.Hour)), Armed(bare, time.Time{})).With(e.name, "Reminder"),
		"SkyCaption":      saytest.Said(SkyCaption(bare)).With(aos[:5]),
		"ReachCaption":    saytest.Said(ReachCaption(p, p.Wanted)).With("JO43", "KO24"),
		"CalendarCaption": saytest.Said(CalendarCaption(bare, 2)).With(e.name, "2 passes"),
		"CalendarSummary": saytest.Said(CalendarSummary(p)).With(e.name),
		"WhichChance":     saytest.Said(WhichChance(sked, 99, 6)).With(call, "6 of 99"),
		"NoChance":        saytest.Said(NoChance(e.grids[0], e.name, p.AOS, "10:47 local")).With(e.name, "10:47"),
		"UnclearZone":     saytest.Said(UnclearZone("10:47 IST")).With("10:47 IST"),
		"Arranged":        saytest.Said(Arranged(p, e.call)).With(e.name, call),
		"Skeds":           saytest.Said(Skeds(e.passes), Skeds(nil)).With(aos[:5], phrase.ShortClock(e.passes[len(e.passes)-1].AOS)),
		"SkedOutcome":     saytest.Said(strings.Join(SkedOutcome(p, sked, false), "\n"), strings.Join(SkedOutcome(p, sked, true), "\n")).With("not logged"),
		"SkedGridless":    saytest.Said(SkedGridless(e.call.String(), longWord)).With("Which grid"),
		"NoSkedWith":      saytest.Said(NoSkedWith(e.call.String())).With("/sked"),
		"SkedsSkipped":    saytest.Said(SkedsSkipped([]string{e.call.String()})).With(e.call.String()),
		"SkedDropped":     saytest.Said(SkedDropped(bare, e.call, true)).With(e.name),
		"SkedLost":        saytest.Said(SkedLost(bare, e.call)).With(call),
		"Notes":           saytest.Said(Notes(PassName(bare), []Note{{p.AOS, strings.Repeat("windy up here ", 60)}}), Notes(PassName(bare), nil)).With("windy up here", "0 notes"),
		"NotesKept":       saytest.Said(strings.Join(NotesKept(100), "\n")).With("100", "/log notes"),
		"Moved":           saytest.Said(Moved(bare, 100)).With("100 contacts"),
		"ChosenAhead":     saytest.Said(ChosenAhead(bare, bare)).With(e.name, "is up still"),
		"HoldsSet":        saytest.Said(HoldsSet(5 * time.Minute)).With("5 minutes"),
		"Chosen":          saytest.Said(Chosen(bare, 100)).With("100", e.name),
		"WhichPass":       saytest.Said(WhichPass([]predict.Pass{bare}, p.AOS, e.name), WhichPass(nil, p.AOS, "")).With(e.name),
		"TimeUnheld":      saytest.Said(TimeUnheld(parse.MakeClock(10, 47), bare, true), TimeUnheld(parse.MakeClock(10, 47), bare, false)).With(e.name, "10:47"),
		"NotUp":           saytest.Said(NotUp(e.name)).With(e.name),
		"NotUpThen":       saytest.Said(NotUpThen(e.name, e.contacts)).With(e.name, call),
		"Echo":            saytest.Edited(last).With(call, fourth, "again"),
	}
}

// extremesOfLog are the texts of contacts.
func extremesOfLog(e edge) map[string]saytest.Extreme {
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
	return map[string]saytest.Extreme{
		"ChangedBy":  saytest.Edited(ChangedBy(e.call, e.contacts[0], e.contacts[1], false), ChangedBy(e.call, e.contacts[0], Contact{}, true)),
		"Summary":    saytest.Edited(Summary(e.name, 50, 9, e.contacts, more, &open), Summary(e.name, 0, 9, nil, more, nil)).With("99 more", call, fourth, "Open:", "which pass?"),
		"EarlierDay": saytest.Edited(EarlierDay(e.contacts[0].Time)),
		"Log":        saytest.Said(Log(PassName(bare), e.contacts, layout.Lines-4, counts), Log(Today, e.contacts, layout.MostPages*layout.Lines-4, counts), Log(Today, nil, 1, counts)).With(call, "Waiting"),
		"History":    saytest.Said(History(e.contacts[:40])).With(call, fourth, e.name, phrase.Clock(sure.Time), "+12:34"),
		"Question":   saytest.Said(doubts...).With("which pass?", "worked or not?", "from when?", "whose grid?", "can't be"),

		"Settled": saytest.Said(Settled(sure, true), Settled(sure, false)).With(call, fourth),
		"Open": saytest.Said(Open([]OpenPass{{"", e.contacts[:30]}, {DatedName(bare), e.contacts[:30]}}), Open(nil)).
			With(call, "Without a pass", "60 contacts", "Nothing is open"),
		"NothingOn":      saytest.Said(NothingOn(longWord)).With("/log"),
		"WantedLine":     saytest.Said(WantedLine(e.grids)).With(fourth),
		"Undone":         saytest.Said(Undone(phrase.Listed(names(e.contacts)), e.contacts)).With(call, fourth, "92 more"),
		"NoDifference":   saytest.Said(NoDifference(strings.Repeat("ox9qzt jo33 ", 9), "change to it", phrase.Listed(names(e.contacts))), NoDifference("", "", "")).With("ox9qzt jo33", call),
		"Quoted":         saytest.Said(Quoted(strings.Repeat("ox9qzt jo33 ", 9)), Quoted("")),
		"ChoiceBack":     saytest.Said(ChoiceBack(e.one.Pass, e.one.Pass), ChoiceBack(predict.Pass{}, predict.Pass{})).With(e.name),
		"Step":           saytest.Said(Step(sure, false), Step(open, true)).With(call, fourth),
		"StillOpen":      saytest.Said(StillOpen(e.contacts)).With(call),
		"LeftOver":       saytest.Said(LeftOver(e.contacts)).With(call, fourth, "100 contacts"),
		"Parts":          saytest.Said(Parts(99, e.name)).With(e.name, "99 parts"),
		"InOrder":        saytest.Said(InOrder(slices.Repeat([]predict.Pass{bare}, 9), 100)).With("100 contacts", "5 more"),
		"MoreLogged":     saytest.Said(MoreLogged(99)).With("99"),
		"AskSlate":       saytest.Said(AskSlate(VoiceMessage + LabelFromVoice)).With("UTC"),
		"EarlierSlate":   saytest.Said(EarlierSlate(e.one.AOS, 99)).With("99", "Tap"),
		"SlateTold":      saytest.Said(SlateTold(Recording, e.one.AOS, 100)).With(phrase.Clock(e.one.AOS)),
		"NoVoices":       saytest.Said(NoVoices(bare), NoVoices(predict.Pass{})).With(e.name),
		"Voice":          saytest.Said(Voice(99, 99, e.name, "1h2m3s", e.one.AOS)).With("99 of 99", e.name),
		"Beside":         saytest.Said(Beside(bare, e.one.LOS.Add(99*time.Minute)), Beside(bare, e.one.AOS)).With(e.name, "99 min after"),
		"Correct":        saytest.Said(Correct(correction, bare, open, 99)).With("100 contacts", call, fourth, "99"),
		"LastOfWhat":     saytest.Said(LastOfWhat(CorrectionStep(correction), e.contacts[0])).With(call, "100"),
		"Dropping":       saytest.Said(Dropping(e.contacts)).With(call, "/undo"),
		"CorrectionStep": saytest.Said(CorrectionStep(correction)).With("100"),
		"Corrected":      saytest.Said(Corrected(correction)).With("/undo"),

		"NothingToCorrect":  saytest.Said(NothingToCorrect(bare)).With(e.name),
		"Since":             saytest.Said(Since(slices.Repeat([]Change{{sure, open}}, 40), e.contacts[:40], e.contacts)...).With(call, fourth, "withdrawn", "Added"),
		"HandOverCaption":   saytest.Said(HandOverCaption(e.contacts, e.contacts, e.names, e.one.AOS, e.one.LOS)).With(call, fourth, "Doubtful, left out:", "96 more", "42 more", "21 more"),
		"SlowFile":          saytest.Said(SlowFile(123456)).With("123456 contacts"),
		"NothingToHandOver": saytest.Said(NothingToHandOver("2026-09-01", e.contacts)).With(call, "92 more"),
		"NeverWorked":       saytest.Said(NeverWorked(call)).With(call),
		"NotOnBird":         saytest.Said(NotOnBird(e.name)).With(e.name),
		"WorkedBefore":      saytest.Said(WorkedBefore(NotOnBird(e.name), 123456, sure, 99)).With(call, "123456 contacts", e.name, "99"),
		"Found":             saytest.Said(Found(call, []Contact{sure})).With(call),
		"WordedAsk":         saytest.Said(WordedAsk(e.contacts)).With(call, "92 more"),
		"WordedTaken":       saytest.Said(WordedTaken(123456)).With("123456 contacts"),
		"DayInAll": saytest.Said(DayInAll(Day{
			Date: e.one.AOS, Contacts: e.contacts, News: more, Passes: slices.Repeat([]PassCount{{PassName(bare), 100, 5678}}, 12),
		})).With("100 contacts", "more passes"),
		"NewsLine":      saytest.Said(NewsLine(e.name, News{Station: true, GridOnBird: true, Before: 99, Name: longWord})).With("99× before"),
		"TwinLine":      saytest.Said(TwinLine(parse.MustParseCallsign("HX7ABCD"))).With("HX7ABCD"),
		"NewsTally":     saytest.Said(strings.Join(NewsTally(e.names, e.names, 99), "\n")).With("New stations: 99"),
		"WorkedCaption": saytest.Said(WorkedCaption(e.name, e.grids)).With(fourth),
		"NothingWorked": saytest.Said(NothingWorked(e.name)).With(e.name),
		"Crossed":       saytest.Said(Crossed(e.grids, e.grids[0])).With(fourth),
		"StillDown":     saytest.Said(StillDown(e.place)).With(fourth),
		"StillHere":     saytest.Said(StillHere(e.place, e.one.AOS)).With(fourth, "31 days"),
		"Here":          saytest.Said(Here(e.place)).With(fourth),
	}
}

// extremesOfBirds are the texts of birds, of limits, and of what is refused.
func extremesOfBirds(e edge) map[string]saytest.Extreme {
	set := e.one.Table.Elements()
	bird := Bird{Bird: e.one.Bird, Also: slices.Repeat([]string{longWord}, 5), Elements: &set, NeverUp: true}
	bird.Notes, bird.Status.Source = strings.Repeat("note ", 200), longWord
	bird.Transponders = slices.Repeat(predicttest.Birds()[2].Transponders, 4)
	return map[string]saytest.Extreme{
		"BadCall":        saytest.Said(BadCall(longWord)).With("OX9QZT/P"),
		"BadGrid":        saytest.Said(BadGrid(longWord)).With("JO33ab"),
		"BadGridLeft":    saytest.Said(BadGridLeft(longWord)).With("left out"),
		"BadGrids":       saytest.Said(BadGrids(longWord, errors.New(longWord), longWord)),
		"UnknownCommand": saytest.Said(UnknownCommand(longWord)).With("/help"),
		"AskForget":      saytest.Said(AskForget(12345)).With("12345"),
		"UnknownBird":    saytest.Said(UnknownBird(longWord, e.names)).With("42 more"),
		"UnknownSpan":    saytest.Said(UnknownSpan(longWord, e.names)).With("42 more"),
		"Birds":          saytest.Said(Birds(slices.Repeat([]Bird{bird}, 50), BirdNotes{e.names, e.names, e.names}, 6.25, utc("2026-09-02T00:00:00Z"))).With("Check before", "50 in all"),
		"OneBird":        saytest.Said(OneBird(bird, 6.25, utc("2026-09-20T00:00:00Z"))).With("18 days", "note", "435.610–435.670", "20 Aug 2026"),
		"NeverUp":        saytest.Said(NeverUp(e.names)).With("42 more"),
		"Refusals":       saytest.Said(Refusals(Refused{NoElements: e.names, Old: e.names, Unfit: e.names, Age: 40 * phrase.Day, Max: 30 * phrase.Day, Detail: longWord})).With("42 more", "/passes stale"),
		"ListedAlready":  saytest.Said(ListedAlready(bird.Bird)).With(e.name),
		"RemovedBird":    saytest.Said(RemovedBird(e.name, true)).With("shared"),
		"LongBirdNote":   saytest.Said(LongBirdNote(300)).With("300"),
		"TooManyBirds":   saytest.Said(TooManyBirds(50)).With("50"),
		"BadDay":         saytest.Said(BadDay(longWord)).With("/day"),
		"NoneTaken":      saytest.Said(NoneTaken(100)).With("100 contacts"),
		"BadSpan":        saytest.Said(BadSpan(longWord)).With("together"),
		"BadDate":        saytest.Said(BadDate(longWord)).With("2026-11-24"),
	}
}
