package say

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"skyslate/bot/layout"
	"skyslate/predict"
)

// Birds and their elements.

// What is said of changes of the list of birds.
const (
	YoursAlone  = "Changed, for you alone:"
	SharedAgain = "As everybody has it again:"
	BadBirdName = `A bird's name has 2 to 20 letters,
digits and hyphens, and is no call.
Nothing is changed.`

	// AddedByYou is the state of a bird that the operator added.
	AddedByYou = "added by you"

	// BirdHow shows how a bird is changed.
	BirdHow = `A bird is changed for you alone by
/birds NAME and one of
  pair 145.850/435.400
  pair 145.9-146/435.8-435.9 inverting
  tone 67 · tone none · switch 74.4
  on WORDS · off WORDS · note WORDS
  log NAME (its name in the log)
  remove · shared
Another one, by any name it goes by:
/birds add NAME
If I have no elements of it:
/birds add NAME NUMBER UP/DOWN tone 67
All as everybody has it: /birds shared`

	FutureElements = "Those elements are dated more than a\nmonth ahead. I can't use them."
)

// What is refused because there is no room for it: so many are the most.
var (
	LongBirdNote = inLine(strconv.Itoa, "At most %s characters, please.\nNothing is changed.")
	TooManyBirds = inLine(strconv.Itoa, "Your list has as many changes as I\nkeep (%s). /birds shared clears them.")
)

// UnknownBird refuses a name, and tells the names of the list.
var UnknownBird = inLines2(typed(20), Listed, "I know no bird “%s”. I know %s.")

// ListedAlready refuses another bird of the same name or number.
func ListedAlready(b predict.Bird) string {
	return sentence("%s or number %d is in your list already: /birds %s", b.Name, b.Catalog, b.Name)
}

// AddLabel is the button that adds a bird of which there are elements, AskPair asks for
// its frequencies then.
var (
	AddLabel = inLine(elementsName, "Add %s")
	AskPair  = inLines(OrphanName, "%s: which frequencies, up/down in MHz, and which tone? "+
		"Such as 145.850/435.400 tone 67.")
	AskUplink = inLines(OrphanName, "%s: which is the uplink?")
	PairLabel = inLine2(whole, whole, "Up %s, down %s")
)

// What is refused of frequencies, and of a bird to be added.
var (
	BadPair = inLines(typed(20), "“%s”: I need two frequencies in MHz, up/down, and the tone if there is one, "+
		"such as 145.850/435.400 tone 67.")
	WhichUplink    = inLines2(whole, whole, "Which is the uplink? Say %s/%s, up/down, or the other way round.")
	NoSuchElements = inLines(typed(20), "I have no elements of “%s”. Send me a file with them, or tell its catalog "+
		"number too: /birds add NAME NUMBER UP/DOWN tone 67")
)

// BadBird says what could not be read in a change of a bird.
func BadBird(e *predict.InputError) string {
	return sentence("%s doesn't fit there: say %s. Nothing is changed.", layout.Short(e.Found, 24), e.Expected)
}

// RemovedBird says that a bird is off the list; a shared one can come back.
func RemovedBird(name string, shared bool) string {
	return paragraph(name + " is off your list." + when(shared, " /birds "+name+" shared brings it back."))
}

// SaidState is the state of a bird in an operator's words.
func SaidState(verb, words string) string { return verb + led(", ", words) }

// Bird is a bird of the list with what its passes are worked out from.
type Bird struct {
	predict.Bird
	Also     []string          // names that are more than another way to write the first
	Elements *predict.Elements // nil: none
	NeverUp  bool              // it never rises at the operator's place
}

// BirdNotes are birds changed or removed by the operator, and elements of no bird.
type BirdNotes struct{ Changed, Removed, Orphans []string }

// Birds lists the birds, a row each, frequencies in multiples of a step.
func Birds(birds []Bird, notes BirdNotes, stepKHz float64, now time.Time) string {
	if len(birds) == 0 {
		return "No birds are known here."
	}
	list := func(lead string, names []string) string {
		return layout.Line(led(lead, strings.Join(names, ", ")))
	}
	lines := append([]string{"Up/down MHz, tone or mode:"}, birdRows(birds, stepKHz, now)...)
	lines = footed(lines, list("Changed by you: ", notes.Changed), list("Removed by you: ", notes.Removed))
	if n := len(notes.Orphans); n > 0 {
		orphans := "To be had by /birds add NAME: " + strings.Join(notes.Orphans, ", ")
		lines = append(lines, layout.Two(orphans, fmt.Sprintf("  and others, %d in all", n))...)
	}
	return lined(lines, layout.Hang("Check before you transmit. More of one: /birds "+birds[0].Name))
}

// birdRows are a table of birds by their state, a line each, or two for one of a long name or a
// fine raster.
func birdRows(birds []Bird, stepKHz float64, now time.Time) []string {
	var rows []string
	name := layout.Column(birds, 9, func(b Bird) string { return b.Name })
	for _, s := range states {
		of := filter(birds, func(b Bird) bool { return state(b, now) == s })
		if len(of) > 0 {
			rows = append(rows, s+":")
		}
		for _, b := range of {
			t := transponder(b.Bird)
			rest := pair(t, stepKHz) + " " + access(t)
			if row := name(b) + " " + rest; utf8.RuneCountInString(row) <= layout.TableColumns {
				rows = append(rows, row)
				continue
			}
			rows = append(rows, b.Name, "  "+rest)
		}
	}
	return layout.TableRows(rows...)
}

// states are those of birds in the order in which they are listed.
var states = []string{stateOn, stateNoted, stateLacking, stateAged, stateNever}

const (
	stateOn, stateNoted, stateLacking = "On", "See its note", "No elements"
	stateAged, stateNever             = "Old elements", "Never up where you are"
)

func state(b Bird, now time.Time) string {
	switch {
	case b.Elements == nil:
		return stateLacking
	case b.NeverUp:
		return stateNever
	case b.Elements.Age(now) > predict.MaxAge:
		return stateAged
	case !b.Status.On:
		return stateNoted
	}
	return stateOn
}

// OneBird is all that is known of one bird.
func OneBird(b Bird, stepKHz float64, now time.Time) string {
	lines := layout.Hang(fmt.Sprintf("%s, catalog number %d", b.Name, b.Catalog),
		when(b.LogName != b.Name, led("In the log: ", b.LogName)),
		led("Also called: ", strings.Join(b.Also, ", ")))
	for _, t := range b.Transponders {
		lines = append(lines, tuningLines(t, stepKHz)...)
	}
	elements := ""
	if e := b.Elements; e != nil {
		elements = "Elements of " + e.Epoch.UTC().Format("2 Jan 2006 15:04") + " UTC" +
			when(e.Age(now) >= day, " ("+count(wholeDays(e.Age(now)), "day")+")")
	}
	return lined(lines, layout.Hang(status(b.Status), led("Note: ", b.Notes), led("Frequencies: ", b.Source),
		elements, elementsNote(b, now), when(b.NeverUp, "It never rises where you are.")))
}

// status says whether a bird can be used, and since when and whence that is known.
func status(s predict.Status) string {
	text := cmp.Or(strings.TrimSuffix(s.Text, "."), when(s.On, "known to be on"), "state not known")
	origin := when(!s.Date.IsZero(), ", "+s.Date.UTC().Format("2 Jan 2006")) + led(", ", s.Source)
	if origin != "" {
		text += " (" + strings.TrimPrefix(origin, ", ") + ")"
	}
	return upperFirst(text) + "."
}

// elementsNote says what stands in the way of predicting a bird, if anything.
func elementsNote(b Bird, now time.Time) string {
	if b.Elements == nil {
		return "No elements yet, so no passes."
	}
	switch age := b.Elements.Age(now); {
	case age > predict.MaxAge:
		return fmt.Sprintf("Elements %d days old, so no passes.", wholeDays(age))
	case age > predict.WarnAge:
		return fmt.Sprintf("Elements %d days old.", wholeDays(age))
	}
	return ""
}

// OrphanName names elements of no bird of the list.
func OrphanName(e predict.Elements) string { return fmt.Sprintf("%s (%d)", elementsName(e), e.Catalog) }

func elementsName(e predict.Elements) string { return predict.NamesIn(e.Name)[0] }

// NoElements says why there is nothing to use in a file, or in lines.
func NoElements(name string, problems []*predict.InputError) string {
	if len(problems) == 0 {
		return sentence("I can read nothing in %s. I take elements of birds, as two lines or OMM.", layout.Short(name, 24))
	}
	return sentence("No usable elements in it. %s", fault(problems[0]))
}

// fault says where something is wrong, and what.
func fault(e *predict.InputError) string {
	return fmt.Sprintf("Line %d, column %d: I found %s, expected %s.", e.Line, e.Column, layout.Short(e.Found, 24), e.Expected)
}

// Taken is what came of elements that were sent: how many sets were read, names of
// birds, how many sets had no room beside so many, and what was wrong.
type Taken struct {
	Sets                        int
	Used, Older, Orphans, Never []string
	LeftOut, Most               int
	Refused                     Refused
	Faults                      []*predict.InputError
}

// ElementsTaken says what came of elements that were sent.
func ElementsTaken(t Taken) string {
	leftOut := fmt.Sprintf("Left out: %d; %d sets are as many as I keep for you. Send fewer: those of your birds.",
		t.LeftOut, t.Most)
	faults := ""
	if len(t.Faults) > 0 {
		faults = paragraphs(fmt.Sprintf("Passed over: %s. The first: %s",
			count(len(t.Faults), "fault"), fault(t.Faults[0])))
	}
	lines := layout.Hang(
		fmt.Sprintf("Elements read: %d", t.Sets)+led(". Used, for you alone: ", Listed(t.Used)),
		led("Older than those I have, not used: ", Listed(t.Older)),
		led("Of no bird in your /birds: ", Listed(t.Orphans)),
		when(t.LeftOut > 0, leftOut))
	return lined(footed(lines, NeverUp(t.Never), Refusals(t.Refused), faults))
}

// Refused names the birds that can't be predicted, by reason: no elements, which may be
// All birds, old ones (the oldest off by Age, where Max is the most), and ones that can't
// be used because of a detail.
type Refused struct {
	NoElements, Old, Unfit []string
	All                    bool
	Others                 []predict.Elements // of birds that the list lacks
	Age, Max               time.Duration
	Detail                 string
}

// Refusals says why some birds have no passes and what to do, empty if none was refused.
func Refusals(r Refused) string {
	say := func(birds []string, format string, args ...any) string {
		return when(len(birds) > 0, paragraph("No passes of "+Listed(birds)+": "+fmt.Sprintf(format, args...)))
	}
	old := "the elements are %d days off that time, and past %d they can't be trusted. Send me a file with newer ones."
	return lined(footed(nil,
		say(r.NoElements, "I have no elements. Send me a file with them%s.",
			when(r.All, ": two lines or OMM, not older than two weeks. celestrak.org has those of amateur birds")),
		when(len(r.NoElements) > 0 && len(r.Others) > 0, sentence("The elements I have are of birds that your list lacks: %s. Add one: /birds add NAME",
			firstN(each(r.Others, OrphanName), 4))),
		say(r.Old, old, wholeDays(r.Age), wholeDays(r.Max)),
		when(len(r.Old) > 0, "All the same: /passes stale"),
		say(r.Unfit, "the elements can't be used (%s). Send me a file with better ones.", strings.TrimSuffix(r.Detail, "."))))
}

// NeverUp names birds that never rise at the operator's place, empty if there are none.
func NeverUp(birds []string) string {
	return paragraphs(led("Never above your horizon: ", Listed(birds)))
}

// OldElements warns in a list of passes: the worst have this age, and drift so much at AOS.
func OldElements(birds []string, age, drift time.Duration) string {
	return paragraphs(fmt.Sprintf("Old elements (%d days, AOS ±%s): %s", wholeDays(age), seconds(drift), Listed(birds)))
}
