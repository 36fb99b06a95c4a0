package say

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/layout"
	"skyslate/parse"
)

// What is said when something is full, was missed, or was too much.

// Limits that were reached.
var (
	TooManyNow = paragraph("That is too much in one minute (300). What comes until the next one is left " +
		"out: send it again then.")
	TooManyToday = paragraph("That is too much for one day (5000 messages). I read on at 00:00 UTC; only " +
		"/forget works until then.")
	TooManyContacts = paragraph("That is too much for one day (2000 contacts). I log on at 00:00 UTC: " +
		"send it again then.")
	TooManyDocuments = paragraph("That is too many files for one day (20). Send it again after 00:00 " +
		"UTC.")
	TooManyMade = paragraph("That is too many files to make for one day (200). Ask again after 00:00 " +
		"UTC, or look at /log and /passes.")
	TooMuchStored = paragraph("What I keep for you has reached 1 GB, the most for one operator. I log no " +
		"more: take it with /adif all; only /forget makes room.")
	TooManyArmed = paragraph("100 passes are armed already, as many as I keep. Skip one in /passes " +
		"first.")
	TooManySkeds = paragraph("10 skeds are arranged for that pass, as many as I keep. Drop one in /sked " +
		"first.")
	FileGone = paragraph("I could not fetch that file: please send it again.")
	NoRoom   = paragraph("The disk of the machine I run on is full. What you send is kept by the messaging " +
		"app; I can log and remind again as soon as there is room.")
)

// Missed counts what was caught up, between two moments, and reminders that came too late.
type Missed struct {
	From, To                      time.Time
	Messages, Contacts, Reminders int
}

// CaughtUp says what was caught up.
func CaughtUp(m Missed) string {
	from, to := shortClock(m.From), shortClock(m.To)
	return paragraphs(
		when(m.Messages > 0, fmt.Sprintf("Caught up: %s from %s UTC, read as of then, %s.",
			count(m.Messages, "message"), from+when(from != to, " to "+to), count(m.Contacts, "new contact"))),
		when(m.Reminders > 0, fmt.Sprintf("Dropped, because it came after LOS: %s.", count(m.Reminders, "reminder"))),
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
	line := fmt.Sprintf("#%d", c.Number) + when(c.Call.IsValid(), " "+c.Call.String()) +
		when(!c.Time.IsZero(), " "+dayMonth(c.Time)+" "+Clock(c.Time)) + led(" ", c.Pass)
	return line + when(c.Changed, ", its last change")
}

// AfterDamage says that the store was damaged, and what is lost.
func AfterDamage(l Lost) string {
	lines := layout.Hang("My store was damaged. What could be had is back.")
	if len(l.Contacts) > 0 {
		lines = slices.Concat(lines, layout.Hang("Lost, "+nContacts(len(l.Contacts))+":"),
			layout.Hang(each(l.Contacts, LostContact.line)...),
			layout.Hang("Send again those that you have noted elsewhere."))
	}
	from := "from the beginning on"
	if !l.All {
		from = "after " + dayMonth(l.Since) + " " + shortClock(l.Since) + " UTC"
	}
	return lined(lines, layout.Hang(when(l.All || !l.Since.IsZero(),
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
			count(len(c.Backups), "backup"), c.Backups[0].UTC().Format("2 Jan 15:04 UTC"), c.Kept)
	}
	if c.Damaged > 0 {
		text += fmt.Sprintf(" They also remain in %s set aside, until whoever runs me deletes them.", count(c.Damaged, "damaged file"))
	}
	return paragraph(strings.Join(append([]string{text}, remains...), " "))
}
