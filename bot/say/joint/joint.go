// Package joint says what is said of a second phone that writes into a log, to either of
// the two.
package joint

import (
	"cmp"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/parse"
)

// What is refused about codes and second phones.
var (
	OwnCode       = phrase.Paragraph("That code is for another phone: send it to me from there.")
	CodeOver      = phrase.Paragraph("That code has let a phone in already, or its day is over: /second in the log gives another.")
	NoCode        = phrase.Paragraph("That code lets no phone in: it is mistyped or forwarded, or another was given since. /second in the log gives one.")
	Elsewhere     = phrase.Paragraph("You write into another log now: /second off ends that first.")
	InTurn        = phrase.Paragraph("One of you two has a second phone, or is one: that ends first, by /second off.")
	NoSecond      = phrase.Paragraph("No second phone writes into your log. /second lets one in for the day.")
	OfferOff      = phrase.Paragraph("Taken back: that code lets no phone in.")
	RemainsInLogs = phrase.Paragraph("What you wrote into another's log is theirs, and stays there.")
)

// LabelEnd ends a second phone's time.
const LabelEnd = "End it"

func utcTime(t time.Time) string { return t.UTC().Format("2 Jan 15:04") + " UTC" }

// whose is a log by its operator's call.
func whose(call parse.Callsign) string {
	if !call.IsValid() {
		return "that log"
	}
	return "the log of " + call.String()
}

// Offer hands over the code for a second phone.
func Offer(until time.Time, code string) string {
	return phrase.Paragraph("A second phone may write into your log until "+utcTime(until)+": the one that sends me this code first. "+
		"It logs and corrects; call, place, passes and files stay yours.") + "\n" + code
}

// Joined tells a second phone what it may; own: there is a log of its own.
func Joined(log parse.Callsign, until time.Time, own bool) string {
	return phrase.Paragraph("You write into " + whose(log) + " now, until " + utcTime(until) + ". Type call and grid; " +
		"both phones see each echo. Undo takes back what you did last. What you write stays in that log." +
		phrase.When(own, " Your own log rests until then."))
}

// Came tells the operator that a second phone is in; calls is that of its own log.
func Came(calls parse.Callsign, until time.Time) string {
	return phrase.Paragraph("A second phone" + named(calls) + " writes into your log now, until " + utcTime(until) + ".")
}

func named(calls parse.Callsign) string { return phrase.When(calls.IsValid(), " ("+calls.String()+")") }

// On says who writes into the log besides, to the operator or to the second phone.
func On(calls, log parse.Callsign, until time.Time, second bool) string {
	if second {
		return phrase.Paragraph("You write into " + whose(log) + " until " + utcTime(until) + ".")
	}
	return Came(calls, until)
}

// An Ender is who ended a second phone's time, as seen by whoever is told.
type Ender int

// Its time was over, or one of the two ended it.
const (
	EndedByTime Ender = iota
	EndedByYou
	EndedByOther
)

// lead says who it was.
func (e Ender) lead(over, other string) string {
	return [...]string{over, "You ended it: ", other}[e]
}

// Gone tells the operator that a second phone writes no more.
func Gone(calls parse.Callsign, at time.Time, by Ender) string {
	return phrase.Paragraph(by.lead("The day is over: ", "The other phone ended it: ") + "the second phone" + named(calls) +
		" writes no more, since " + utcTime(at) + ". What it logged stays: by number you correct it.")
}

// Ended tells a second phone that it writes no more; own: there is a log of its own.
func Ended(log parse.Callsign, at time.Time, own bool, by Ender) string {
	return phrase.Paragraph(by.lead("Your time is over: ", cmp.Or(log.String(), "Its operator")+" ended it: ") + "you write into " + whose(log) +
		" no more, since " + utcTime(at) + "." + phrase.When(own, " Your own log goes on here."))
}

// Card stands in place of the card of a pass that goes on without the phone.
func Card(log parse.Callsign) string {
	return phrase.Paragraph("Over here: " + whose(log) + " goes on.")
}

// Late says that what came after the end is not in the log.
func Late(log parse.Callsign, text string) string {
	return phrase.Paragraph("Not logged anywhere" + phrase.When(text != "", ": “"+layout.Short(text, 60)+"”") +
		". Your time in " + whose(log) + " is over.")
}

// Nowhere says that a contact is in no log, and who could log it; called: what a log of
// the phone's own lacks is its grid.
func Nowhere(log parse.Callsign, text string, called bool) string {
	lacks := "call sign"
	if called {
		lacks = "grid"
	}
	return phrase.Paragraph("Not logged anywhere: “" + layout.Short(text, 60) + "”. Your time in " + whose(log) +
		" is over: its operator can log it. For a log of your own send me your " + lacks + ", alone.")
}

// Refused says that what was typed is in no log, to whom a code let in nowhere.
func Refused(text string) string {
	return phrase.Paragraph("Not logged anywhere: “" + layout.Short(text, 60) + "”. Your code let this phone in nowhere. " +
		"Ask for another (/second in the log) and send it to me. For a log of your own: /start")
}

// Over says with the first line after the end that it isn't in the log; own: it is in
// that of the phone's own.
func Over(log parse.Callsign, own bool) string {
	return phrase.Paragraph("Not in " + whose(log) + " any more: your time there is over." + phrase.When(own, " This is your own log."))
}

// NotYours refuses what is the operator's alone.
func NotYours(log parse.Callsign) string {
	return phrase.Paragraph("This phone writes into " + whose(log) + ": call, place, passes, files, voice messages and settings are its operator's.")
}

// Help tells a second phone what it can do.
func Help(log parse.Callsign) string {
	return phrase.Paragraph("You write into "+whose(log)+".") + `
Type call and grid, any way:
  ox9qzt jo33 · JO33OX9QZT :42 59
Wrong? Edit it, 3 was jo34, drop 3
Reply to it with what is missing.
undo takes back what you did last
/log the pass · /passes what comes
/dial both dials, linear birds
/look the sky, /reach, /worked: a map
/second off: you write here no more`
}
