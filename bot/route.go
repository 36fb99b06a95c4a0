package bot

import (
	"strings"

	"skyslate/bot/event"
	"skyslate/bot/say"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// run handles the event: this is where every kind of event finds its rules.
func (p *plan) run() {
	if !p.fits() {
		return
	}
	if p.Event.Kind != event.Moment {
		p.catchUp()
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
		p.handed()
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
	if p.pasted(m.Text) {
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
		p.showPasses(rest)
	case "log":
		p.logCommand(rest)
	case "correct":
		p.correctMany(rest)
	case "voice":
		p.giveVoices(rest)
	case "adif":
		p.handOver(rest)
	case "day":
		p.showDay(rest)
	case "sked":
		p.sked(rest)
	case "undo":
		p.undo()
	case "look":
		p.showSky(rest)
	case "reach":
		p.showReach(rest)
	case "worked":
		p.showWorked(rest)
	case "calendar":
		p.showCalendar()
	case "birds":
		p.showBirds(rest)
	case "outing":
		p.outing(rest)
	case "radio":
		p.setRadio(rest)
	case "memories":
		p.showMemories(rest)
	case "dial":
		p.showDial(rest)
	case "horizon":
		p.setHorizon(rest)
	case "light":
		p.showLight(rest)
	case "with":
		p.showWindows(rest)
	case "wanted":
		p.setWanted(rest)
	case "remind":
		p.setRemind(rest)
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
