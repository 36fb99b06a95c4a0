package bot

import (
	"slices"
	"strings"
	"unicode/utf8"

	"skyslate/storage"
)

// textMore ends a text that had to be cut.
const textMore = "…"

// shaped is the last guard of what a phone shows at a glance: whatever names and
// words went into a text, it has textColumns and textLines. The caption of a file
// may be longer: what a file holds must stand beside it in full, and it is read
// at home.
func shaped(text string, op storage.Op) string {
	if op == storage.React {
		return text
	}
	var lines []string
	for line := range strings.SplitSeq(text, "\n") {
		lines = append(lines, narrowed(line)...)
	}
	if len(lines) > textLines && op != storage.File {
		lines = append(lines[:textLines-1:textLines-1], textMore)
	}
	return strings.Join(lines, "\n")
}

// mostPages is how many messages an answer takes at most: what is longer is cut.
const mostPages = 20

// paged breaks an answer into texts of which each fits on a phone, at least one.
func paged(text string) []string {
	var lines []string
	for line := range strings.SplitSeq(text, "\n") {
		lines = append(lines, narrowed(line)...)
	}
	if most := mostPages * textLines; len(lines) > most {
		lines = append(lines[:most-1:most-1], textMore)
	}
	var pages []string
	for page := range slices.Chunk(lines, textLines) {
		pages = append(pages, strings.Join(page, "\n"))
	}
	return pages
}

// broken breaks a line that must not be cut between words, the second and later
// ones indented.
func broken(line, indent string) []string {
	if utf8.RuneCountInString(line) <= textColumns {
		return []string{line}
	}
	return wrap(line, indent)
}

// narrowed breaks a line that is too wide between words, or within one that is
// wider than a line; what it was indented by stays.
func narrowed(line string) []string {
	if utf8.RuneCountInString(line) <= textColumns {
		return []string{line}
	}
	rest := strings.TrimLeft(line, " ")
	indent := line[:min(len(line)-len(rest), textColumns/2)]
	var lines []string
	for rest != "" {
		room := textColumns - len(indent)
		if utf8.RuneCountInString(rest) <= room {
			return append(lines, indent+rest)
		}
		head := string([]rune(rest)[:room+1])
		if i := strings.LastIndexByte(head, ' '); i > 0 {
			lines, rest = append(lines, indent+head[:i]), strings.TrimLeft(rest[i:], " ")
			continue
		}
		head = string([]rune(rest)[:room])
		lines, rest = append(lines, indent+head), rest[len(head):]
	}
	return lines
}
