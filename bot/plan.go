package bot

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/exchange"
	"skyslate/bot/filing"
	"skyslate/bot/idiom"
	"skyslate/bot/ledger"
	"skyslate/bot/meant"
	"skyslate/bot/past"
	"skyslate/bot/peers"
	"skyslate/bot/question"
	"skyslate/bot/report"
	"skyslate/bot/say"
	"skyslate/bot/say/joint"
	"skyslate/bot/say/settings"
	"skyslate/bot/second"
	"skyslate/bot/setup"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/storage"
)

// A plan is what one event comes to: a Tx, and the rooms whose rules read it and
// add to it. The plan itself only says which rule an event is for.
type plan struct {
	*tx.Tx
	watch.Planner
	setup.Settings
	setup.Birds
	watch.Outings
	watch.Skeds
	watch.Teller
	watch.Answerer
	exchange.Exchange

	peers  peers.Peers
	second *second.Phones

	*ledger.Ledger
	meant.Finder
	recordings
	screen
	answers
	corrections
	reports

	// forgotten: the operator and all that is theirs is to be removed.
	forgotten bool
}

func newPlan(d *Desk, v *storage.View, ev event.Event) *plan {
	t := tx.New(v, ev, d.skies)
	card := watch.Card{Tx: t}
	planner := watch.Planner{Card: card, Everything: d.everyPass}
	outings := watch.Outings{Planner: planner}
	worked := past.Past{Tx: t}
	p := &plan{
		Tx: t, Planner: planner, Settings: setup.Settings{Planner: planner}, Birds: setup.Birds{Planner: planner},
		Outings: outings, Skeds: watch.Skeds{Planner: planner}, Teller: watch.Teller{Outings: outings},
		Answerer: watch.Answerer{Planner: planner}, Exchange: exchange.Exchange{Planner: planner},
		peers: peers.Peers{Tx: t},
	}
	p.second = &second.Phones{Tx: t, NewCode: d.newCode, May: func(verb string) bool { return bothTap[verb] }}
	p.Ledger = ledger.New(t, card, &d.memo)
	p.Finder = meant.Finder{Tx: t, Ledger: p.Ledger, Planner: planner}
	p.recordings = recordings{Tx: t}
	p.screen = screen{Tx: t, ledger: p.Ledger, finder: p.Finder, recordings: p.recordings, past: worked, card: card, peers: p.peers}
	p.answers = answers{Tx: t, ledger: p.Ledger, screen: p.screen}
	p.corrections = corrections{Tx: t, ledger: p.Ledger, finder: p.Finder, screen: p.screen, outings: outings}
	p.reports = reports{Reports: report.Reports{Tx: t, Past: worked, Peers: p.peers}, finder: p.Finder}
	return p
}

// run handles the event: this is where every kind of event finds its rules.
func (p *plan) run() {
	p.second.Swap()
	if !p.fits() || p.second.Answers() {
		return
	}
	if p.Event.Kind != event.Moment {
		p.CatchUp()
	}
	switch p.Event.Kind {
	case event.Moment:
		p.moment()
	case event.Said:
		p.arrive()
		p.said()
	case event.Edited:
		p.edited()
	case event.Tapped:
		// Taps are never held back, so the phone is connected and whatever comes next
		// is live.
		p.Op.Heard, p.Op.Silent, p.Op.Delivery = p.Event.At, p.Event.At, time.Time{}
		p.tapped()
	case event.Placed:
		p.arrive()
		p.moved(p.TakeSpot)
	case event.Handed:
		p.arrive()
		p.Handed()
	case event.Spoken:
		p.arrive()
		p.spoken()
	case event.Other:
		p.arrive()
		m := p.message()
		p.Message = &m
		p.Say(say.CantRead)
	}
}

// changes is what the plan comes to.
func (p *plan) changes() storage.Changes {
	if p.Fresh && p.Event.Part != event.Writes {
		p.Op.ID = "" // who only tried a code is no operator
	}
	ch := p.Changes()
	for _, s := range p.ChangedSittings() {
		ch.Sittings = append(ch.Sittings, s.Sitting)
	}
	return ch
}

// finish makes the step that undo can take back.
func (p *plan) finish() {
	tx.NoteOwnSide(&p.Op, p.Event.At)
	p.peers.Note()
	if p.Message != nil {
		p.Use(p.Message.Pass)
	}
	p.Notice()
	p.weigh()
	p.second.Swap()
	p.second.Deliver()
	before := p.SetBefore()
	if p.Undoing {
		return
	}
	if own := p.Event.Second == ""; own && (len(p.Moves) > 0 || before != nil || p.Speaks(p.Event.ID, p.ChangedSittings())) {
		p.Op.Decided = nil
	}
	if len(p.Moves) == 0 && before == nil {
		return
	}
	step := storage.Step{
		Phone: p.Event.By, Operator: p.Op.ID, Seq: p.View.NextStep(p.Op.ID), At: p.Event.At, Event: p.Event.ID, What: p.StepName(), Moves: p.Moves,
		Before: before,
	}
	for _, s := range p.ChangedSittings() {
		step.Sittings = append(step.Sittings, s.ID)
	}
	p.Steps = append(p.Steps, step)
}

// arrive notes that something came in.
func (p *plan) arrive() {
	if p.Event.At.Sub(p.Op.Heard) > ledger.ArrivalSpan || p.Op.Delivery.IsZero() {
		p.Op.Silent, p.Op.Delivery = p.Op.Heard, p.Event.At
	}
	p.Op.Heard = p.Event.At
}

// message is what came in, as it is kept: word for word, whatever it is.
func (p *plan) message() storage.Message {
	return storage.Message{Operator: p.Op.ID, ID: p.Event.Message, At: p.Event.At, Text: p.Event.Text}
}

// said handles a message: a command, the answer to an open question, a reply,
// or lines for the log. What somebody else wrote commands and answers nothing.
func (p *plan) said() {
	m := p.message()
	p.Message = &m
	if name, rest, ok := tx.Command(m.Text); ok && !p.Event.Forwarded {
		p.command(name, rest)
		return
	}
	if command, rest, ok := p.saidPlainly(m.Text); ok && p.Op.Asking == "" {
		if command.both || !p.second.Refused() {
			command.run(p, rest)
		}
		return
	}
	if p.Event.Second == "" && p.Pasted(m.Text) {
		return
	}
	if !p.Event.Forwarded && p.saysYesOrNo(&m) || p.second.Outside(m.Text) {
		return
	}
	if !p.Ready() && !p.Event.Forwarded {
		p.second.TellOver()
		if p.Hears(m.Text) {
			return
		}
	}
	if q, asks := question.Read(m.Text, question.Birds{Is: func(string) bool { return false }}); asks && q.Grids == "" && !p.Ready() {
		p.Say(cmp.Or(say.Meaning(q.Words), say.Meaning(string(q.Kind)), settings.FirstThings))
		p.Ask()
		return
	}
	if asked := cmp.Or(p.Op.Asking, p.PairAsked(m.Text)); asked != "" && (p.Ready() || !idiom.CorrectsGrid(m.Text)) && !p.Event.Forwarded && p.Event.Second == "" {
		m.Answers = asked
		p.second.TellOver()
		p.Answer(m.Answers, m.Text)
		return
	}
	if !p.Ready() {
		p.second.TellOver()
		p.Say(say.KeptAsNote)
		p.Ask()
		return
	}
	switch {
	case p.repliesWhere(m.Text), !p.Event.Forwarded && p.Event.Second == "" && p.putsRight(m.Text):
	case p.choosePlaced(idiom.Ordinal(m.Text)), !p.Event.Forwarded && p.saidAllWorked(m.Text):
	default:
		p.log(&m)
	}
}

// log takes a message as evidence, and answers it.
func (p *plan) log(m *storage.Message) {
	reply, s := p.AnsweredBy()
	switch {
	case reply == nil:
		reply, s = p.NamedIn(m.Text)
	case s == nil:
		s = p.Present()
	}
	m.Sitting = s.ID
	p.Offer(s, storage.Evidence{
		Kind: storage.EvSaid, At: m.At, Message: m.ID, Text: m.Text, Forwarded: p.Event.Forwarded,
		Began: p.Op.Delivery, Silent: p.Op.Silent, Reply: reply, Listed: p.Op.Listed,
	})
	derived := s.Message(m.ID)
	if elsewhere := func(key storage.ContactKey) bool {
		c, _ := p.Contact(s.Known[key])
		return key.Message == m.ID || c.Pass != p.Op.Listed
	}; slices.ContainsFunc(derived.Contacts, elsewhere) {
		p.Op.Listed = "" // the numbers are those of the last echo again
	}
	if len(derived.Contacts) > 0 {
		p.second.TellOver()
	}
	m.Pass = derived.Pass
	p.show()
	p.answerQuestions(derived)
	p.CheckPlace()
}

// edited takes a message changed after it was sent: what it says now counts from
// when it was sent. Reactions cause edits that change nothing.
func (p *plan) edited() {
	m, ok := tx.Got(p.Tx, func() (storage.Message, bool, error) { return p.View.Message(p.Op.ID, p.Event.Message) })
	if !ok {
		p.arrive()
		p.said() // never seen before: it counts as sent now
		return
	}
	if m.Text == p.Event.Text {
		return
	}
	before := m.Text
	m.Edits = keepEdits(append(m.Edits, storage.Revision{Replaced: p.Event.At, Text: m.Text}))
	m.Text = p.Event.Text
	p.Message = &m
	_, _, is := tx.Command(m.Text)
	if _, _, plainly := p.saidPlainly(m.Text); is || plainly {
		p.Say(say.EditedCommand)
		return
	}
	if m.Answers == yesOrNo {
		p.Say(say.EditedCommand)
		return
	}
	if m.Answers != "" {
		p.Answer(m.Answers, m.Text)
		return
	}
	if len(p.ContactsBy(m)) == 0 && p.Event.Second == "" && p.Pasted(m.Text) || !p.Ready() {
		return
	}
	s, ok := p.SittingOf(m.Sitting)
	if !ok {
		m.Text = before
		s = p.Adopt(m)
		m = *p.Message
		m.Text = p.Event.Text
	}
	p.rewrite(s, m)
	p.answerQuestions(s.Message(m.ID))
}

// answerQuestions answers what a message asks of the bot: nothing of it is logged. A
// command is done for a message that is nothing else, and was not edited to be that.
func (p *plan) answerQuestions(m filing.Outcome) {
	for _, q := range m.Questions {
		name, words, is := q.Command()
		changes := is || q.Changes()
		switch {
		case changes && p.Event.Kind == event.Edited:
			p.Say(say.EditedCommand)
		case changes && strings.Contains(strings.TrimSpace(p.Event.Text), "\n"):
			p.sign(m.ID)
		case is:
			p.command(name, words)
		case q.Kind == question.Means:
			p.Say(say.Meaning(q.Words))
		case ownersOnly(q) && p.second.Refused():
		case q.Kind == question.Arm && q.Words == question.Brought && q.Bird == "" && p.bringBack():
		case q.TellsPlace():
			p.placed(q)
		case setup.TellsOneself(q):
			p.TakeOneself(q, p.working())
		case q.Kind == question.Over:
			p.AskOver()
		case q.Kind == question.Worked:
			p.TellOf(q.Call, q.Grids, q.Bird)
		case q.Kind == question.Skeds:
			p.TellSkeds(q.Call)
		case q.Kind == question.Clock:
			p.Say(say.ItIs(p.Event.At, p.Local()))
		case q.Kind == question.Speech:
			p.note(m.ID, true)
		default:
			p.AnswerQuestion(q)
		}
	}
}

// ownersOnly reports whether nobody but the owner of a log may say it: it is about their passes,
// their place or their call.
func ownersOnly(q question.Question) bool {
	return q.Changes() || q.Kind == question.Over || q.TellsPlace() || setup.TellsOneself(q)
}

// mostEdits bounds the earlier texts that are kept of a message.
const mostEdits = 20

// keepEdits keeps the first of a message's earlier texts and the newest ones.
func keepEdits(edits []storage.Revision) []storage.Revision {
	if len(edits) <= mostEdits {
		return edits
	}
	return append(edits[:1:1], edits[len(edits)-mostEdits+1:]...)
}

// spoken keeps a voice message, by reference, with the pass it was recorded on.
func (p *plan) spoken() {
	m := p.message()
	m.Voice, m.VoiceRef = p.Event.Length.Round(time.Second).String(), p.Event.Voice
	if p.Ready() {
		m.VoiceLate = p.Delayed(p.Event.At)
		m.Pass = p.PassAt(p.Event.At.Add(-p.Event.Length)).Pass.ID
	}
	p.Message = &m
	p.sign(m.ID)
}

// askForget asks before everything is removed.
func (p *plan) askForget() {
	n := len(p.ContactsIn(time.Time{}, p.Event.At.Add(tx.Day)))
	text := say.AskForget(n)
	if p.View.Seat(p.Op.ID).Log != "" {
		text += "\n" + joint.RemainsInLogs
	}
	p.Say(text, []storage.Button{tx.Button(say.LabelForget, tx.TapForget, p.Event.At.Unix())})
}

// forgetWithin is how long the button that removes everything works.
const forgetWithin = 10 * time.Minute

// forget removes everything, if the button is the one just asked for.
func (p *plan) forget(tap tx.Tap) {
	asked, ok := tap.Numbers(1)
	if ok {
		at := time.Unix(asked[0], 0)
		ok = (p.Fresh || !at.Before(p.Op.Joined.Truncate(time.Second))) && p.Event.At.Sub(at) <= forgetWithin
	}
	if !ok {
		p.Say(say.OldButton)
		return
	}
	p.forgotten = true // also for one who is not known (any more): a crash may have come between
}
