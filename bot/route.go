package bot

import (
	"strings"

	"skyslate/bot/say"
	"skyslate/storage"
)

// run handles the event: this is where every kind of event finds its rules.
func (p *plan) run() {
	if !p.fits() {
		return
	}
	if p.ev.Kind != Moment {
		p.catchUp()
	}
	switch p.ev.Kind {
	case Moment:
		p.moment()
	case Said:
		p.arrive()
		p.said()
	case Edited:
		p.edited()
	case Tapped:
		p.alive()
		p.tapped()
	case Placed:
		p.arrive()
		p.placed()
	case Handed:
		p.arrive()
		p.handed()
	case Spoken:
		p.arrive()
		p.spoken()
	case Other:
		p.arrive()
		p.message = &storage.Message{Operator: p.op.ID, ID: p.ev.Message, At: p.ev.At, Text: p.ev.Text}
		p.say(say.CantRead)
	}
}

// said handles a message: a command, the answer to an open question, a reply,
// or lines for the log. Whatever it is, it is kept word for word.
func (p *plan) said() {
	m := storage.Message{Operator: p.op.ID, ID: p.ev.Message, At: p.ev.At, Text: p.ev.Text}
	p.message = &m
	if name, rest, ok := command(m.Text); ok {
		p.command(name, rest)
		return
	}
	if p.pasted(m.Text) {
		return
	}
	if p.op.Asking != "" {
		m.Answers = p.op.Asking
		p.answer(m.Answers, m.Text)
		return
	}
	if !p.ready() {
		p.say(say.KeptAsNote)
		p.ask()
		return
	}
	p.log(&m)
}

// wordMore behind /help asks for what the one screen has no room for.
const wordMore = "more"

// The words that work without a slash when they are the whole message.
var bareCommands = map[string]bool{"start": true, "passes": true, "log": true, "undo": true, "help": true}

// command splits a command from its argument: "/at JO33", "/at@a_bot JO33", or
// one of the bare words alone.
func command(text string) (name, rest string, ok bool) {
	text = strings.TrimSpace(text)
	if !strings.HasPrefix(text, "/") {
		word := strings.ToLower(text)
		return word, "", bareCommands[word]
	}
	name, rest, _ = strings.Cut(strings.ReplaceAll(text[1:], "\n", " "), " ")
	name, _, _ = strings.Cut(name, "@")
	return strings.ToLower(name), strings.TrimSpace(rest), true
}

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
			p.say(say.HelpMore)
			return
		}
		p.say(say.Help)
	case "forget":
		p.askForget()
	default:
		p.say(say.UnknownCommand(name))
	}
}
