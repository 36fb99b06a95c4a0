package setup

import (
	"slices"
	"strings"
	"time"

	"skyslate/bot/oneself"
	"skyslate/bot/phrase"
	"skyslate/bot/question"
	"skyslate/bot/say"
	"skyslate/bot/say/settings"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/parse"
	"skyslate/parse/slip"
	"skyslate/storage"
)

// TapCall is the verb of a button that sets one's own call; behind it stands that.
const TapCall = "mycall"

// TellsOneself reports whether a line says what one's call is, or where one is at home.
func TellsOneself(q question.Question) bool {
	return q.Kind == oneself.Call || q.Kind == oneself.MaybeCall || q.Kind == oneself.Home
}

// TakeOneself takes such a line. While a pass is worked the words may be those of a station,
// so they are asked then.
func (p Settings) TakeOneself(q question.Question, working bool) {
	if q.Kind == oneself.Home {
		p.takeHome(q.Grids, working)
		return
	}
	call, err := parse.ParseCallsign(q.Call)
	switch told := strings.TrimSpace(q.Call + " " + q.Grids); {
	case err != nil, call == p.Op.Call && q.Grids == "": // it says that it is another, or what is known
		p.SetCall("")
	case call == p.Op.Call:
		p.TakeMove(question.Question{Kind: question.Move, Grids: q.Grids}, working)
	case q.Kind == oneself.Call && !working:
		p.SetCall(told)
	default:
		p.Say(settings.AskOwnCall(call, p.Op.Call), []storage.Button{tx.Button(settings.OwnCallLabel(call), TapCall, told)})
	}
}

// TapCalled sets the call that a button names.
func (p Settings) TapCalled(tap tx.Tap) { p.SetCall(tap.Part(0)) }

// takeHome takes where one is at home: who is there now, as far as is known, was told to be
// elsewhere by mistake, and who is away stays there.
func (p Settings) takeHome(told string, working bool) {
	grids, _, err := tx.GridsIn(told)
	switch at := p.Op.Place.Grids; {
	case err != nil:
		p.Say(err.Error())
	case slices.Equal(grids, p.Op.Home.Grids):
		p.Say(settings.HomeIs(grids, at))
	case !slices.Equal(at, p.Op.Home.Grids) && !slices.Equal(at, grids):
		site := say.Meeting(grids)
		p.Op.Home = p.placeAt(grids, site.LatDeg, site.LonDeg)
		p.Say(settings.HomeIs(grids, at))
	case working:
		p.askMove(grids, true)
	default:
		p.SetGrids(watch.Home + " " + told)
	}
}

// askMove asks whether one is in grids now, or at home there.
func (p Settings) askMove(grids []parse.Grid, home bool) {
	to := phrase.Grids(grids)
	if home {
		to = watch.Home + " " + to
	}
	p.Say(settings.AskMove(grids, shown.Place(p.Op.Place)), []storage.Button{tx.Button(settings.MoveLabel(grids), watch.TapMove, to)})
}

// justSetUp is how long after the place was told first one may still put it right as a
// newcomer does, by telling another, and newHere how long one's own call may be put right so:
// a slip in that is seen later. From experience, no source.
const (
	justSetUp = time.Hour
	newHere   = tx.Day
)

// firstPlace reports whether the place is the first that was told, just now, and nothing is
// logged, nor a day out planned: another is rather the same put right than the end of a drive.
func (p Settings) firstPlace() bool {
	return p.Ready() && len(p.Op.Former) == 0 && len(p.Op.Outings) == 0 && slices.Equal(p.Op.Place.Grids, p.Op.Home.Grids) && p.startedIn(justSetUp)
}

// startedIn reports whether all was set up no longer ago than that, and nothing is logged.
func (p Settings) startedIn(while time.Duration) bool {
	return p.Ready() && p.Event.At.Sub(p.Op.Home.Set) < while && len(p.ContactsIn(time.Time{}, p.Event.At.Add(tx.Day))) == 0
}

// PutsRight takes what puts right what was told of oneself first, while no pass is up: grids
// alone right after the first place, or a call that is nearly one's own. They are asked, but
// for the place that is known.
func (p Settings) PutsRight(text string) bool {
	told := oneself.Grids(text)
	grids, left, err := tx.GridsIn(told)
	switch {
	case p.Event.ReplyTo != 0:
		return false
	case told == "" || err != nil || left != "":
		return p.putsCallRight(text)
	case !p.firstPlace():
		return false
	case slices.Equal(grids, p.Op.Place.Grids):
		p.Say(settings.OwnPlace(shown.Place(p.Op.Place), p.Local()))
	default:
		p.askMove(grids, true)
	}
	return true
}

// mostSlips are how many symbols of one's own call may have gone wrong. From experience, no
// source.
const mostSlips = 2

// putsCallRight takes a call that is nearly one's own, and no grid but one's own beside it,
// before anything is logged.
func (p Settings) putsCallRight(text string) bool {
	if _, told := oneself.Read(text, p.Op.Call); told {
		return false // in a sentence, which is read as that
	}
	told, grids, ok := oneself.Introduced(text)
	call, err := parse.ParseCallsign(told)
	slips := slip.Slips(call.Base(), p.Op.Call.Base())
	if at, _, _ := tx.GridsIn(grids); !ok || err != nil || slips == 0 || slips > mostSlips || !p.startedIn(newHere) || grids != "" && !slices.Equal(at, p.Op.Place.Grids) {
		return false
	}
	p.TakeOneself(question.Question{Kind: oneself.MaybeCall, Call: told, Grids: grids}, true)
	return true
}

// homeOffered is a button that makes the place home, and what is said above it, where the
// place was told right after the first one.
func (p Settings) homeOffered(first bool) (text string, rows [][]storage.Button) {
	at, home := p.Op.Place.Grids, p.Op.Home.Grids
	if !first || at[0].Square() == home[0].Square() {
		return "", nil
	}
	return "\n" + settings.HomeStays(home), [][]storage.Button{{tx.Button(settings.HomeLabel(at), watch.TapMove, watch.Home+" "+phrase.Grids(at))}}
}

// Hears takes what somebody says who has not set up yet, where it is no answer to what is
// asked: a greeting, that one has or knows nothing of the kind, or as the first words of all
// one's own call. It is false for anything else.
func (p Settings) Hears(text string) bool {
	asking := p.Op.Asking
	switch {
	case p.Ready():
		return false
	case oneself.Greets(text):
		p.Say(settings.FirstThings)
	case asking != tx.AskPlace && oneself.HasNoCall(text):
		p.Say(settings.NoCallYet)
	case asking == tx.AskPlace && oneself.KnowsNoGrid(text):
		p.Say(say.Meaning("/at"))
	case asking == "" && !p.Op.Call.IsValid():
		return p.introduced(text)
	default:
		return false
	}
	p.Ask()
	return true
}

// introduced takes the first words of somebody new that are their call, or their grid, or both.
func (p Settings) introduced(text string) bool {
	call, grids, ok := oneself.Introduced(text)
	if !ok {
		call, grids = "", oneself.Grids(text)
	}
	if call == "" && grids == "" {
		return false
	}
	p.Say(say.Welcome)
	p.Op.Asking, p.Message.Answers = tx.AskCall, tx.AskCall
	p.takeCall(strings.TrimSpace(call + " " + grids))
	return true
}

// takeCall takes the answer to the question for the call. Grids are the place, which is
// asked for next, also one that would do as an unusual call.
func (p Settings) takeCall(text string) {
	call, err := tx.CallIn(text)
	_, _, noGrids := tx.GridsIn(text)
	alone := oneself.Grids(text) != ""
	switch {
	case alone && err == nil:
		p.Say(settings.GridNotCall(call))
		p.SetGrids(text)
	case alone, err != nil && noGrids == nil:
		p.SetGrids(text)
	default:
		p.SetCall(text)
	}
}
