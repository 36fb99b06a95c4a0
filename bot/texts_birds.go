package bot

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/predict"
)

// birdsText lists the birds with how to get through them and what is known of
// their state. It may be long; it keeps to the columns.
func birdsText(s *Sky, now time.Time) string {
	var lines []string
	for _, b := range s.Birds() {
		e, known := s.Elements(b.Catalog)
		lines = append(lines, wrap(birdSummary(b)+" "+elementsNote(e, known, now), "  ")...)
	}
	if orphans := s.Orphans(); len(orphans) > 0 {
		var names []string
		for _, e := range orphans {
			names = append(names, fmt.Sprintf("%s (%d)", e.Name, e.Catalog))
		}
		lines = append(lines, wrap("Elements of no bird here: "+strings.Join(names, ", "), "  ")...)
	}
	if len(lines) == 0 {
		return "No birds are known here."
	}
	return strings.Join(lines, "\n")
}

// birdSummary is one bird in a sentence or two.
func birdSummary(b predict.Bird) string {
	tuning := strings.Join(tuningLines(radioOf(b)), ". ")
	return b.Name + ": " + strings.ToLower(tuning[:1]) + tuning[1:] + ". " + statusText(b.Status)
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

// refusalText tells an operator why there is no prediction and what to do; it
// is empty if err is not one of the sky's.
func refusalText(err error) string {
	var (
		none  *NoElementsError
		stale *StaleError
		unfit *predict.Refusal
	)
	text := ""
	switch {
	case errors.As(err, &none):
		text = fmt.Sprintf("No passes of %s: I have no elements for it. Send me a file with its elements.", none.Bird)
	case errors.As(err, &stale):
		text = fmt.Sprintf("No passes of %s: its elements are %d days off that time, and past %d they can't be trusted. "+
			"Send me a file with newer ones.", stale.Bird, wholeDays(stale.Age), wholeDays(stale.Max))
	case errors.As(err, &unfit):
		text = fmt.Sprintf("No passes of %s: its elements can't be used (%s). Send me a file with better ones.",
			unfit.Name, strings.TrimSuffix(unfit.Detail, "."))
	default:
		return ""
	}
	return strings.Join(wrap(text, ""), "\n")
}
