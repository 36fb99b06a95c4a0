package say

import (
	"fmt"
	"time"

	"skyslate/bot/phrase"
	"skyslate/parse"
)

// Two logs that are held against each other.

// AskAgreeing says what is shared, with whom, and what never is.
func AskAgreeing(call parse.Callsign) string {
	return phrase.Sentence("Compare your log as %s?", call) + `
With others here who do so, too. They
see, from now on, under that call:
- call and square, also as a guess of
  whom they heard on a pass
- contacts of yours that name their
  call or one like it, by two symbols
Never: any other contact, your exact
place, what was before, your settings.
Nobody proves a call here: who claims
yours sees who names it, while you
don't compare. It confirms nothing and
is in no file. /agree off ends it.`
}

// What is said of the consent.
const (
	LabelAgree  = "Compare from now on"
	AgreeingOff = "Your log is compared with no other.\nEvery ✓ of it is gone, here and there.\nWhat I told until now stays told."
)

// AgreeingOn takes the consent, AgreeingEnded ends it because of another call, SameCall
// says that somebody else goes by it.
var (
	AgreeingOn = phrase.InLines(parse.Callsign.String, "From now on your contacts as %s are compared. Those that agree have a ✓ in /log, "+
		"in the summary and on the map of /worked, while both compare; what differs I tell after the pass. /agree off ends it.")
	AgreeingEnded = phrase.InLines(parse.Callsign.String, "You compared your log as %s: that is off now. /agree asks anew.")
	SameCall      = phrase.InLines(parse.Callsign.String, "Another operator here says that %s is theirs, too. Until one of you says /agree off "+
		"contacts with that call agree and differ with nobody's.")
)

// AgreeingSince says that the log is compared.
func AgreeingSince(call parse.Callsign, since time.Time) string {
	return phrase.Sentence("Your contacts as %s are compared since %s %s UTC. /agree off ends it.", call, phrase.DayMonth(since), phrase.ShortClock(since))
}

// Difference is how two logs differ: about a contact and the other station's, or one that
// is missing in either log. Call and Grids are what that station says of itself.
type Difference struct {
	Call             parse.Callsign
	Grids            []parse.Grid
	Mine, Theirs     Contact
	Missing, Lacking bool // in the own log, in the other

	TheirCall, TheirGrid bool // the own log has the other otherwise
	MyCall, MyGrid       bool // the other has oneself otherwise
	OtherBird, OtherTime bool
}

// Differs tells a difference.
func Differs(d Difference) string {
	on := func(c Contact) string { return c.Bird + " " + phrase.ShortClock(c.Time) }
	switch station := StationLabel(d.Call, d.Grids); {
	case d.Missing:
		return phrase.Paragraphs(fmt.Sprintf("%s has you in the log, you don't have them: %s.", station, on(d.Theirs)),
			fmt.Sprintf("If it was so, send: %s %s", station, phrase.ShortClock(d.Theirs.Time)))
	case d.Lacking:
		return phrase.Paragraphs(fmt.Sprintf("%s doesn't have you in the log: %s, you have %s.", d.Call, on(d.Mine), d.Mine.name()))
	}
	other := phrase.When(d.OtherBird, " on "+d.Theirs.Bird) + phrase.When(d.OtherTime, " at "+phrase.ShortClock(d.Theirs.Time))
	return phrase.Paragraphs(fmt.Sprintf("%s's log differs from yours, %s:", d.Call, on(d.Mine)),
		phrase.When(d.TheirCall || d.TheirGrid, "You have "+d.Mine.name()+", they are "+StationLabel(d.Call, d.Grids)+"."),
		phrase.When(d.MyCall || d.MyGrid, "They have you as "+d.Theirs.name()+"."),
		phrase.Led("They have it", other)+phrase.When(other != "", "."),
		phrase.When(d.OtherBird, "If they are right, tap: they are asked the same."))
}

// TakeLabel takes over what a station says of itself, TakenOver says so.
func TakeLabel(call parse.Callsign, grids []parse.Grid) string {
	return "Take " + StationLabel(call, grids)
}

// OtherBirdLabel takes over the bird on which the other log has a contact, OtherBirdTaken says so.
var (
	OtherBirdLabel = phrase.InLine(phrase.Whole, "It was %s")
	OtherBirdTaken = phrase.InLines2(parse.Callsign.String, phrase.Whole, "Taken over: %s on %s. /undo takes it back.")
)

// AgreesNow and DiffersNoMore follow a difference that was told.
var (
	AgreesNow     = phrase.InLines(parse.Callsign.String, "Your contact and %s's agree now.")
	DiffersNoMore = phrase.InLines(parse.Callsign.String, "What differed from %s's log is no more.")
)

// TakenOver says what a contact is now.
func TakenOver(call parse.Callsign, grids []parse.Grid) string {
	return phrase.Sentence("Taken over: %s. /undo takes it back.", StationLabel(call, grids))
}
