package say

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/parse"
	"skyslate/predict"
)

// The log: summaries, histories, recordings, and changes to many contacts.

// Sentences about contacts that are named, corrected or timed together.
const (
	PartKnown = "Settled: each line has its pass."
	// AskedElsewhere stands in place of a question that another one asks, too.
	AskedElsewhere = "Asked with the other lines now."

	SlateHow   = "Tell the slate as a UTC time:\nslate 10:42:05"
	CorrectHow = `Several contacts at once:
/correct bird HAYLOFT-2
/correct 3 call OX9QZT · 3 grid JO44
/correct 3-7 mycall HX7KZQ/P
/correct 2 mygrid JO33 JO43
/correct date 2026-11-24
/correct 29 May 10:45 slate 10:42:05
Numbers as in /log; call and grid are
the station's. Day, time name a pass.
Shown first. Or: 3 is /p · drop 3`
	NoSuchPass      = "Which pass? Name it by its day and a\nUTC time in it, such as 29 May 10:45,\nor answer what I wrote about it."
	NoSuchContact   = "No such contact on the pass at hand.\n/log 3 or /log OX9QZT shows one."
	OneStation      = "Whose? Name one contact by its number:\n/correct 3 call OX9QZT. Your own call\nand grid are mycall and mygrid."
	NoGridGiven     = "They gave none on these passes. Tap\none that I offer, or type it: jo33"
	NoSuchNumber    = "No contact has that number, or several\npasses do: say its pass too (/log), or\nanswer the one you mean."
	NoSuchCall      = "No contact here has that call. Say\nits day or pass too, or answer it."
	NotHeard        = "Kept as a note, not worked."
	NoRewrite       = "A word alone changes no call. Name:\n“name Anna”. Another call: in full."
	LaterHolds      = "The log stays as it is: what you\nanswered later still holds."
	LaterHoldsStill = "Noted. What you answered later still\nholds."
	LeftAsItIs      = "Left as it is."
	ChangedSince    = "Some of these have changed since.\nSay it again."

	LabelLater   = "Later"
	LabelLeave   = "Leave it"
	LabelInOrder = "A part each, in this order"
)

// Summary tells after LOS what was logged on a bird's pass, and asks a doubt, if
// there is one; worth is how many contacts count, a station once, and so many wait to
// hear which pass they belong to.
func Summary(bird string, worth, waiting int, all []Contact, more []string, asks *Contact) string {
	if waiting > 0 {
		more = append([]string{waitingLead + phrase.NContacts(waiting)}, more[:min(len(more), layout.Lines/2-1)]...)
	}
	if len(kept(all)) == 0 {
		return phrase.Lined([]string{bird + " has set. Nothing logged.", "Late lines still count: send them."}, more)
	}
	question := ""
	if asks != nil {
		question = "\n" + Question(*asks)
	}
	lines := contactLines(all, layout.Lines-3-len(more)-strings.Count(question, "\n"), allOf(kept(all)))
	return phrase.Lined([]string{bird + " has set: " + phrase.NContacts(worth)}, lines, more) + tally(all) + question
}

// A Note is what was said under a pass that is no contact.
type Note struct {
	At   time.Time
	Text string
}

// Notes shows the notes of a pass as they were typed.
func Notes(pass string, notes []Note) string {
	lines := layout.Hang(fmt.Sprintf("%s: %s", pass, phrase.Count(len(notes), "note")))
	for _, n := range notes {
		lines = append(lines, layout.Hang(phrase.ShortClock(n.At)+" "+strings.ReplaceAll(n.Text, "\n", " / "))...)
	}
	return strings.Join(lines, "\n")
}

// NotesKept says in a summary how many notes there are, if any.
func NotesKept(n int) []string {
	return layout.Hang(phrase.When(n > 0, phrase.Count(n, "note")+": /log notes"))
}

// NothingOn answers words that name passes on which nothing is logged.
var NothingOn = phrase.InLines(phrase.Typed(20), "Nothing is logged on “%s”: no pass of the last day, or none by that day and time. /log 29 may 10:45 names one.")

const waitingLead = "Waiting for their pass: "

// LogCounts are contacts that count, in a log and today, and those without a pass; OfDay:
// it is the log of a day.
type LogCounts struct {
	Worth, Today, Waiting int
	OfDay                 bool
}

// NothingLogged is said of an empty log.
const NothingLogged = "Nothing logged yet. Type call, grid:\nox9qzt jo33"

// EarlierDay is the heading of the latest day that has contacts, where today has none.
func EarlierDay(from time.Time) string { return "None today; " + from.Format("2 Jan") }

// Log shows contacts under a heading, the latest in at most so many lines.
func Log(heading string, all []Contact, most int, n LogCounts) string {
	waiting := phrase.When(n.Waiting > 0, "\n"+waitingLead+phrase.NContacts(n.Waiting))
	all = kept(all)
	if len(all) == 0 {
		return NothingLogged + waiting
	}
	head := fmt.Sprintf("%s: %s", heading, phrase.NContacts(n.Worth))
	if today := head + phrase.When(n.Today > n.Worth, phrase.Some(n.Today, ", %d today")); layout.Fits(today) {
		head = today
	}
	lines := contactLines(all, most, cmp.Or(phrase.When(n.OfDay, "/log all"), allOf(all)))
	return phrase.Lined([]string{layout.Line(head)}, lines) + tally(all) + waiting
}

// An OpenPass is the contacts of a pass that something is asked of; it has no name where
// none is known.
type OpenPass struct {
	Pass     string // its name; empty: none, on the day of the contacts
	Contacts []Contact
}

// Open lists what still wants an answer, by pass.
func Open(groups []OpenPass) string {
	var lines []string
	n := 0
	for _, g := range groups {
		lines = append(lines, cmp.Or(g.Pass, "Without a pass, "+phrase.DayMonth(g.Contacts[0].Time)))
		for _, c := range g.Contacts {
			lines = append(lines, contactRow(c)...)
		}
		n += len(g.Contacts)
	}
	if n == 0 {
		return "Nothing is open: all is answered."
	}
	return phrase.Lined([]string{fmt.Sprintf("Open: %s", phrase.NContacts(n))}, lines, []string{"Say ox9qzt worked, ox9qzt not worked,", "correct ox9qzt is jo33, drop ox9qzt"})
}

// allOf asks for all contacts of a pass, by the time of one of them.
func allOf(all []Contact) string {
	if len(all) == 0 {
		return ""
	}
	named := all[len(all)-1]
	for _, c := range all {
		if c.State != Doubtful { // its time may be what is asked
			named = c
		}
	}
	return strings.ToLower(named.Time.UTC().Format("/log 2 Jan 15:04 all"))
}

// contactLines lists contacts in at most so many lines: where not all have room, the latest of
// those that nothing is asked of, then the latest of the others; rest asks for all.
func contactLines(all []Contact, most int, rest string) (lines []string) {
	all = kept(all)
	blocks, shown, room := make([][]string, len(all)), make([]bool, len(all)), most-1
	for i, c := range all {
		blocks[i] = contactRow(c)
	}
	if lines = slices.Concat(blocks...); len(lines) <= most {
		return lines
	}
	left := len(all)
	for _, asked := range []bool{false, true} {
		for i, c := range slices.Backward(all) {
			if (c.State == Doubtful) != asked {
				continue
			}
			if room -= len(blocks[i]); room < 0 {
				break
			}
			shown[i], left = true, left-1
		}
	}
	lines = []string{fmt.Sprintf("… %d more: %s", left, rest)}
	for i, block := range blocks {
		if shown[i] {
			lines = append(lines, block...)
		}
	}
	return lines
}

// contactRow is a contact in a list. A time of the pass is marked (see tally).
func contactRow(c Contact) []string {
	text := phrase.Some(c.Number, "%2d ") + fmt.Sprintf("%6s %s", phrase.When(c.TimeSource == FromPass, "~")+phrase.ShortClock(c.Time), c.name())
	state := ""
	switch c.State {
	case Heard:
		state = "heard only"
	case Incomplete:
		state = "no grid"
	case Doubtful:
		state = doubt(c)
	default:
		text += phrase.When(c.Again, " again")
	}
	text += phrase.When(c.Agreed, " ✓")
	return layout.Behind(text, state, func(lines ...string) []string { return layout.Narrow(layout.TableRows(lines...)...) })
}

// tally says below a list what a sign in it means and what still wants an answer.
func tally(all []Contact) string {
	open := phrase.Some(len(ofState(all, Doubtful)), ", %d to answer") + phrase.Some(len(ofState(all, Incomplete)), ", %d without grid")
	roughly := slices.ContainsFunc(kept(all), func(c Contact) bool { return c.TimeSource == FromPass })
	agreed := slices.ContainsFunc(kept(all), func(c Contact) bool { return c.Agreed })
	return phrase.When(roughly, "\n~ no exact time known") + phrase.When(agreed, "\n✓ agrees, while both sides compare") + phrase.Led("\nOpen: ", strings.TrimPrefix(open, ", "))
}

// timeSaid says when a contact was made and what says so.
func timeSaid(c Contact) string {
	when := c.Time.UTC().Format("2 Jan ") + phrase.Clock(c.Time)
	if c.Cause == fromFile {
		return c.Time.UTC().Format("2 Jan 2006 ") + phrase.Clock(c.Time) + ", from a file"
	}
	switch c.TimeSource {
	case FromTyped:
		return when + ", as typed"
	case FromRecording:
		return when + ", slate " + phrase.Clock(c.Slate) + " " + offset(c.Offset)
	case FromPass:
		return when + ", about"
	}
	return when + ", as sent"
}

func offset(d time.Duration) string {
	return fmt.Sprintf("+%d:%02d", int(d.Minutes()), int(d.Seconds())%60)
}

// causes name what made a version of a contact.
var causes = map[string]string{
	"typed": "sent", "edit": "edited", "reply": "reply", "tap": "tap", "undo": "taken back",
	"refile": "filed late", "slate": "slate told", "bulk": "corrected", "theirs": "taken over", "import": "imported",
	"lost": "lost by damage",
}

// fromFile is the cause of what came of a document.
const fromFile = "import"

// History shows the versions of a contact, the latest in full.
func History(versions []Contact) string {
	now := versions[len(versions)-1]
	own := cmp.Or(now.Bird, "no bird yet") + phrase.Led(" by ", now.OwnCall.String()) + phrase.Led(" in ", phrase.Grids(now.OwnGrids))
	lines := layout.Hang(phrase.Some(now.Number, "%d  ")+now.name(), timeSaid(now), own)
	for i, v := range versions {
		news := v.name() + phrase.When(v.State != Certain, ", "+string(v.State))
		if i > 0 {
			news = newIn(versions[i-1], v)
		}
		lines = append(lines, layout.Hang(phrase.ShortClock(v.Made)+" "+cmp.Or(causes[v.Cause], v.Cause)+": "+news)...)
	}
	return strings.Join(lines, "\n")
}

// newIn says what a version of a contact changed.
func newIn(before, v Contact) string {
	news := phrase.When(v.name() != before.name(), ", "+v.name()) +
		phrase.When(v.State != before.State, ", "+string(v.State)) +
		phrase.When(!v.Time.Equal(before.Time), ", "+phrase.Clock(v.Time)) +
		phrase.When(v.DialMHz != before.DialMHz && v.DialMHz > 0, ", on "+phrase.TrimMHz(v.DialMHz)) +
		phrase.When(v.Bird != before.Bird, ", "+cmp.Or(v.Bird, "no bird")) +
		phrase.When(v.OwnCall != before.OwnCall, ", you "+v.OwnCall.String()) +
		phrase.When(!slices.Equal(v.OwnGrids, before.OwnGrids), ", in "+phrase.Grids(v.OwnGrids))
	return cmp.Or(strings.TrimPrefix(news, ", "), "as it was")
}

// Recordings.

// What a recording is called, and where the moment offered for its slate is from.
const (
	VoiceMessage   = "the voice message"
	Recording      = "the recording"
	LabelFromVoice = ", voice message"
	LabelFromTyped = ", as typed"
	OutsidePasses  = "outside any pass"
)

// AskSlate asks for the time spoken in a recording, EarlierSlate says how many
// contacts still count from a slate told before, EarlierLabel offers the pass that
// went by before.
var (
	AskSlate = phrase.InLines(phrase.Whole,
		"What time did the slate of %s say? Offsets count from it. Send it in UTC, such as 10:42:05.")
	EarlierSlate = phrase.InLines2(phrase.Clock, phrase.NContacts,
		"It holds from here on. %[2]s before it: from %[1]s still. Was that wrong? Tap.")
	EarlierLabel = phrase.InLine(PassName, "Earlier pass: %s")
)

// SlateTold repeats the slate of a recording, from which n contacts have their time now.
func SlateTold(recording string, slate time.Time, n int) string {
	return phrase.Paragraph("Slate of " + recording + ": " + phrase.Clock(slate) + " UTC." + phrase.Some(n, " Timed: %d."))
}

// NoVoices says that no voice message is kept of a pass, or of the last hours if it is zero.
func NoVoices(p predict.Pass) string {
	if p.AOS.IsZero() {
		return "No voice message is kept from the\nlast hours."
	}
	return phrase.Sentence("No voice message belongs to %s. Voice messages that you send during a pass do.", PassName(p))
}

// Beside says how far from a pass a moment lies, in minutes.
func Beside(p predict.Pass, at time.Time) string {
	before, after := p.AOS.Sub(at).Round(time.Minute), at.Sub(p.LOS).Round(time.Minute)
	switch {
	case before >= time.Minute:
		return phrase.Minutes(before) + " before " + PassName(p)
	case after >= time.Minute:
		return phrase.Minutes(after) + " after " + PassName(p)
	}
	return PassName(p)
}

// Voice goes with a voice message that is handed back: which of how many, where it
// lies, its length and when it was begun, zero if that is not known.
func Voice(n, of int, where, length string, begun time.Time) string {
	since := ", begun " + phrase.Clock(begun)
	if begun.IsZero() {
		since = ", sent late"
	}
	return phrase.Paragraphs(fmt.Sprintf("Voice %d of %d, %s: %s", n, of, where, length) + since)
}

// Changes to many contacts.

// Correction is one change to so many contacts of a pass: a field of package bot's,
// and what it becomes, as it was typed.
type Correction struct {
	Field, Value string
	Contacts     int
}

var correctFields = map[string]string{
	"bird": "the bird", "call": "your call", "grid": "your grid", "date": "the date", "slate": "the slate",
	"station": "the station's call", "square": "the station's grid",
}

// The button that makes a change, and what is said of one that can't be made.
var (
	ChangeLabel      = phrase.InLine(phrase.NContacts, "Change %s")
	NothingToCorrect = phrase.InLines(PassName, "Nothing to change on %s: it is so already, or no contact is meant.")
	BadDate          = phrase.InLines(phrase.Typed(20), "“%s” is no UTC date up to today, such as 2026-11-24.")
)

// Correct shows a change by its last contact, and how many would be in doubt.
func Correct(c Correction, p predict.Pass, sample Contact, asked int) string {
	return phrase.Sentence("%s of %s: %s becomes %s.", phrase.NContacts(c.Contacts), PassName(p),
		correctFields[c.Field], layout.Short(c.Value, 40)) + "\n" +
		phrase.Paragraphs(fmt.Sprintf("So: %s, %s, %s, you %s in %s", sample.name(), timeSaid(sample), sample.Bird, sample.OwnCall, phrase.Grids(sample.OwnGrids)),
			phrase.Some(asked, "I would have to ask about %d of them."))
}

// Dropping says that contacts are out of the log.
func Dropping(contacts []Contact) string {
	return phrase.Sentence("Out of the log: %s. /undo undoes that.", phrase.FirstN(names(contacts), 4))
}

// DropLabel drops a contact.
func DropLabel(c Contact) string { return "Drop " + c.name() }

// LastOfWhat asks what is meant by the last one: the last step, or the last contact.
func LastOfWhat(step string, c Contact) string {
	return phrase.Sentence("Done last: %s. Take that back, or drop the last contact, %s?", step, c.name())
}

// CorrectionStep names a change for undo.
func CorrectionStep(c Correction) string {
	return fmt.Sprintf("%s of %s", correctFields[c.Field], phrase.NContacts(c.Contacts))
}

// Corrected says that a change was made.
func Corrected(c Correction) string {
	return phrase.Sentence("Changed: %s, now %s. /undo takes it back.", CorrectionStep(c), layout.Short(c.Value, 40))
}

// Crossed says that another square was entered.
var Crossed = phrase.InLines2(phrase.Grids, parse.Grid.String,
	"Crossed from %s into %s. Contacts from now on are logged from there.")

// StillHere asks whether the place set still holds.
func StillHere(p Place, now time.Time) string {
	days := phrase.WholeDays(now.Sub(p.Set))
	ago := fmt.Sprintf("%d days", days)
	if days < 2 {
		ago = fmt.Sprintf("%d h", int(now.Sub(p.Set).Hours()))
	}
	return phrase.Sentence("Logged from %s, a place set %s ago. Moved? /at and the new grid.", p.name(), ago)
}

// StillDown asks it when an outing is over, StillInLabel is the button that says so, Here the
// answer to it, HomeLabel the other button.
var (
	StillDown    = phrase.InLines(Place.name, "The outing is over, and I have you in %s still: passes and log are for there. Is that so?")
	HomeLabel    = phrase.InLine(Place.name, "Home %s")
	StillInLabel = phrase.InLine(Place.name, "Still in %s")
	Here         = phrase.InLine(Place.name, "Still in %s.")
)

// What is new, and the day.

// News is what a contact brings that nothing earlier did, ever or with its bird.
type News struct {
	Station, Grid             bool
	StationOnBird, GridOnBird bool
	Before                    int    // contacts with the station, earlier passes
	Name                      string // that the station gave last, where this contact has none
}

// NewsLine says below a contact what it brings, or how often the station was worked before.
func NewsLine(bird string, n News) string {
	ever := phrase.When(n.Grid, ", grid") + phrase.When(n.Station, ", station")
	onBird := ""
	switch {
	case n.StationOnBird && !n.Station:
		onBird = "; first on " + bird
	case n.GridOnBird && !n.Grid:
		onBird = "; first grid on " + bird
	}
	news := phrase.Led("; ", layout.Short(n.Name, 12)) + phrase.Some(n.Before, "; %d× before") +
		phrase.Led("; new ", strings.TrimPrefix(ever, ", ")) + onBird
	return phrase.Led("   ", layout.Clip(strings.TrimPrefix(news, "; "), layout.Columns-3))
}

// WantedLine says below contacts which of their grids the operator looked out for.
func WantedLine(grids []parse.Grid) string {
	return phrase.Led("   wanted and worked: ", phrase.Grids(grids))
}

// TwinLine says below a contact that a station one character off gave the same grid.
func TwinLine(call parse.Callsign) string {
	return layout.Clip("   "+call.String()+", same grid: mistyped?", layout.Columns)
}

// NewsTally says in a few lines what contacts bring together.
func NewsTally(grids, onBird []string, stations int) []string {
	return phrase.Footed(nil, phrase.Fitting("New grids: ", grids, ""), phrase.Fitting("First on that bird: ", onBird, ""), phrase.Some(stations, "New stations: %d"))
}
