package bot

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"skyslate/predict"
	"skyslate/storage"
)

const (
	textYoursAlone  = "Changed, for you alone:"
	textSharedAgain = "As everybody has it again:"
	textNeverHere   = "It never rises where you are."
	textBadBirdName = `A bird's name has 2 to 20 letters,
digits and hyphens, and is no call.
Nothing is changed.`
)

var textLongBirdNote = fmt.Sprintf("At most %d characters, please.\nNothing is changed.", longestBirdNote)

// birdsText lists the birds, a row each: the frequencies of the pair, the tone or
// mode, and what stands in the way, if anything, at the operator's place if known.
func birdsText(s *Sky, op storage.Operator, changes []ownBird, now time.Time) string {
	birds := s.Birds()
	if len(birds) == 0 {
		return "No birds are known here."
	}
	width := 0
	for _, b := range birds {
		width = max(width, utf8.RuneCountInString(b.Name))
	}
	lines := []string{"Up/down MHz, tone or mode, state:"}
	for _, b := range birds {
		lines = append(lines, birdRow(s, b, min(width, 9), op, now))
	}
	lines = append(lines, birdsFoot(s, changes)...)
	return strings.Join(append(lines, wrap("Check before you transmit. More of one: /birds "+birds[0].Name, "  ")...), "\n")
}

// birdsFoot says what is the operator's own in the list, and which elements
// belong to no bird of it.
func birdsFoot(s *Sky, changes []ownBird) []string {
	var lines []string
	names, gone := ownNames(s, changes)
	if len(names) > 0 {
		lines = append(lines, clip("Changed by you: "+strings.Join(names, ", "), textColumns))
	}
	if len(gone) > 0 {
		lines = append(lines, clip("Removed by you: "+strings.Join(gone, ", "), textColumns))
	}
	if orphans := s.Orphans(); len(orphans) > 0 {
		var names []string
		for _, e := range orphans {
			names = append(names, orphanName(e))
		}
		also := wrap("Elements of no bird here: "+strings.Join(names, ", "), "  ")
		if len(also) > 2 {
			also = append(also[:1], fmt.Sprintf("  and others, %d in all", len(orphans)))
		}
		lines = append(lines, also...)
	}
	return lines
}

// leastName is what is left of a name at least where a row is tight.
const leastName = 5

// birdRow is one bird in a line: what can't be used says so, what is not always
// on is marked.
func birdRow(s *Sky, b predict.Bird, width int, op storage.Operator, now time.Time) string {
	t := radioOf(b)
	access := modeOf(t)
	if t.Kind == predict.FM {
		access = shortTone(t.ToneHz)
	}
	rest := fmt.Sprintf(" %s %s %s", pair(t, rasterOf(op.Radio)), access, stateWord(s, b, op.Place, now))
	width = max(leastName, min(width, textColumns-utf8.RuneCountInString(rest)))
	name := clip(b.Name, width)
	name += strings.Repeat(" ", width-utf8.RuneCountInString(name))
	return clip(name+rest, textColumns)
}

func stateWord(s *Sky, b predict.Bird, place storage.Place, now time.Time) string {
	e, known := s.Elements(b.Catalog)
	switch {
	case !known:
		return "no orbit"
	case len(place.Grids) > 0 && !e.EverRises(siteOf(place)):
		return "never up"
	case e.Age(now) > predict.MaxAge:
		return "old orbit"
	case !b.Status.On:
		return "see note"
	}
	return "on"
}

// badBirdText says what could not be read in a change of a bird.
func badBirdText(e *predict.InputError) string {
	return strings.Join(wrap(fmt.Sprintf("I found %s, expected %s. Nothing is changed.", noteText(e.Found, 24), e.Expected), ""), "\n")
}

func removedBirdText(name string, shared bool) string {
	text := name + " is off your list."
	if shared {
		text += " /birds " + name + " shared brings it back."
	}
	return strings.Join(wrap(text, ""), "\n")
}

// birdUsage shows how a bird is changed.
func birdUsage() error {
	return sayable(`A bird is changed for you alone by
/birds NAME and one of
  pair 145.850/435.400
  pair 145.9-146/435.8-435.9 inverting
  tone 67 · tone none · switch 74.4
  on WORDS · off WORDS · note WORDS
  log NAME (its name in the log)
  remove · shared
Another one:
/birds add NAME NUMBER UP/DOWN tone 67
All as everybody has it: /birds shared`)
}

// fitted cuts a text to what a phone shows, and shows that it did.
func fitted(text string) string { return shaped(text, storage.Send) }

// neverText names birds that never rise at the operator's place.
func neverText(birds []string) string {
	if len(birds) == 0 {
		return ""
	}
	return strings.Join(wrap("Never above your horizon: "+someNames(birds), "  "), "\n")
}

// statusText says in words whether a bird can be used, with the date and the
// source of that knowledge.
func statusText(s predict.Status) string {
	text := strings.TrimSuffix(s.Text, ".")
	if text == "" {
		text = "state not known"
		if s.On {
			text = "known to be on"
		}
	}
	var origin []string
	if !s.Date.IsZero() {
		origin = append(origin, s.Date.UTC().Format("2 Jan 2006"))
	}
	if s.Source != "" {
		origin = append(origin, s.Source)
	}
	if len(origin) > 0 {
		text += " (" + strings.Join(origin, ", ") + ")"
	}
	return upperFirst(text) + "."
}

// saidState is the state of a bird as an operator says it: on or off, and in which
// words.
func saidState(verb, words string) string {
	if words == "" {
		return verb
	}
	return verb + ", " + words
}

// elementsNote says what stands in the way of predicting a bird, if anything.
func elementsNote(e predict.Elements, known bool, now time.Time) string {
	if !known {
		return "No elements yet, so no passes."
	}
	switch age := e.Age(now); {
	case age > predict.MaxAge:
		return fmt.Sprintf("Elements %d days old, so no passes.", wholeDays(age))
	case age > predict.WarnAge:
		return fmt.Sprintf("Elements %d days old.", wholeDays(age))
	}
	return ""
}

// birdText is all that is known of one bird.
func birdText(b predict.Bird, e predict.Elements, known bool, stepKHz float64, now time.Time) string {
	lines := wrap(fmt.Sprintf("%s, catalog number %d", b.Name, b.Catalog), "  ")
	add := func(label, text string) {
		if text != "" {
			lines = append(lines, wrap(label+text, "  ")...)
		}
	}
	if b.LogName != b.Name {
		add("In the log: ", b.LogName)
	}
	add("Also called: ", strings.Join(otherNames(b), ", "))
	for _, t := range b.Transponders {
		lines = append(lines, tuningLines(t, stepKHz)...)
	}
	add("", statusText(b.Status))
	add("Note: ", b.Notes)
	add("Frequencies: ", b.Source)
	if known {
		add("Elements of ", fmt.Sprintf("%s UTC (%d days)", e.Epoch.UTC().Format("2 Jan 2006 15:04"), wholeDays(e.Age(now))))
	}
	add("", elementsNote(e, known, now))
	return strings.Join(lines, "\n")
}

// otherNames are the aliases that are more than another way to write a name told
// already.
func otherNames(b predict.Bird) []string {
	return slices.DeleteFunc(slices.Clone(b.Aliases), func(s string) bool {
		return plainName(s) == plainName(b.Name) || plainName(s) == plainName(b.LogName)
	})
}

// refusalsText tells an operator why some birds have no passes and what to do,
// in a sentence for each reason; it is empty if nothing was refused.
func refusalsText(errs []error) string {
	var none, old, unfit []string
	var age, most time.Duration
	var detail string
	for _, err := range errs {
		var (
			missing *NoElementsError
			stale   *StaleError
			refusal *predict.Refusal
		)
		switch {
		case errors.As(err, &missing):
			none = append(none, missing.Bird)
		case errors.As(err, &stale):
			old = append(old, stale.Bird)
			age, most = max(age, stale.Age), stale.Max
		case errors.As(err, &refusal):
			unfit = append(unfit, refusal.Name)
			detail = strings.TrimSuffix(refusal.Detail, ".")
		}
	}
	var lines []string
	say := func(birds []string, why string) {
		if len(birds) > 0 {
			lines = append(lines, wrap("No passes of "+someNames(birds)+": "+why, "")...)
		}
	}
	say(none, "I have no elements. Send me a file with them.")
	say(old, fmt.Sprintf("the elements are %d days off that time, and past %d they can't be trusted. Send me a file with newer ones.",
		wholeDays(age), wholeDays(most)))
	if len(old) > 0 {
		lines = append(lines, "All the same: /passes stale")
	}
	say(unfit, "the elements can't be used ("+detail+"). Send me a file with better ones.")
	return strings.Join(lines, "\n")
}
