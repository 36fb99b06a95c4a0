package say

import (
	"fmt"
	"slices"
	"strings"

	"skyslate/bot/layout"
)

// sentence fills in a sentence and breaks it into lines.
func sentence(format string, args ...any) string { return paragraph(fmt.Sprintf(format, args...)) }

// A text of one thing or two is a row in a table of texts: how each is named, and
// the sentence around the names. inLine leaves it in one line, such as a button's,
// inLines breaks it.

func inLine[T any](name func(T) string, format string) func(T) string {
	return func(x T) string { return fmt.Sprintf(format, name(x)) }
}

func inLine2[T, U any](first func(T) string, second func(U) string, format string) func(T, U) string {
	return func(x T, y U) string { return fmt.Sprintf(format, first(x), second(y)) }
}

func inLines[T any](name func(T) string, format string) func(T) string {
	return func(x T) string { return sentence(format, name(x)) }
}

func inLines2[T, U any](first func(T) string, second func(U) string, format string) func(T, U) string {
	return func(x T, y U) string { return sentence(format, first(x), second(y)) }
}

// whole is a name as it is.
func whole(s string) string { return s }

// typed quotes what was typed in so many characters.
func typed(width int) func(string) string {
	return func(s string) string { return layout.Short(s, width) }
}

// lined puts lines one below the other.
func lined(parts ...[]string) string { return strings.Join(slices.Concat(parts...), "\n") }

func paragraph(text string) string { return strings.Join(layout.Wrap(text), "\n") }

// paragraphs are texts one below the other, their later lines indented.
func paragraphs(texts ...string) string { return strings.Join(layout.Hang(texts...), "\n") }

// led is a text behind what leads to it; there is neither without the text.
func led(lead, text string) string {
	if text == "" {
		return ""
	}
	return lead + text
}

// some fills in a number; of none nothing is said.
func some(n int, format string) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(format, n)
}

// when is a text where something holds.
func when(holds bool, text string) string {
	if !holds {
		return ""
	}
	return text
}

// each is what a function makes of each of a list.
func each[T, U any](all []T, of func(T) U) []U {
	var made []U
	for _, x := range all {
		made = append(made, of(x))
	}
	return made
}

// filter is the part of a list that something holds of.
func filter[T any](all []T, holds func(T) bool) []T {
	return slices.DeleteFunc(slices.Clone(all), func(x T) bool { return !holds(x) })
}

// footed puts texts below lines, those that there are.
func footed(lines []string, feet ...string) []string {
	for _, foot := range feet {
		if foot != "" {
			lines = append(lines, strings.Split(foot, "\n")...)
		}
	}
	return lines
}
