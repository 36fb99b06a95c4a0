package layout

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// Wrap breaks a text between words into lines. A single word that is wider stays
// whole: it is broken when the text goes out.
func Wrap(text string) []string { return wrap(text, "") }

// Hang wraps texts one below the other, their later lines indented. An empty text has
// no line.
func Hang(texts ...string) []string {
	var lines []string
	for _, text := range texts {
		if text != "" {
			lines = append(lines, wrap(text, "  ")...)
		}
	}
	return lines
}

// Break hangs a line by an indent of its own; where it fits, its blanks stay as they are.
func Break(line, indent string) []string {
	if Fits(line) {
		return []string{line}
	}
	return wrap(line, indent)
}

// Fits reports whether a line needs no breaking.
func Fits(line string) bool { return utf8.RuneCountInString(line) <= Columns }

// units stay with their numbers.
var units = []string{"s", "min", "h", "km", "kHz", "MHz"}

// unbroken are the words of a text, a number and its unit as one.
func unbroken(s string) (words []string) {
	for word := range strings.FieldsSeq(s) {
		n := len(words)
		unit := slices.Contains(units, strings.TrimRight(word, ".,;:!?)"))
		if unit && n > 0 && strings.LastIndexAny(words[n-1], "0123456789") == len(words[n-1])-1 {
			words[n-1] += " " + word
			continue
		}
		words = append(words, word)
	}
	return words
}

func wrap(s, indent string) []string {
	var lines []string
	line := ""
	for _, word := range unbroken(s) {
		switch {
		case line == "":
			line = word
		case Fits(line + " " + word):
			line += " " + word
		default:
			lines = append(lines, line)
			line = indent + word
		}
	}
	return append(lines, line)
}

// Two gives a list two lines; if that is too few, the second is the rest.
func Two(text, rest string) []string {
	lines := Hang(text)
	if len(lines) > 2 {
		return []string{lines[0], rest}
	}
	return lines
}

// FirstLine is a line said with so many things or, until it fits, with fewer; with none
// there is none.
func FirstLine(most int, say func(n int) string) string {
	line := ""
	for n := most; n > 0; n-- {
		if line = say(n); Fits(line) {
			return line
		}
	}
	return Line(line)
}

// Behind puts a state behind what it is of or, where it would be broken and no more room
// is taken by that, into a line of its own; into breaks lines.
func Behind(text, state string, into func(lines ...string) []string) []string {
	if state == "" {
		return into(text)
	}
	joined, apart := into(text+", "+state), into(text, "  "+state)
	if len(joined) > 1 && len(apart) <= len(joined) {
		return apart
	}
	return joined
}

// Enumerate puts items behind a head, and one behind the other, into lines that break
// none of them.
func Enumerate(head string, items []string) []string {
	lines := []string{head}
	for i, item := range items {
		last := &lines[len(lines)-1]
		joined := *last + " " + item
		if i > 0 {
			joined = *last + ", " + item
		}
		if Fits(joined) {
			*last = joined
		} else {
			lines = append(lines, "  "+item)
		}
	}
	return lines
}

// Column writes the names of a list's things in one width: that of the widest, but at
// most so much.
func Column[T any](all []T, most int, name func(T) string) func(T) string {
	width := 0
	for _, x := range all {
		width = max(width, utf8.RuneCountInString(name(x)))
	}
	width = min(width, most)
	return func(x T) string { return fmt.Sprintf("%-*s", width, Clip(name(x), width)) }
}

// ByDay is a table: a row for each of a list, and above those of a day its date.
func ByDay[T any](all []T, moment func(T) time.Time, row func(T) string) []string {
	var rows []string
	date := ""
	for _, x := range all {
		if d := moment(x).UTC().Round(time.Second).Format("Mon 2 Jan"); d != date {
			date = d
			rows = append(rows, d)
		}
		rows = append(rows, row(x))
	}
	return TableRows(rows...)
}

// Narrow breaks lines that are too wide between words, or within one that is wider
// than a line; their marks and what they were indented by stay.
func Narrow(lines ...string) []string {
	var all []string
	for _, line := range lines {
		all = append(all, narrowed(line)...)
	}
	return all
}

func narrowed(line string) []string {
	mark, rest := markOf(line)
	width := lineStyles[mark].columns
	if utf8.RuneCountInString(rest) <= width {
		return []string{line}
	}
	blanks := len(rest) - len(strings.TrimLeft(rest, " "))
	indent, rest := rest[:min(blanks, width/2)], rest[blanks:]
	width -= len(indent)
	var lines []string
	for utf8.RuneCountInString(rest) > width {
		head := string([]rune(rest)[:width+1])
		if i := strings.LastIndexByte(head, ' '); i > 0 {
			lines, rest = append(lines, mark+indent+head[:i]), strings.TrimLeft(rest[i:], " ")
			continue
		}
		head = string([]rune(rest)[:width])
		lines, rest = append(lines, mark+indent+head), rest[len(head):]
	}
	if rest != "" {
		lines = append(lines, mark+indent+rest)
	}
	return lines
}
