package bot

import (
	"strings"

	"skyslate/bot/contact"
	"skyslate/bot/exchange"
	"skyslate/bot/past"
	"skyslate/bot/peers"
	"skyslate/bot/say"
	"skyslate/bot/say/joint"
	"skyslate/bot/second"
	"skyslate/bot/setup"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/storage"
)

// A command is what is typed behind a slash. say.Help tells of each.
type command struct {
	run   func(p *plan, rest string)
	ready bool // needs a call and a place, and asks for them
	both  bool // a second phone may say it, too
}

var commands = map[string]command{
	"start":  {run: plainly((*plan).start), both: true},
	"call":   {run: (*plan).SetCall},
	"at":     {run: func(p *plan, rest string) { p.moved(func() { p.SetGrids(rest) }) }},
	"birds":  {run: (*plan).ShowBirds},
	"radio":  {run: (*plan).SetRadio},
	"remind": {run: (*plan).SetRemind},
	"agree":  {run: func(p *plan, rest string) { p.peers.Switch(rest) }, ready: true},
	"wanted": {run: (*plan).SetWanted},
	"help":   {run: (*plan).help, both: true},
	"forget": {run: plainly((*plan).askForget)},

	"log":     {run: (*plan).showLog, both: true},
	"day":     {run: (*plan).ShowDay, both: true},
	"correct": {run: (*plan).correctMany, both: true},
	"undo":    {run: (*plan).undoNumbered, both: true},
	"second":  {run: func(p *plan, rest string) { p.second.Command(rest) }, both: true},
	"voice":   {run: func(p *plan, rest string) { p.GiveVoices(rest, p.PassMeant) }},
	"adif":    {run: (*plan).handOver},
	"worked":  {run: (*plan).ShowWorked, both: true},

	"passes":   {run: (*plan).ShowPasses, ready: true, both: true},
	"outing":   {run: (*plan).Outing, ready: true},
	"sked":     {run: (*plan).Sked, ready: true},
	"look":     {run: (*plan).ShowSky, ready: true, both: true},
	"reach":    {run: (*plan).ShowReach, ready: true, both: true},
	"calendar": {run: plainly((*plan).ShowCalendar), ready: true},
	"memories": {run: (*plan).ShowMemories, ready: true, both: true},
	"dial":     {run: (*plan).ShowDial, ready: true, both: true},
	"horizon":  {run: (*plan).SetHorizon, ready: true},
	"light":    {run: (*plan).ShowLight, ready: true, both: true},
	"with":     {run: (*plan).ShowWindows, ready: true, both: true},
}

// plainly is a command that takes no more words.
func plainly(run func(*plan)) func(*plan, string) {
	return func(p *plan, _ string) { run(p) }
}

func (p *plan) command(name, rest string) {
	c, ok := commands[name]
	switch {
	case !ok:
		p.Say(say.UnknownCommand(name))
	case !c.both && p.second.Refused():
	case c.ready && !p.Ready():
		p.Ask()
	default:
		c.run(p, rest)
	}
}

// wordMore behind /help asks for what the one screen has no room for.
const wordMore = "more"

func (p *plan) help(rest string) {
	if p.Event.Second != "" {
		p.Say(joint.Help(p.Op.Call))
		return
	}
	if strings.EqualFold(rest, wordMore) {
		p.Say(say.HelpMore)
		return
	}
	p.Say(say.Help)
}

// start greets, and says to a second phone whose log it writes into.
func (p *plan) start() {
	if p.Event.Second != "" {
		p.second.Command("")
		return
	}
	p.second.Starts()
	p.Start()
}

// The verbs of buttons that are not contact's, watch's or exchange's, and what
// stands behind them.
const (
	tapFor   = "for"   // filing.DeliveryID:pass
	tapUndo  = "undo"  // the step that was the last
	tapSlate = "slate" // Unix seconds:voice message:pass
	tapNext  = "next"  // contact: the doubt after this one
	tapBulk  = "bulk"  // message:1, or 0 to leave all as it is
	tapMeans = "means" // message:contact
	tapNone  = "none"  // none of the contacts of the post
)

// bothTap are the verbs of the buttons that a second phone may tap, too.
var bothTap = map[string]bool{
	contact.Pick: true, contact.Keep: true, contact.Drop: true, contact.Heard: true, contact.NoTime: true,
	tapFor: true, tapMeans: true, tapNone: true, past.TapGrid: true, tapSlate: true, tapNext: true, tapBulk: true, second.TapEnd: true,
	watch.TapPass: true, watch.TapTell: true, watch.TapSky: true, watch.TapReach: true, watch.TapLight: true, watch.TapMemories: true,
	exchange.TapWorded: true,
}

// buttons are what taps do, by the verbs of the buttons.
var buttons = map[string]func(*plan, tx.Tap){
	contact.Pick:   (*plan).settleDoubt,
	contact.Keep:   (*plan).settleDoubt,
	contact.Drop:   (*plan).settleDoubt,
	contact.Heard:  (*plan).settleDoubt,
	contact.NoTime: (*plan).settleDoubt,
	tapFor:         (*plan).fileDelivery,
	tapMeans:       (*plan).takeMeant,
	tapNone:        (*plan).takeWorded,
	past.TapGrid:   (*plan).takeGrid,
	tapSlate:       (*plan).takeSlate,
	tapNext:        (*plan).nextDoubt,
	tapBulk:        (*plan).tapBulkDone,
	tx.TapForget:   (*plan).forget,
	second.TapEnd:  func(p *plan, tap tx.Tap) { p.second.TapOff(tap) },
	tapUndo:        (*plan).tapUndo,

	watch.TapPass:     (*plan).choosePass,
	watch.TapArm:      (*plan).TapArm,
	watch.TapSkip:     (*plan).TapArm,
	watch.TapTell:     (*plan).Tell,
	watch.TapSky:      (*plan).TapPicture,
	watch.TapReach:    (*plan).TapPicture,
	watch.TapLight:    (*plan).TapAsked,
	watch.TapMemories: (*plan).TapAsked,
	watch.TapHere:     (*plan).TapStillHere,
	watch.TapOuting:   (*plan).tapOuting,
	watch.TapLeave:    (*plan).tapOuting,
	watch.TapPart:     (*plan).tapOuting,
	watch.TapAnnounce: (*plan).tapOuting,
	watch.TapCallOff:  (*plan).tapOuting,
	watch.TapCalendar: (*plan).tapOuting,
	watch.TapSheets:   (*plan).tapOuting,
	watch.TapThere:    (*plan).tapOuting,
	watch.TapNotThere: (*plan).tapOuting,
	watch.TapSked:     (*plan).TapSked,
	watch.TapUnsked:   (*plan).DropSked,

	watch.TapAdd:  (*plan).TapAddBird,
	watch.TapMove: (*plan).TapMoved,
	setup.TapCall: (*plan).TapCalled,

	peers.TapOn:   func(p *plan, tap tx.Tap) { p.peers.Consent(tap) },
	peers.TapTake: (*plan).takeTheirs,
	peers.TapBird: (*plan).takeTheirBird,

	exchange.TapIntoLog:  (*plan).TapImport,
	exchange.TapOutOfLog: (*plan).TapImport,
	exchange.TapWorded:   (*plan).takeWorded,
}

func (p *plan) tapped() {
	tap := tx.ReadTap(p.Event.Data)
	if run, ok := buttons[tap.Verb]; ok {
		if bothTap[tap.Verb] || !p.second.Refused() {
			run(p, tap)
		}
		return
	}
	p.Say(say.OldButton)
}

func (p *plan) tapOuting(tap tx.Tap) {
	if o, ok := p.TapOuting(tap); ok {
		p.arriveAt(o)
	}
}

// Moments of the agenda are those of a pass, or of none.
var (
	passMoments = map[string]func(*plan, storage.Pass){
		tx.MomentRemind:   (*plan).Remind,
		tx.MomentRise:     (*plan).Rise,
		watch.MomentEarly: (*plan).Early,
		watch.MomentCard:  (*plan).StepCard,
		tx.MomentSet:      (*plan).set,
		tx.MomentAgain:    (*plan).askAgain,
	}
	moments = map[string]func(*plan, storage.Item){
		tx.MomentPlan:         func(p *plan, _ storage.Item) { p.Replan() },
		tx.MomentMissed:       func(p *plan, _ storage.Item) { p.Missed() },
		storage.MomentLost:    func(p *plan, _ storage.Item) { p.TellLost() },
		watch.MomentSheets:    func(p *plan, _ storage.Item) { p.Replan() },
		second.Moment:         func(p *plan, _ storage.Item) { p.second.Over() },
		watch.MomentEvening:   func(p *plan, it storage.Item) { p.Evening(it.At) },
		peers.MomentCompare:   func(p *plan, it storage.Item) { p.compare(string(it.Pass)) },
		peers.MomentTwin:      func(p *plan, _ storage.Item) { p.peers.Twin() },
		exchange.MomentImport: func(p *plan, it storage.Item) { p.ImportMoment(string(it.Pass)) },
	}
)

// moment handles an item of the agenda.
func (p *plan) moment() {
	it := p.Event.Item
	p.Off(it.Kind, it.Pass)
	if run, ok := moments[it.Kind]; ok {
		run(p, it)
		return
	}
	pass, ok := p.Pass(it.Pass)
	if run, known := passMoments[it.Kind]; known && ok && !pass.Void {
		run(p, pass)
	}
}
