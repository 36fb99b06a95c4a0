package bot

import (
	"strings"

	"skyslate/bot/event"
	"skyslate/bot/exchange"
	"skyslate/bot/say"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/storage"
)

// run handles the event: this is where every kind of event finds its rules.
func (p *plan) run() {
	if !p.fits() {
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
		p.alive()
		p.tapped()
	case event.Placed:
		p.arrive()
		p.placed()
	case event.Handed:
		p.arrive()
		p.Handed()
	case event.Spoken:
		p.arrive()
		p.spoken()
	case event.Other:
		p.arrive()
		p.Message = &storage.Message{Operator: p.Op.ID, ID: p.Event.Message, At: p.Event.At, Text: p.Event.Text}
		p.Say(say.CantRead)
	}
}

// said handles a message: a command, the answer to an open question, a reply,
// or lines for the log. Whatever it is, it is kept word for word.
func (p *plan) said() {
	m := storage.Message{Operator: p.Op.ID, ID: p.Event.Message, At: p.Event.At, Text: p.Event.Text}
	p.Message = &m
	if name, rest, ok := tx.Command(m.Text); ok {
		p.command(name, rest)
		return
	}
	if p.Pasted(m.Text) {
		return
	}
	if p.Op.Asking != "" {
		m.Answers = p.Op.Asking
		p.answer(m.Answers, m.Text)
		return
	}
	if !p.Ready() {
		p.Say(say.KeptAsNote)
		p.Ask()
		return
	}
	p.log(&m)
}

// wordMore behind /help asks for what the one screen has no room for.
const wordMore = "more"

func (p *plan) command(name, rest string) {
	switch name {
	case "start":
		p.start()
	case "call":
		p.setCall(rest)
	case "at":
		p.setGrids(rest)
	case "passes":
		p.ShowPasses(rest)
	case "log":
		p.logCommand(rest)
	case "correct":
		p.correctMany(rest)
	case "voice":
		p.giveVoices(rest)
	case "adif":
		p.HandOver(rest, p.lastPass)
	case "day":
		p.showDay(rest)
	case "sked":
		p.Sked(rest)
	case "undo":
		p.undo()
	case "look":
		p.ShowSky(rest)
	case "reach":
		p.ShowReach(rest)
	case "worked":
		p.ShowWorked(rest)
	case "calendar":
		p.ShowCalendar()
	case "birds":
		p.showBirds(rest)
	case "outing":
		p.Outing(rest)
	case "radio":
		p.SetRadio(rest)
	case "memories":
		p.ShowMemories(rest)
	case "dial":
		p.ShowDial(rest)
	case "horizon":
		p.SetHorizon(rest)
	case "light":
		p.ShowLight(rest)
	case "with":
		p.ShowWindows(rest)
	case "wanted":
		p.SetWanted(rest)
	case "remind":
		p.SetRemind(rest)
	case "help":
		if strings.EqualFold(rest, wordMore) {
			p.Say(say.HelpMore)
			return
		}
		p.Say(say.Help)
	case "forget":
		p.askForget()
	default:
		p.Say(say.UnknownCommand(name))
	}
}

// moment handles an item of the agenda.
func (p *plan) moment() {
	it := p.Event.Item
	p.Off(it.Kind, it.Pass)
	switch it.Kind {
	case tx.MomentPlan:
		p.Replan()
		return
	case tx.MomentMissed:
		p.Missed()
		return
	case watch.MomentEvening:
		p.Evening(it.At)
		return
	case exchange.MomentImport:
		p.ImportMoment(string(it.Pass))
		return
	}
	pass, ok := p.Pass(it.Pass)
	if !ok || pass.Void {
		return
	}
	switch it.Kind {
	case tx.MomentRemind:
		p.Remind(pass)
	case tx.MomentRise:
		p.Rise(pass)
	case watch.MomentEarly:
		p.Early(pass)
	case watch.MomentCard:
		p.StepCard(pass)
	case tx.MomentSet:
		p.set(pass)
	case tx.MomentAgain:
		p.askAgain(pass)
	}
}
