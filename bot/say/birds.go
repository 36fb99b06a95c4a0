package say

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"skyslate/bot/layout"
	"skyslate/bot/lists"
	"skyslate/bot/phrase"
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
	LongBirdNote = phrase.InLine(strconv.Itoa, "At most %s characters, please.\nNothing is changed.")
	TooManyBirds = phrase.InLine(strconv.Itoa, "Your list has as many changes as I\nkeep (%s). /birds shared clears them.")
)

// UnknownBird refuses a name, and tells the names of the list.
var UnknownBird = phrase.InLines2(phrase.Typed(20), phrase.Listed, "I know no bird “%s”. I know %s.")

// ListedAlready refuses another bird of the same name or number.
func ListedAlready(b predict.Bird) string {
	return phrase.Sentence("%s or number %d is in your list already: /birds %s", b.Name, b.Catalog, b.Name)
}

// AddLabel is the button that adds a bird of which there are elements, AskPair asks for
// its frequencies then.
var (
	AddLabel = phrase.InLine(elementsName, "Add %s")
	AskPair  = phrase.InLines(OrphanName, "%s: which frequencies, up/down in MHz, and which tone? "+
		"Such as 145.850/435.400 tone 67.")
	AskUplink = phrase.InLines(OrphanName, "%s: which is the uplink?")
	PairLabel = phrase.InLine2(phrase.Whole, phrase.Whole, "Up %s, down %s")
)

// What is refused of frequencies, and of a bird to be added.
var (
	BadPair = phrase.InLines(phrase.Typed(20), "“%s”: I need two frequencies in MHz, up/down, and the tone if there is one, "+
		"such as 145.850/435.400 tone 67.")
	WhichUplink    = phrase.InLines2(phrase.Whole, phrase.Whole, "Which is the uplink? Say %s/%s, up/down, or the other way round.")
	NoSuchElements = phrase.InLines(phrase.Typed(20), "I have no elements of “%s”. Send me a file with them, or tell its catalog "+
		"number too: /birds add NAME NUMBER UP/DOWN tone 67")
)

// BadBird says what could not be read in a change of a bird.
func BadBird(e *predict.InputError) string {
	return phrase.Sentence("%s doesn't fit there: say %s. Nothing is changed.", layout.Short(e.Found, 24), e.Expected)
}

// RemovedBird says that a bird is off the list; a shared one can come back.
func RemovedBird(name string, shared bool) string {
	return phrase.Paragraph(name + " is off your list." + phrase.When(shared, " /birds "+name+" shared brings it back."))
}

// SaidState is the state of a bird in an operator's words.
func SaidState(verb, words string) string { return verb + phrase.Led(", ", words) }

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
		return layout.Line(phrase.Led(lead, strings.Join(names, ", ")))
	}
	lines := append([]string{"Up/down MHz, tone or mode:"}, birdRows(birds, stepKHz, now)...)
	lines = phrase.Footed(lines, list("Changed by you: ", notes.Changed), list("Removed by you: ", notes.Removed))
	if n := len(notes.Orphans); n > 0 {
		orphans := "To be had by /birds add NAME: " + strings.Join(notes.Orphans, ", ")
		lines = append(lines, layout.Two(orphans, fmt.Sprintf("  and others, %d in all", n))...)
	}
	return phrase.Lined(lines, layout.Hang("Check before you transmit. More of one: /birds "+birds[0].Name))
}

// birdRows are a table of birds by their state, a line each, or two for one of a long name or a
// fine raster.
func birdRows(birds []Bird, stepKHz float64, now time.Time) []string {
	var rows []string
	name := layout.Column(birds, 9, func(b Bird) string { return b.Name })
	for _, s := range states {
		of := lists.Filter(birds, func(b Bird) bool { return state(b, now) == s })
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
		phrase.When(b.LogName != b.Name, phrase.Led("In the log: ", b.LogName)),
		phrase.Led("Also called: ", strings.Join(b.Also, ", ")))
	for _, t := range b.Transponders {
		lines = append(lines, tuningLines(t, stepKHz)...)
	}
	elements := ""
	if e := b.Elements; e != nil {
		elements = "Elements of " + e.Epoch.UTC().Format("2 Jan 2006 15:04") + " UTC" +
			phrase.When(e.Age(now) >= phrase.Day, " ("+phrase.Count(phrase.WholeDays(e.Age(now)), "day")+")")
	}
	return phrase.Lined(lines, layout.Hang(status(b.Status), phrase.Led("Note: ", b.Notes), phrase.Led("Frequencies: ", b.Source),
		elements, elementsNote(b, now), phrase.When(b.NeverUp, "It never rises where you are.")))
}

// status says whether a bird can be used, and since when and whence that is known.
func status(s predict.Status) string {
	text := cmp.Or(strings.TrimSuffix(s.Text, "."), phrase.When(s.On, "known to be on"), "state not known")
	origin := phrase.When(!s.Date.IsZero(), ", "+s.Date.UTC().Format("2 Jan 2006")) + phrase.Led(", ", s.Source)
	if origin != "" {
		text += " (" + strings.TrimPrefix(origin, ", ") + ")"
	}
	return phrase.UpperFirst(text) + "."
}

// elementsNote says what stands in the way of predicting a bird, if anything.
func elementsNote(b Bird, now time.Time) string {
	if b.Elements == nil {
		return "No elements yet, so no passes."
	}
	switch age := b.Elements.Age(now); {
	case age > predict.MaxAge:
		return fmt.Sprintf("Elements %d days old, so no passes.", phrase.WholeDays(age))
	case age > predict.WarnAge:
		return fmt.Sprintf("Elements %d days old.", phrase.WholeDays(age))
	}
	return ""
}

// OrphanName names elements of no bird of the list.
func OrphanName(e predict.Elements) string { return fmt.Sprintf("%s (%d)", elementsName(e), e.Catalog) }

func elementsName(e predict.Elements) string { return predict.NamesIn(e.Name)[0] }

// NoElements says why there is nothing to use in a file, or in lines.
func NoElements(name string, problems []*predict.InputError) string {
	if len(problems) == 0 {
		return phrase.Sentence("I can read nothing in %s. I take elements of birds, as two lines or OMM.", layout.Short(name, 24))
	}
	return phrase.Sentence("No usable elements in it. %s", fault(problems[0]))
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
		faults = phrase.Paragraphs(fmt.Sprintf("Passed over: %s. The first: %s",
			phrase.Count(len(t.Faults), "fault"), fault(t.Faults[0])))
	}
	lines := layout.Hang(
		fmt.Sprintf("Elements read: %d", t.Sets)+phrase.Led(". Used, for you alone: ", phrase.Listed(t.Used)),
		phrase.Led("Older than those I have, not used: ", phrase.Listed(t.Older)),
		phrase.Led("Of no bird in your /birds: ", phrase.Listed(t.Orphans)),
		phrase.When(t.LeftOut > 0, leftOut))
	return phrase.Lined(phrase.Footed(lines, NeverUp(t.Never), Refusals(t.Refused), faults))
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
		return phrase.When(len(birds) > 0, phrase.Paragraph("No passes of "+phrase.Listed(birds)+": "+fmt.Sprintf(format, args...)))
	}
	old := "the elements are %d days off that time, and past %d they can't be trusted. Send me a file with newer ones."
	return phrase.Lined(phrase.Footed(nil,
		say(r.NoElements, "I have no elements. Send me a file with them%s.",
			phrase.When(r.All, ": two lines or OMM, not older than two weeks. celestrak.org has those of amateur birds")),
		phrase.When(len(r.NoElements) > 0 && len(r.Others) > 0, phrase.Sentence("The elements I have are of birds that your list lacks: %s. Add one: /birds add NAME",
			phrase.FirstN(phrase.Each(r.Others, OrphanName), 4))),
		say(r.Old, old, phrase.WholeDays(r.Age), phrase.WholeDays(r.Max)),
		phrase.When(len(r.Old) > 0, "All the same: /passes stale"),
		say(r.Unfit, "the elements can't be used (%s). Send me a file with better ones.", strings.TrimSuffix(r.Detail, "."))))
}

// NeverUp names birds that never rise at the operator's place, empty if there are none.
func NeverUp(birds []string) string {
	return phrase.Paragraphs(phrase.Led("Never above your horizon: ", phrase.Listed(birds)))
}

// OldElements warns in a list of passes: the worst have this age, and drift so much at AOS.
func OldElements(birds []string, age, drift time.Duration) string {
	return phrase.Paragraphs(fmt.Sprintf("Old elements (%d days, AOS ±%s): %s", phrase.WholeDays(age), phrase.Seconds(drift), phrase.Listed(birds)))
}
