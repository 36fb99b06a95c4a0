// Package limits says what is said when something is full, was missed, was lost or removed,
// or was too much.
package limits

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/parse"
)

// Limits that were reached.
var (
	TooManyNow = phrase.Paragraph("That is too much in one minute (300). What comes until the next one is left " +
		"out: send it again then.")
	TooManyToday = phrase.Paragraph("That is too much for one day (5000 messages). I read on at 00:00 UTC; only " +
		"/forget works until then.")
	TooManyContacts = phrase.Paragraph("That is too much for one day (2000 contacts). I log on at 00:00 UTC: " +
		"send it again then.")
	TooManyDocuments = phrase.Paragraph("That is too many files for one day (20). Send it again after 00:00 " +
		"UTC.")
	TooManyMade = phrase.Paragraph("That is too many files to make for one day (200). Ask again after 00:00 " +
		"UTC, or look at /log and /passes.")
	TooMuchStored = phrase.Paragraph("What I keep for you has reached 1 GB, the most for one operator. I log no " +
		"more: take it with /adif all; only /forget makes room.")
	TooManyArmed = phrase.Paragraph("100 passes are armed already, as many as I keep. Skip one in /passes " +
		"first.")
	TooManySkeds = phrase.Paragraph("10 skeds are arranged for that pass, as many as I keep. Drop one in /sked " +
		"first.")
	TooManyOutings = phrase.Paragraph("You have planned enough days out. Call one off first.")
	TooManyNumbers = phrase.Paragraph("Those are more than 100 numbers on one line, so nothing is changed. Name " +
		"fewer.")
	FileGone = phrase.Paragraph("I could not fetch that file: please send it again.")
	NoRoom   = phrase.Paragraph("The disk of the machine I run on is full. What you send is kept by the messaging " +
		"app; I can log and remind again as soon as there is room.")
)

// Missed counts what was caught up, between two moments, and reminders that came too late.
type Missed struct {
	From, To                      time.Time
	Messages, Contacts, Reminders int
}

// CaughtUp says what was caught up.
func CaughtUp(m Missed) string {
	from, to := phrase.ShortClock(m.From), phrase.ShortClock(m.To)
	return phrase.Paragraphs(
		phrase.When(m.Messages > 0, fmt.Sprintf("Caught up: %s from %s UTC, read as of then, %s.",
			phrase.Count(m.Messages, "message"), from+phrase.When(from != to, " to "+to), phrase.Count(m.Contacts, "new contact"))),
		phrase.When(m.Reminders > 0, fmt.Sprintf("Dropped, because it came after LOS: %s.", phrase.Count(m.Reminders, "reminder"))),
	)
}

// Lost is what damage to the store has taken from an operator.
type Lost struct {
	Contacts []LostContact
	Since    time.Time // other things may be missing from then on; zero: nothing is
	All      bool      // other things may be missing from the beginning
}

// LostContact is a contact of which only its number is certain, or, changed, one
// that is as it was before its last changes. Call, time and bird may be unknown.
type LostContact struct {
	Number  uint64
	Call    parse.Callsign
	Time    time.Time
	Pass    string // the bird's name
	Changed bool
}

func (c LostContact) line() string {
	line := fmt.Sprintf("#%d", c.Number) + phrase.When(c.Call.IsValid(), " "+c.Call.String()) +
		phrase.When(!c.Time.IsZero(), " "+phrase.DayMonth(c.Time)+" "+phrase.Clock(c.Time)) + phrase.Led(" ", c.Pass)
	return line + phrase.When(c.Changed, ", its last change")
}

// AfterDamage says that the store was damaged, and what is lost.
func AfterDamage(l Lost) string {
	lines := layout.Hang("My store was damaged. What could be had is back.")
	if len(l.Contacts) > 0 {
		lines = slices.Concat(lines, layout.Hang("Lost, "+phrase.NContacts(len(l.Contacts))+":"),
			layout.Hang(phrase.Each(l.Contacts, LostContact.line)...),
			layout.Hang("Send again those that you have noted elsewhere."))
	}
	from := "from the beginning on"
	if !l.All {
		from = "after " + phrase.DayMonth(l.Since) + " " + phrase.ShortClock(l.Since) + " UTC"
	}
	return phrase.Lined(lines, layout.Hang(phrase.When(l.All || !l.Since.IsZero(),
		"What you sent "+from+", and my answers to it, may be missing too: /log shows what is there.")))
}

// Copies are what remains of a store after somebody is forgotten: backups by their
// moments, the newest first, of which so many are kept, and damaged files.
type Copies struct {
	Backups       []time.Time
	Kept, Damaged int
}

// Forgotten says that all is removed, and where copies and whatever else remain.
func Forgotten(c Copies, remains []string) string {
	text := "Removed: your settings and your log."
	if len(c.Backups) > 0 {
		text += fmt.Sprintf(" Copies remain in %s of this machine, the newest of %s. Each goes when %d newer ones are there: a day each.",
			phrase.Count(len(c.Backups), "backup"), c.Backups[0].UTC().Format("2 Jan 15:04 UTC"), c.Kept)
	}
	if c.Damaged > 0 {
		text += fmt.Sprintf(" They also remain in %s set aside, until whoever runs me deletes them.", phrase.Count(c.Damaged, "damaged file"))
	}
	return phrase.Paragraph(strings.Join(append([]string{text}, remains...), " "))
}
