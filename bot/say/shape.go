package say

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// What a phone shows at arm's length without scrolling or breaking lines.
const (
	Columns = 38
	Lines   = 15
)

// MostPages is how many messages an answer takes at most: what is longer is cut.
const MostPages = 20

// more ends a text that had to be cut.
const more = "…"

// Fit cuts a text to what a phone shows, and shows that it did: whatever names and
// words went into it, it has Columns and Lines.
func Fit(text string) string { return strings.Join(cut(allNarrowed(text), Lines), "\n") }

// Narrow breaks the lines of a file's caption, which may have more of them: what a
// file holds must stand beside it in full, and it is read at home.
func Narrow(text string) string { return strings.Join(allNarrowed(text), "\n") }

// Pages breaks an answer into texts of which each fits on a phone, at least one.
func Pages(text string) []string {
	var pages []string
	for page := range slices.Chunk(cut(allNarrowed(text), MostPages*Lines), Lines) {
		pages = append(pages, strings.Join(page, "\n"))
	}
	return pages
}

// cut leaves so many lines, the last of which shows that some are missing.
func cut(lines []string, most int) []string {
	if len(lines) <= most {
		return lines
	}
	return append(lines[:most-1:most-1], more)
}

// Plain takes out of a text what is not to be seen: control characters, which
// steer a terminal, and those that turn the direction of writing, which make a
// text read as another. What was typed is quoted in what goes out; it is stored
// as it came.
func Plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r != '\n' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}

// Short is a text shortened for a line, without line breaks.
func Short(s string, width int) string { return clip(strings.Join(strings.Fields(s), " "), width) }

// clip cuts a text to a width and shows that it did.
func clip(s string, width int) string {
	if utf8.RuneCountInString(s) <= width {
		return s
	}
	return string([]rune(s)[:max(width-1, 0)]) + more
}

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
func typed(width int) func(string) string { return func(s string) string { return Short(s, width) } }

// lined puts lines one below the other.
func lined(parts ...[]string) string { return strings.Join(slices.Concat(parts...), "\n") }

func paragraph(text string) string { return strings.Join(wrap(text, ""), "\n") }

// paragraphs are texts one below the other, their later lines indented.
func paragraphs(texts ...string) string { return strings.Join(hung(texts...), "\n") }

// hung are the lines of paragraphs; an empty text has none.
func hung(texts ...string) []string {
	var lines []string
	for _, text := range texts {
		if text != "" {
			lines = append(lines, wrap(text, "  ")...)
		}
	}
	return lines
}

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

// wrap breaks a text between words into lines, the second and later ones indented.
// A single word that is wider stays whole.
func wrap(s, indent string) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(s) {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= Columns:
			line += " " + word
		default:
			lines = append(lines, line)
			line = indent + word
		}
	}
	return append(lines, line)
}

// broken is wrap for a line whose blanks stay as they are where it fits.
func broken(line, indent string) []string {
	if utf8.RuneCountInString(line) <= Columns {
		return []string{line}
	}
	return wrap(line, indent)
}

// unbroken is a line of which nothing may be cut, on as many lines as it takes.
func unbroken(line string) string { return strings.Join(broken(line, "   "), "\n") }

func allNarrowed(text string) []string {
	var lines []string
	for line := range strings.SplitSeq(text, "\n") {
		lines = append(lines, narrowed(line)...)
	}
	return lines
}

// narrowed breaks a line that is too wide between words, or within one that is
// wider than a line; its mark and what it was indented by stay.
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

// footed puts texts below lines, those that there are.
func footed(lines []string, feet ...string) []string {
	for _, foot := range feet {
		if foot != "" {
			lines = append(lines, strings.Split(foot, "\n")...)
		}
	}
	return lines
}
