// Package phrase puts texts together: sentences around what they name, lists and counts,
// moments, angles and lengths as they are said. It knows no subject.
package phrase

import (
	"fmt"
	"slices"
	"strings"

	"skyslate/bot/layout"
)

// Sentence fills in a sentence and breaks it into lines.
func Sentence(format string, args ...any) string { return Paragraph(fmt.Sprintf(format, args...)) }

// A text of one thing or two is a row in a table of texts: how each is named, and the
// sentence around the names.

// InLine leaves a text of one thing in one line, such as a button's.
func InLine[T any](name func(T) string, format string) func(T) string {
	return func(x T) string { return fmt.Sprintf(format, name(x)) }
}

// InLine2 leaves a text of two things in one line.
func InLine2[T, U any](first func(T) string, second func(U) string, format string) func(T, U) string {
	return func(x T, y U) string { return fmt.Sprintf(format, first(x), second(y)) }
}

// InLines breaks a text of one thing into lines.
func InLines[T any](name func(T) string, format string) func(T) string {
	return func(x T) string { return Sentence(format, name(x)) }
}

// InLines2 breaks a text of two things into lines.
func InLines2[T, U any](first func(T) string, second func(U) string, format string) func(T, U) string {
	return func(x T, y U) string { return Sentence(format, first(x), second(y)) }
}

// Whole is a name as it is.
func Whole(s string) string { return s }

// Typed quotes what was typed in so many characters.
func Typed(width int) func(string) string {
	return func(s string) string { return layout.Short(s, width) }
}

// Lined puts lines one below the other.
func Lined(parts ...[]string) string { return strings.Join(slices.Concat(parts...), "\n") }

// Paragraph breaks a text into lines.
func Paragraph(text string) string { return strings.Join(layout.Wrap(text), "\n") }

// Paragraphs are texts one below the other, their later lines indented.
func Paragraphs(texts ...string) string { return strings.Join(layout.Hang(texts...), "\n") }

// Led is a text behind what leads to it; there is neither without the text.
func Led(lead, text string) string {
	if text == "" {
		return ""
	}
	return lead + text
}

// Some fills in a number; of none nothing is said.
func Some(n int, format string) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(format, n)
}

// When is a text where something holds.
func When(holds bool, text string) string {
	if !holds {
		return ""
	}
	return text
}

// Each is what a function makes of each of a list.
func Each[T, U any](all []T, of func(T) U) []U {
	var made []U
	for _, x := range all {
		made = append(made, of(x))
	}
	return made
}

// Footed puts texts below lines, those that there are.
func Footed(lines []string, feet ...string) []string {
	for _, foot := range feet {
		if foot != "" {
			lines = append(lines, strings.Split(foot, "\n")...)
		}
	}
	return lines
}
