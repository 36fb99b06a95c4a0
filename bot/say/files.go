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

// Files that are handed over: the log, pictures, calendars; and logs handed in.

// What is said around files.
const (
	NoPassYet       = "No pass to hand over yet. /adif gives\nall that is new."
	NoPassToDraw    = "No pass ahead to draw. /passes says\nwhat comes."
	NothingFollowed = "No pass ahead that you are reminded\nof. Arm some in /passes first."

	CallBeforeLog = "I take the log when I know whose it\nis.\nThen send it again."
	OtherLog      = "That log is in the XML form (ADX). I\nread ADI files: export it as .adi."

	// NoBird names the pass of contacts whose bird is not known, Ever the span of
	// a map of all grids.
	NoBird = "without a bird"
	Ever   = "ever"

	LabelSky      = "Picture of the sky"
	LabelReach    = "Who is in reach"
	LabelOutOfLog = "Take them out again"

	LabelReadOther  = "Read it all the same" // a log of another call
	LabelNoneWorked = "None of them"
	LabelAllWorked  = "All were worked" // whatever the words with them say
)

const (
	maxCaption     = 900 // characters; a caption holds 1,024
	namedInCaption = 4   // contacts of a kind
)

// HandOverCaption tells of the contacts in a file: how many, from when to when,
// which passes, what is incomplete among them and what is doubtful and left out.
// From and to are the span asked for, zero if none was.
func HandOverCaption(part, doubtful []Contact, passes []string, from, to time.Time) string {
	minute := func(t, since time.Time) string {
		return t.UTC().Format("2 Jan " + phrase.When(t.UTC().Year() != since.UTC().Year(), "2006 ") + "15:04")
	}
	return layout.Clip(phrase.Paragraphs(
		fmt.Sprintf("%s as %s in %s", phrase.NContacts(len(part)),
			distinct(part, func(c Contact) string { return c.OwnCall.String() }),
			distinct(part, func(c Contact) string { return phrase.Grids(c.OwnGrids) })),
		fmt.Sprintf("%s to %s UTC", part[0].Time.UTC().Format("2 Jan 2006 15:04"), minute(part[len(part)-1].Time, part[0].Time)),
		phrase.When(!from.IsZero(), fmt.Sprintf("%s: %s to %s UTC", cmp.Or(phrase.When(to.Sub(from) > 3*phrase.Day/2, "Days"), "Day"), minute(from, to), minute(to, from))),
		"Passes: "+phrase.Listed(passes),
		phrase.Led("Without grid, included: ", phrase.FirstN(names(ofState(part, Incomplete)), namedInCaption)),
		phrase.Led("Doubtful, left out: ", phrase.FirstN(names(doubtful), namedInCaption)),
	), maxCaption)
}

// distinct names what contacts have, each once.
func distinct(contacts []Contact, of func(Contact) string) string {
	var names []string
	for _, c := range contacts {
		if name := cmp.Or(of(c), "unknown place"); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return phrase.FirstN(names, 4)
}

// What is said of so many contacts: that they take a moment, that they go into the next
// file, and the button that puts them into the log; and of words that are no span.
var (
	WordedTaken  = phrase.InLine(phrase.NContacts, "Taken as worked: %s. /adif.")
	NoneTaken    = phrase.InLine(phrase.NContacts, "Dropped: %s.")
	SlowFile     = phrase.InLines(phrase.NContacts, "Writing %s: the file follows in a moment.")
	IntoLogLabel = phrase.InLine(phrase.NContacts, "Put %s into the log")
	BadSpan      = phrase.InLines(phrase.Typed(20), "I don't know which contacts “%s” means. Say /adif, /adif pass, /adif today, /adif all, "+
		"/adif since saturday, /adif last week, a month as in /adif may, or a UTC date: /adif 2026-11-24. With “together” one file holds all your calls and places.")
)

// NothingToHandOver says why there is no file, by the word behind /adif.
func NothingToHandOver(word string, doubtful []Contact) string {
	why, ok := map[string]string{"": ": nothing new is logged", "all": ": nothing is logged yet", "pass": ": nothing is logged on that pass"}[word]
	if !ok {
		why = " for " + word
	}
	return phrase.Paragraph("Nothing to hand over" + why + phrase.Led(". Doubtful, to be answered first: ", phrase.Listed(names(doubtful))) + ".")
}

// WordedAsk asks whether contacts were worked that stand with words nobody knows here.
func WordedAsk(worded []Contact) string {
	return phrase.Paragraphs("Words I can't read stand with these. They go into a file once you say that they were worked:",
		phrase.Listed(phrase.Each(worded, standing)))
}

// Change is a contact as it was handed over and as it is now.
type Change struct{ Was, Now Contact }

// Since says what became of contacts that were handed over before: which
// entries to delete elsewhere, since a file can only add. It is as many messages
// as it takes.
func Since(changed []Change, withdrawn, added []Contact) []string {
	var blocks [][]string
	for _, c := range changed {
		now := layout.Hang("- now " + c.text())
		now[0] = "  " + strings.TrimPrefix(now[0], "- ")
		blocks = append(blocks, append(layout.Hang("- "+entryName(c.Was)), now...))
	}
	for _, c := range withdrawn {
		blocks = append(blocks, append(layout.Hang("- "+entryName(c)), "  withdrawn"))
	}
	if len(blocks) > 0 {
		blocks = append([][]string{{"Handed over before: delete these", "entries there, a file can't do it."}}, blocks...)
	}
	for _, line := range layout.Hang(phrase.Led("Added to passes handed over before: ", strings.Join(names(added), ", "))) {
		blocks = append(blocks, []string{line})
	}
	return phrase.Each(layout.Group(blocks, layout.Lines), func(page [][]string) string { return phrase.Lined(page...) })
}

// entryName names an entry of a log so that it is found there.
func entryName(c Contact) string {
	return strings.Join(strings.Fields(c.name()+" "+c.Time.UTC().Format("2 Jan 15:04")+" "+c.Bird), " ")
}

// text says what an entry is now, as far as it differs.
func (c Change) text() string {
	was, now := c.Was, c.Now
	at := phrase.When(!now.Time.Equal(was.Time), now.Time.UTC().Format(" 2 Jan 15:04"))
	if at != "" && entryName(now) == entryName(was) {
		at = " at " + phrase.Clock(now.Time)
	}
	news := phrase.When(now.Report != was.Report, " report "+cmp.Or(now.Report, "taken away")) +
		phrase.When(now.Name != was.Name, " name "+cmp.Or(now.Name, "taken away")) + at +
		phrase.When(now.Bird != was.Bird || now.LogName != was.LogName, " "+now.Bird) +
		phrase.When(now.OwnCall != was.OwnCall, " as "+now.OwnCall.String()) +
		phrase.When(!slices.Equal(now.OwnGrids, was.OwnGrids), " from "+phrase.Grids(now.OwnGrids)) +
		phrase.When(now.DialMHz != was.DialMHz, " on "+phrase.TrimMHz(now.DialMHz))
	return now.name() + cmp.Or(news, phrase.When(now.name() == was.name(), ", other details"))
}

// Pictures and calendars.

// SkyCaption goes with the sky picture of a pass.
func SkyCaption(p predict.Pass) string {
	return fmt.Sprintf("%s %s UTC, peak %s", layout.Clip(p.Name, 12), phrase.Span(p.AOS, p.LOS), peak(p))
}

// ReachCaption says when the grids wanted can be worked, a line each.
func ReachCaption(p Pass, wanted []parse.Grid) string {
	head := fmt.Sprintf("Whom %s reaches together with you, %s UTC", layout.Clip(p.Name, 12), phrase.Span(p.AOS, p.LOS))
	rows := phrase.Each(wanted, func(g parse.Grid) string {
		if w, ok := p.With(g); ok {
			return fmt.Sprintf("%-6s %s–%s", g, phrase.Clock(w.Start), phrase.Clock(w.End))
		}
		return fmt.Sprintf("%-6s never on this pass", g)
	})
	return phrase.Lined(layout.Hang(head), layout.TableRows(rows...))
}

// What is said of a map of the grids worked in a span: the newest ones, or that
// there are none; and of a span, beside the birds of the list, that is unknown.
var (
	WorkedCaption = phrase.InLines2(phrase.Whole, phrase.Grids, "Grids worked, %s. Newest: %s.")
	NothingWorked = phrase.InLines(phrase.Whole, "No grid worked, %s: there is nothing to draw yet.")
	UnknownSpan   = phrase.InLines2(phrase.Typed(20), phrase.Listed,
		"“%s”: I can draw /worked all, /worked year, /worked today or one bird: %s.")
)

// CalendarCaption goes with a calendar file of n passes.
func CalendarCaption(first predict.Pass, n int) string {
	return phrase.Sentence("%s for your calendar, first %s on %s UTC. Open it on the phone: it rings by itself.",
		phrase.NPasses(n), PassName(first), phrase.DayMonth(first.AOS))
}

// CalendarSummary is what a calendar shows of a pass at a glance.
func CalendarSummary(p Pass) string {
	return fmt.Sprintf("%s, peak %s, %s", p.Bird.Name, peak(p.Pass), p.way(" to "))
}

// CalendarEntry tells of a pass so that nothing else is needed to work it.
func CalendarEntry(p Pass, call parse.Callsign, loc *time.Location) string {
	read, _ := layout.Styled(phrase.Lined(
		ageLines(p),
		momentLines(p, loc),
		p.tuning(),
		timetable(p, p.AOS.Add(-time.Hour), thrift{}),
		slateLines(p, call, thrift{}),
	))
	return read
}

// Logs from elsewhere.

// Reading says how far a file is read.
func Reading(file string, done, of int64) string { return progress("Reading "+file, done, of) }

// IntoLog says how far contacts of a file are put into the log.
func IntoLog(done, of int64) string { return progress("Into the log", done, of) }

// OutOfLog says how far they are taken out again.
func OutOfLog(done, of int64) string { return progress("Out of the log", done, of) }

func progress(step string, done, of int64) string {
	return fmt.Sprintf("%s: %d %%", step, 100*done/max(of, 1))
}

// GoesOn says that the rest waits for the next day.
var GoesOn = phrase.InLines(phrase.Whole, "%s. That is enough for one day (200000 records): I go on at 00:00 UTC.")

// Added says how many contacts of a file are in the log now, and how many it had.
func Added(file string, moved, again int) string {
	return phrase.Paragraphs(fmt.Sprintf("In the log now: %s of %s, counted as handed over.", phrase.NContacts(moved), file),
		phrase.Some(again, "Left out: %d that the log has."))
}

// TakenOut says how many contacts of a file are out of the log again, ForeignLog
// that it is of another call than the operator's.
var (
	TakenOut   = phrase.InLines2(phrase.Whole, phrase.NContacts, "Out of the log again: %[2]s of %[1]s. They are still remembered.")
	ForeignLog = phrase.InLines2(phrase.Whole, phrase.Whole, "%s is the log of %s, and that isn't you. Nothing of it is read yet.")
)

// mostFaults is how many faults of a file a message shows.
const mostFaults = 2

// LogRead is what was in a file: records that could be read, those that were not
// known, those of them without the own call, broken ones, and the first faults.
type LogRead struct {
	Records, Fresh, Strange, Broken int
	Faults                          []string
}

// LogInFile says what was in a file.
func LogInFile(file string, r LogRead) string {
	if r.Records+r.Broken == 0 {
		return phrase.Sentence("No record in %s.", file)
	}
	lines := []string{fmt.Sprintf("%s: %s, %d new to me", file, phrase.Count(r.Records, "record"), r.Fresh), phrase.Some(r.Broken, "Broken and passed over: %d")}
	for _, f := range r.Faults[:min(len(r.Faults), r.Broken, mostFaults)] {
		lines = append(lines, "line "+layout.Clip(f, 3*layout.Columns-20))
	}
	return phrase.Paragraphs(append(lines,
		phrase.Some(max(r.Broken-mostFaults, 0), "and %d more"),
		phrase.Some(r.Strange, "Without own call, taken as yours: %d"),
		phrase.When(r.Fresh > 0, "Remembered: who was worked, and their grids. Your log stays as it is."))...)
}
