package bot

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"skyslate/predict"
)

// birdsText lists the birds, a row each: the frequencies of the pair, the tone or
// mode, and what stands in the way, if anything.
func birdsText(s *Sky, now time.Time) string {
	var lines []string
	birds := s.Birds()
	width := 0
	for _, b := range birds {
		width = max(width, utf8.RuneCountInString(b.Name))
	}
	for _, b := range birds {
		e, known := s.Elements(b.Catalog)
		lines = append(lines, birdRow(b, min(width, 9), e, known, now))
	}
	if orphans := s.Orphans(); len(orphans) > 0 {
		var names []string
		for _, e := range orphans {
			names = append(names, fmt.Sprintf("%s (%d)", e.Name, e.Catalog))
		}
		also := wrap("Elements of no bird here: "+strings.Join(names, ", "), "  ")
		lines = append(lines, also[:min(len(also), 2)]...)
	}
	if len(lines) == 0 {
		return "No birds are known here."
	}
	lines = append([]string{"Up/down MHz, tone or mode, state:"}, lines...)
	return strings.Join(append(lines, wrap("Check before you transmit. More of one: /birds "+birds[0].Name, "  ")...), "\n")
}

// birdRow is one bird in a line: what can't be used says so, what is not always
// on is marked.
func birdRow(b predict.Bird, width int, e predict.Elements, known bool, now time.Time) string {
	t := radioOf(b)
	access := modeOf(t)
	if t.Kind == predict.FM {
		access = shortTone(t.ToneHz)
	}
	name := clip(b.Name, width)
	name += strings.Repeat(" ", width-utf8.RuneCountInString(name))
	state := "on"
	switch {
	case !known:
		state = "no orbit"
	case e.Age(now) > predict.MaxAge:
		state = "old orbit"
	case !b.Status.On:
		state = "see note"
	}
	return clip(fmt.Sprintf("%s %s %s %s", name, pair(t), access, state), textColumns)
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
func birdText(b predict.Bird, e predict.Elements, known bool, now time.Time) string {
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
		lines = append(lines, tuningLines(t)...)
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
			lines = append(lines, wrap("No passes of "+strings.Join(birds, ", ")+": "+why, "")...)
		}
	}
	say(none, "I have no elements. Send me a file with them.")
	say(old, fmt.Sprintf("the elements are %d days off that time, and past %d they can't be trusted. Send me a file with newer ones.",
		wholeDays(age), wholeDays(most)))
	say(unfit, "the elements can't be used ("+detail+"). Send me a file with better ones.")
	return strings.Join(lines, "\n")
}
