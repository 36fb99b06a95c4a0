package bot

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// The texts about the log: summaries, histories, recordings, heaps, changes to
// many contacts, and the place.

const (
	textPartKnown  = "Settled by the lines that came after."
	textSlateHow   = "Tell the slate as a UTC time:\nslate 10:42:05"
	textCorrectHow = `Several contacts at once:
/correct bird HAYLOFT-2
/correct 3-7 call OX9QZT/P
/correct 2 grid JO33 JO43
/correct date 2026-11-24
/correct 10:45 slate 10:42:05
A range takes the numbers echoed, a
time names the pass. Shown first.`
	textNoSuchPass    = "Which pass? Name it by a UTC time in\nit, such as 10:45, or answer what I\nwrote about it."
	textNoSuchContact = "No such contact on the pass at hand.\n/log 3 or /log OX9QZT shows one."
	textNoRewrite     = "A word alone changes no call. Name:\n“name Anna”. Another call: in full."
	textLaterHolds    = "The log stays as it is: what you\nanswered later still holds."
	textLeft          = "Left as it is."
	textChangedSince  = "Some of these have changed since.\nSay it again."

	labelLater = "Later"
	labelLeave = "Leave it"
)

// worth is how many contacts count: a station once a pass.
func worth(all []storage.Contact) int { return len(logbook.Entries(all)) }

// summaryText tells after LOS what was logged on a pass, and asks a doubt.
func summaryText(p storage.Pass, all []storage.Contact, more []string, asks *storage.Contact) string {
	if len(all) == 0 {
		text := p.Bird.Name + " has set. Nothing logged.\nLate lines still count: send them."
		return strings.Join(append([]string{text}, more...), "\n")
	}
	head := fmt.Sprintf("%s has set: %s", p.Bird.Name, count(worth(all), "contact"))
	question, room := "", textLines-3-len(more)
	if asks != nil {
		question = "\n" + questionText(*asks)
		room -= strings.Count(question, "\n")
	}
	lines := append([]string{head}, contactLines(all, room)...)
	return strings.Join(append(lines, more...), "\n") + tally(all) + question
}

// logText shows contacts under a heading, the latest in at most so many lines.
func logText(heading string, all []storage.Contact, most, today, waiting int) string {
	shown := only(all, func(c storage.Contact) bool { return c.State != storage.Dropped })
	if len(shown) == 0 {
		return "Nothing logged yet. Type call, grid:\nox9qzt jo33" + waitingText(waiting)
	}
	n := worth(shown)
	head := fmt.Sprintf("%s: %s", heading, count(n, "contact"))
	if today > n {
		head += fmt.Sprintf(", %d today", today)
	}
	return strings.Join(append([]string{clip(head, textColumns)}, contactLines(shown, most)...), "\n") + tally(shown) + waitingText(waiting)
}

// waitingText says that contacts of no known pass wait for an answer.
func waitingText(n int) string {
	if n == 0 {
		return ""
	}
	return "\nWaiting for their pass: " + count(n, "contact")
}

// contactLines lists the latest contacts in at most so many lines, one or two for
// each.
func contactLines(all []storage.Contact, most int) []string {
	all = only(all, func(c storage.Contact) bool { return c.State != storage.Dropped })
	var lines []string
	for i := len(all) - 1; i >= 0; i-- {
		block := narrowed(contactLine(all[i], repeatedIn(all[:i], all[i])))
		room := most - len(lines)
		if i > 0 {
			room-- // for how many are before
		}
		if len(block) > room {
			return append([]string{fmt.Sprintf("… %d before: /log all", i+1)}, lines...)
		}
		lines = append(block, lines...)
	}
	return lines
}

// repeatedIn reports whether a station was worked before on the same pass from
// the same grids.
func repeatedIn(before []storage.Contact, c storage.Contact) bool {
	return c.Pass != "" && slices.ContainsFunc(before, func(old storage.Contact) bool {
		return old.Pass == c.Pass && old.Exported() && c.Exported() && old.Call == c.Call && slices.Equal(old.Grids, c.Grids)
	})
}

// contactLine is a contact in a list: UTC, call, grid, and what is the matter. A
// time that only the pass gives is marked. It may be too wide for a line.
func contactLine(c storage.Contact, repeat bool) string {
	clockText := shortClock(c.Time)
	if c.TimeSource == storage.FromPass {
		clockText = "~" + clockText
	}
	line := fmt.Sprintf("%6s %s", clockText, contactName(c))
	switch {
	case c.State == storage.Heard:
		line += ", heard only"
	case c.State == storage.Incomplete:
		line += ", no grid"
	case c.State == storage.Doubtful:
		line += ", " + doubt(c)
	case repeat:
		line += " again"
	}
	return line
}

// tally says what still wants an answer.
func tally(all []storage.Contact) string {
	open := len(only(all, func(c storage.Contact) bool { return c.State == storage.Doubtful }))
	bare := len(only(all, func(c storage.Contact) bool { return c.State == storage.Incomplete }))
	var parts []string
	if open > 0 {
		parts = append(parts, fmt.Sprintf("%d to answer", open))
	}
	if bare > 0 {
		parts = append(parts, fmt.Sprintf("%d without grid", bare))
	}
	if len(parts) == 0 {
		return ""
	}
	return "\nOpen: " + strings.Join(parts, ", ")
}

// timeText says when a contact was made and what says so.
func timeText(c storage.Contact) string {
	when := c.Time.UTC().Format("2 Jan ") + clock(c.Time)
	switch c.TimeSource {
	case storage.FromTyped:
		return when + ", as typed"
	case storage.FromRecording:
		return when + ", slate " + clock(c.Mark.Slate) + " " + offsetText(c.Mark.Offset)
	case storage.FromPass:
		return when + ", pass only"
	}
	return when + ", as sent"
}

func offsetText(d time.Duration) string {
	return fmt.Sprintf("+%d:%02d", int(d.Minutes()), int(d.Seconds())%60)
}

// causes name what made a version of a contact.
var causes = map[string]string{
	"typed": "sent", "edit": "edited", "reply": "reply", "tap": "tap", "undo": "taken back",
	"refile": "filed late", "slate": "slate told", "bulk": "corrected", "import": "imported",
}

// historyText shows the versions of a contact, the latest in full.
func historyText(versions []storage.Contact, n int) string {
	now := versions[len(versions)-1]
	head := contactName(now)
	if n > 0 {
		head = fmt.Sprintf("%d  %s", n, head)
	}
	own := fmt.Sprintf("%s by %s in %s", cmp.Or(now.Bird.Name, "no bird yet"), now.OwnCall, gridList(now.OwnGrids))
	lines := append(wrap(head, "  "), wrap(timeText(now), "  ")...)
	lines = append(lines, wrap(own, "  ")...)
	for i := range versions {
		v, before := versions[i], storage.Contact{}
		if i > 0 {
			before = versions[i-1]
		}
		what := shortClock(v.Made) + " " + cmp.Or(causes[v.Cause.Kind], v.Cause.Kind) + ": " + newIn(before, v)
		lines = append(lines, broken(what, "  ")...)
	}
	return strings.Join(lines, "\n")
}

// newIn says what a version of a contact changed.
func newIn(before, v storage.Contact) string {
	var parts []string
	if contactName(v) != contactName(before) {
		parts = append(parts, contactName(v))
	}
	if v.State != before.State && (before.ID != 0 || v.State != storage.Certain) {
		parts = append(parts, string(v.State))
	}
	if before.ID == 0 {
		return strings.Join(parts, ", ")
	}
	if !v.Time.Equal(before.Time) {
		parts = append(parts, clock(v.Time))
	}
	if v.DialMHz != before.DialMHz && v.DialMHz > 0 {
		parts = append(parts, "on "+trimMHz(v.DialMHz))
	}
	if v.Bird.Name != before.Bird.Name {
		parts = append(parts, cmp.Or(v.Bird.Name, "no bird"))
	}
	if v.OwnCall != before.OwnCall {
		parts = append(parts, "you "+v.OwnCall.String())
	}
	if !slices.Equal(v.OwnGrids, before.OwnGrids) {
		parts = append(parts, "in "+gridList(v.OwnGrids))
	}
	return cmp.Or(strings.Join(parts, ", "), "as it was")
}

// Recordings.

func askSlateText(recording string) string {
	return strings.Join(wrap("What time did the slate of "+recording+" say? Offsets count from it. Send it in UTC, such as 10:42:05.", ""), "\n")
}

func slateText(recording string, slate time.Time, n int) string {
	text := "Slate of " + recording + ": " + clock(slate) + " UTC."
	if n > 0 {
		text += fmt.Sprintf(" Timed: %d.", n)
	}
	return strings.Join(wrap(text, ""), "\n")
}

// earlierSlateText says what still counts from a slate told before.
func earlierSlateText(before time.Time, n int) string {
	return strings.Join(wrap(fmt.Sprintf("It holds from here on. %s before it: from %s still. /correct slate moves them.", count(n, "contact"), clock(before)), ""), "\n")
}

func noVoicesText(p storage.Pass) string {
	if p.ID == "" {
		return "No voice message is kept from the\nlast hours."
	}
	return strings.Join(wrap("No voice message belongs to "+passLabel(p)+". Voice messages that you send during a pass do.", ""), "\n")
}

const textOutside = "outside any pass"

// besideText says how far from a pass something lies, in minutes.
func besideText(p storage.Pass, at time.Time) string {
	switch d := contact.Apart(p, at).Round(time.Minute); {
	case d < time.Minute:
		return passLabel(p)
	case at.Before(p.AOS):
		return fmt.Sprintf("%d min before %s", int(d.Minutes()), passLabel(p))
	default:
		return fmt.Sprintf("%d min after %s", int(d.Minutes()), passLabel(p))
	}
}

// voiceText goes with a voice message that is handed back.
func voiceText(m storage.Message, where string, n, of int) string {
	text := fmt.Sprintf("Voice %d of %d, %s: %s", n, of, where, m.Voice)
	if at, ok := voiceBegan(m); ok {
		text += ", begun " + clock(at)
	} else {
		text += ", sent late"
	}
	return strings.Join(wrap(text, "  "), "\n")
}

// Which pass.

func earlierLabel(p storage.Pass) string { return "Earlier pass: " + passLabel(p) }

const labelInOrder = "A part each, in this order"

// partsText asks whether the parts of a heap belong to as many passes.
func partsText(n int, bird string) string {
	return strings.Join(wrap(fmt.Sprintf("%d parts, and %s passed %d times. A part each, or all on one pass?", n, bird, n), ""), "\n")
}

func inOrderText(passes []storage.Pass, n int) string {
	var names []string
	for _, pass := range passes {
		names = append(names, passLabel(pass))
	}
	return strings.Join(wrap(fmt.Sprintf("Filed in order, %s: %s.", some(names, 4), count(n, "contact")), ""), "\n")
}

// othersText leads over to the question about those that an answer left.
func othersText(left []storage.Contact) string {
	return strings.Join(wrap(count(len(left), "contact")+" can't be of that pass, from "+contactName(left[0])+" on.", ""), "\n")
}

func againText(waiting []storage.Contact) string {
	return strings.Join(wrap(fmt.Sprintf("Still open: which pass? %s, from %s on.", count(len(waiting), "contact"), contactName(waiting[0])), ""), "\n")
}

// Changes to many contacts.

func bulkLabel(n int) string { return "Change " + count(n, "contact") }

func nothingToCorrectText(p storage.Pass) string {
	return strings.Join(wrap("Nothing to change on "+passLabel(p)+": it is so already, or no contact is meant.", ""), "\n")
}

var bulkFields = map[string]string{
	"bird": "the bird", "call": "your call", "grid": "your grid", "date": "the date", "slate": "the slate",
}

// bulkText shows what a change to several contacts would do; sample is the last
// of them as it would be, asked how many would be in doubt.
func bulkText(b storage.Bulk, p storage.Pass, sample storage.Contact, asked int) string {
	text := fmt.Sprintf("%s of %s: %s becomes %s.", count(len(b.Contacts), "contact"), passLabel(p), bulkFields[b.Change.Field], noteText(b.Value, 40))
	lines := append(wrap(text, ""), wrap("So: "+contactName(sample)+", "+timeText(sample)+", "+sample.Bird.Name+
		", you "+sample.OwnCall.String()+" in "+gridList(sample.OwnGrids), "  ")...)
	if asked > 0 {
		lines = append(lines, wrap(fmt.Sprintf("In doubt then: %d.", asked), "")...)
	}
	return strings.Join(lines, "\n")
}

func bulkStepText(b storage.Bulk) string {
	return fmt.Sprintf("%s of %s", bulkFields[b.Change.Field], count(len(b.Contacts), "contact"))
}

func bulkDoneText(b storage.Bulk) string {
	return strings.Join(wrap(fmt.Sprintf("Changed: %s, now %s. /undo takes it back.", bulkStepText(b), noteText(b.Value, 40)), ""), "\n")
}

func badDateText(text string) string {
	return strings.Join(wrap("“"+noteText(text, 20)+"” is no UTC date up to today, such as 2026-11-24.", ""), "\n")
}

// The place.

func crossedText(was []parse.Grid, now parse.Grid) string {
	return strings.Join(wrap(fmt.Sprintf("Crossed from %s into %s. Contacts from now on are logged from there.",
		gridList(was), now), ""), "\n")
}

func stillHereText(p storage.Place, now time.Time) string {
	return strings.Join(wrap(fmt.Sprintf("Logged from %s, a place set %s ago. Moved? /at and the new grid.",
		gridList(p.Grids), sinceText(now.Sub(p.Set))), ""), "\n")
}

func sinceText(d time.Duration) string {
	if d < 48*time.Hour {
		return fmt.Sprintf("%d h", int(d.Hours()))
	}
	return fmt.Sprintf("%d days", int(d/day))
}

func hereText(p storage.Place) string { return "Still in " + gridList(p.Grids) + "." }
