package say

import (
	"cmp"
	"strings"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/parse"
)

// What is said of a second phone that writes into a log, to either of the two.

// What is refused about codes and second phones.
var (
	OwnCode         = phrase.Paragraph("That code is for another phone: send it to me from there.")
	CodeOver        = phrase.Paragraph("That code has let a phone in already, or its day is over: /second in the log gives another.")
	NoCode          = phrase.Paragraph("That code lets no phone in: it is mistyped or forwarded, or another was given since. /second in the log gives one.")
	SecondElsewhere = phrase.Paragraph("You write into another log now: /second off ends that first.")
	SecondInTurn    = phrase.Paragraph("One of you two has a second phone, or is one: that ends first, by /second off.")
	NoSecond        = phrase.Paragraph("No second phone writes into your log. /second lets one in for the day.")
	OfferOff        = phrase.Paragraph("Taken back: that code lets no phone in.")
	RemainsInLogs   = phrase.Paragraph("What you wrote into another's log is theirs, and stays there.")
)

// LabelSecondOff ends a second phone's time.
const LabelSecondOff = "End it"

func utcTime(t time.Time) string { return t.UTC().Format("2 Jan 15:04") + " UTC" }

// whose is a log by its operator's call.
func whose(call parse.Callsign) string {
	if !call.IsValid() {
		return "that log"
	}
	return "the log of " + call.String()
}

// OfferSecond hands over the code for a second phone.
func OfferSecond(until time.Time, code string) string {
	return phrase.Paragraph("A second phone may write into your log until "+utcTime(until)+": the one that sends me this code first. "+
		"It logs and corrects; call, place, passes and files stay yours.") + "\n" + code
}

// SecondJoined tells a second phone what it may; own: there is a log of its own.
func SecondJoined(log parse.Callsign, until time.Time, own bool) string {
	return phrase.Paragraph("You write into " + whose(log) + " now, until " + utcTime(until) + ". Type call and grid; " +
		"both phones see each echo. Undo takes back what you did last. What you write stays in that log." +
		phrase.When(own, " Your own log rests until then."))
}

// SecondCame tells the operator that a second phone is in; calls is that of its own log.
func SecondCame(calls parse.Callsign, until time.Time) string {
	return phrase.Paragraph("A second phone" + named(calls) + " writes into your log now, until " + utcTime(until) + ".")
}

func named(calls parse.Callsign) string { return phrase.When(calls.IsValid(), " ("+calls.String()+")") }

// SecondOn says who writes into the log besides, to the operator or to the second phone.
func SecondOn(calls, log parse.Callsign, until time.Time, second bool) string {
	if second {
		return phrase.Paragraph("You write into " + whose(log) + " until " + utcTime(until) + ".")
	}
	return SecondCame(calls, until)
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

// SecondGone tells the operator that a second phone writes no more.
func SecondGone(calls parse.Callsign, at time.Time, by Ender) string {
	return phrase.Paragraph(by.lead("The day is over: ", "The other phone ended it: ") + "the second phone" + named(calls) +
		" writes no more, since " + utcTime(at) + ". What it logged stays: by number you correct it.")
}

// SecondEnded tells a second phone that it writes no more; own: there is a log of its own.
func SecondEnded(log parse.Callsign, at time.Time, own bool, by Ender) string {
	return phrase.Paragraph(by.lead("Your time is over: ", cmp.Or(log.String(), "Its operator")+" ended it: ") + "you write into " + whose(log) +
		" no more, since " + utcTime(at) + "." + phrase.When(own, " Your own log goes on here."))
}

// SecondCard stands in place of the card of a pass that goes on without the phone.
func SecondCard(log parse.Callsign) string {
	return phrase.Paragraph("Over here: " + whose(log) + " goes on.")
}

// SecondLate says that what came after the end is not in the log.
func SecondLate(log parse.Callsign, text string) string {
	return phrase.Paragraph("Not logged anywhere" + phrase.When(text != "", ": “"+layout.Short(text, 60)+"”") +
		". Your time in " + whose(log) + " is over.")
}

// SecondNowhere says that a contact is in no log, and who could log it; called: what a log of
// the phone's own lacks is its grid.
func SecondNowhere(log parse.Callsign, text string, called bool) string {
	lacks := "call sign"
	if called {
		lacks = "grid"
	}
	return phrase.Paragraph("Not logged anywhere: “" + layout.Short(text, 60) + "”. Your time in " + whose(log) +
		" is over: its operator can log it. For a log of your own send me your " + lacks + ", alone.")
}

// SecondRefused says that what was typed is in no log, to whom a code let in nowhere.
func SecondRefused(text string) string {
	return phrase.Paragraph("Not logged anywhere: “" + layout.Short(text, 60) + "”. Your code let this phone in nowhere. " +
		"Ask for another (/second in the log) and send it to me. For a log of your own: /start")
}

// SecondOver says with the first line after the end that it isn't in the log; own: it is in
// that of the phone's own.
func SecondOver(log parse.Callsign, own bool) string {
	return phrase.Paragraph("Not in " + whose(log) + " any more: your time there is over." + phrase.When(own, " This is your own log."))
}

// ChangedBy is a line below a contact that the other phone has changed: whose that is, and
// what was changed; empty where nothing is that the contact shows. Gone: it stands there no more.
func ChangedBy(other parse.Callsign, was, now Contact, gone bool) string {
	who := cmp.Or(other.String(), "the other phone")
	var news []string
	if was.Call != now.Call {
		news = append(news, was.Call.String()+" → "+now.Call.String())
	}
	if a, b := phrase.Grids(was.Grids), phrase.Grids(now.Grids); a != b {
		news = append(news, cmp.Or(a, "no grid")+" → "+cmp.Or(b, "no grid"))
	}
	switch {
	case gone && was.State != now.State:
		return "\n" + layout.Clip("   "+who+": "+was.name()+" → out", layout.Columns)
	case len(news) > 0:
		return "\n" + layout.Clip("   "+who+": "+strings.Join(news, ", "), layout.Columns)
	case was.State != now.State || !was.Time.Equal(now.Time) || was.Bird != now.Bird:
		return "\n" + layout.Clip("   by "+who, layout.Columns)
	}
	return ""
}

// NotYours refuses what is the operator's alone.
func NotYours(log parse.Callsign) string {
	return phrase.Paragraph("This phone writes into " + whose(log) + ": call, place, passes, files, voice messages and settings are its operator's.")
}

// SecondHelp tells a second phone what it can do.
func SecondHelp(log parse.Callsign) string {
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
