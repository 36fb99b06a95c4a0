package bot

import (
	"fmt"
	"strings"

	"skyslate/predict"
)

// noElementsText says why there is nothing to use in a file, or in lines.
func noElementsText(name string, problems []*predict.InputError) string {
	if len(problems) == 0 {
		return strings.Join(wrap("I can read nothing in "+noteText(name, 24)+". I take elements of birds, as two lines or OMM.", ""), "\n")
	}
	lines := wrap("No usable elements in it. "+faultText(problems[0]), "")
	return strings.Join(lines, "\n")
}

// faultText says where something is wrong, and what.
func faultText(e *predict.InputError) string {
	return fmt.Sprintf("Line %d, column %d: I found %s, expected %s.", e.Line, e.Column, noteText(e.Found, 24), e.Expected)
}

// takenText says what came of elements that were sent.
func takenText(t taken) string {
	var lines []string
	say := func(text string) { lines = append(lines, wrap(text, "  ")...) }
	head := fmt.Sprintf("Elements read: %d", len(t.sets))
	if len(t.used) > 0 {
		head += ". Used, for you alone: " + someNames(t.used)
	}
	say(head)
	if len(t.older) > 0 {
		say("Older than those I have, not used: " + someNames(t.older))
	}
	if len(t.orphans) > 0 {
		var names []string
		for _, e := range t.orphans {
			names = append(names, orphanName(e))
		}
		say("Of no bird in your /birds: " + someNames(names))
	}
	if t.leftOut > 0 {
		say(fmt.Sprintf("Left out: %d; %d sets are as many as I keep for you. Send fewer: those of your birds.", t.leftOut, mostOwnSets))
	}
	if len(t.never) > 0 {
		say("Never above your horizon: " + someNames(t.never))
	}
	if len(t.refused) > 0 {
		lines = append(lines, strings.Split(refusalsText(t.refused), "\n")...)
	}
	if len(t.problems) > 0 {
		say(fmt.Sprintf("Passed over: %s. The first: %s", count(len(t.problems), "fault"), faultText(t.problems[0])))
	}
	return strings.Join(lines, "\n")
}

func orphanName(e predict.Elements) string { return fmt.Sprintf("%s (%d)", e.Name, e.Catalog) }

// someNames lists names, as many as a message has room for.
func someNames(names []string) string {
	const most = 8
	if len(names) > most {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
	}
	return strings.Join(names, ", ")
}
