// Package watch plans passes and tells of them: which there are, which are
// followed, outings and contacts arranged ahead, the card that follows a pass, and
// what is asked about passes.
//
// A planning (plan.go) works out the passes that could be followed, three days ahead,
// and stores those that are; package tx says what else is stored. Every operator has
// it every six hours, at moments of their own, and when they change something; fresher
// elements have all of them planned one after the other. It stores nothing anew where
// nothing moved by a second. On the agenda are the moments of the next day alone. What
// was followed and not worked is let go three days later, unless contacts around it
// were held against it.
package watch

import (
	"skyslate/bot/outing"
	"skyslate/bot/tx"
)

// The kinds of moment that are the agenda's of passes.
const (
	MomentEarly   = "early"   // the reminder well ahead
	MomentCard    = "card"    // a card moves on to its next row
	MomentEvening = "evening" // the next day is told
	MomentSheets  = "sheets"  // timetables of an outing are sent anew
)

// What a button's data begins with.
const (
	TapPass     = "pass"     // pass: the one that lines belong to
	TapArm      = "arm"      // pass
	TapSkip     = "skip"     // pass
	TapTell     = "tell"     // pass: its whole timetable
	TapSky      = "look"     // pass: its picture
	TapReach    = "reach"    // pass: what it reaches
	TapLight    = "light"    // pass: its light, sun, horizon
	TapMemories = "memories" // pass: the pairs to store for it
	TapHere     = "here"     // Unix seconds: the place set then still holds
	TapMove     = "move"     // grids, or Home: one is there
	TapOuting   = "outing"   // outing: arm it
	TapLeave    = "leave"    // outing:first of the part shown:pass: it is left out, or taken again
	TapPart     = "part"     // outing:first of the part to show
	TapAnnounce = "announce" // outing: a text for others
	TapCallOff  = "calloff"  // outing: arm it no more
	TapCalendar = "calendar" // outing: its calendar file again
	TapSheets   = "sheets"   // outing: its timetables again
	TapThere    = "there"    // outing: the operator is at its place
	TapNotThere = "notthere" // outing: the operator's own place is the right one
	TapSked     = "sked"     // message:pass: the pass that the sked of a message is for
	TapUnsked   = "unsked"   // pass:call
)

// Home behind /at is the first place that was set, or the one named with it.
const Home = "home"

// What is bounded of one operator.
const (
	PlanDays    = 3   // local days that are worked out, the present one included
	MostOutings = 6   // prepared at a time
	MostArmed   = 100 // passes ahead, by hand
	MostSkeds   = 10  // of one pass
	MostWanted  = outing.MostWanted
)

// A Card is the one post that follows a pass.
type Card struct{ *tx.Tx }

// A Planner works out which passes there are and which are followed, and keeps the
// agenda and the card to that.
type Planner struct {
	Card
	Everything bool // every pass of every bird is stored, to compare
}

// Outings are days in the field prepared ahead, and where one stands on them.
type Outings struct{ Planner }

// Skeds are contacts arranged ahead.
type Skeds struct{ Planner }

// A Teller tells of passes when their moments come.
type Teller struct{ Outings }

// An Answerer answers what is asked of passes.
type Answerer struct{ Planner }
