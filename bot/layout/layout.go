// Package layout puts texts on a phone: it knows how much of one is read at a
// glance, and not a word of what is said.
//
//   - A phone at arm's length shows [Columns] columns and [Lines] lines without
//     scrolling. A text that stands alone and is edited is cut to that ([Fit]), an
//     answer takes as many messages as it needs ([Pages]), and the caption of a file
//     only has its lines broken ([Caption]). Whatever names and words went into a
//     text, it fits then.
//   - What has columns is a table, shown in letters of one width, of which a phone has
//     room for [TableColumns] in a line. Its lines, and those emphasised, begin with a
//     mark until they go out ([Styled]).
//   - Who makes a text breaks its lines before, so that they read well: [Wrap], [Hang]
//     and what stands beside them. These give lines, to be counted and joined.
package layout

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// What a phone shows at arm's length without scrolling or breaking lines, and how
// many letters of one width it shows in a line. The latter from memory.
const (
	Columns      = 38
	Lines        = 15
	TableColumns = 30
)

// MostPages is how many messages an answer takes at most: what is longer is cut.
const MostPages = 20

// more ends a text that had to be cut.
const more = "…"

// Fit cuts a text to Columns and Lines, and shows that it did.
func Fit(text string) string {
	return strings.Join(cut(Narrow(strings.Split(text, "\n")...), Lines), "\n")
}

// Caption breaks the lines of a file's caption, which may have more of them: what a
// file holds must stand beside it in full, and it is read at home.
func Caption(text string) string { return strings.Join(Narrow(strings.Split(text, "\n")...), "\n") }

// Pages breaks an answer into texts of which each fits on a phone, at least one: between
// blocks, or sentences, where there is such a place in the lower half of a page.
func Pages(text string) []string {
	lines := Narrow(strings.Split(text, "\n")...)
	var pages []string
	for len(lines) > Lines && len(pages) < MostPages-1 {
		n := Lines
		for n > Lines/2 && !ends(lines[n-1], lines[n]) {
			n--
		}
		if n == Lines/2 {
			n = Lines
		}
		pages, lines = append(pages, strings.Join(lines[:n], "\n")), lines[n:]
	}
	return append(pages, strings.Join(cut(lines, Lines), "\n"))
}

// ends reports whether a block, or a sentence, ends with a line: the next one is of
// another style, a row of a table, or begins where there was room before it.
func ends(line, next string) bool {
	mark, text := markOf(line)
	nextMark, nextText := markOf(next)
	word, _, _ := strings.Cut(nextText, " ")
	switch {
	case strings.HasSuffix(text, ":"), strings.HasPrefix(nextText, " ") && !numbered.MatchString(nextText):
		return false
	case mark != nextMark || lineStyles[mark].columns == TableColumns:
		return true
	}
	return strings.HasSuffix(text, ".") || Fits(text+" "+word)
}

// numbered are rows that begin with a number.
var numbered = regexp.MustCompile(`^ \d `)

// Group puts blocks of lines onto pages, none of them on two. A page has room for so
// many lines, or for one block that has more.
func Group(blocks [][]string, room int) (pages [][][]string) {
	left := 0
	for _, block := range blocks {
		if len(pages) == 0 || len(block) > left {
			pages = append(pages, nil)
			left = room
		}
		last := &pages[len(pages)-1]
		*last = append(*last, block)
		left -= len(block)
	}
	return pages
}

// FirstFit is a text said in the first of the ways in which it fits on a phone, or in
// the last.
func FirstFit[T any](ways []T, say func(T) []string) string {
	var lines []string
	for _, way := range ways {
		if lines = say(way); len(lines) <= Lines {
			break
		}
	}
	return strings.Join(lines, "\n")
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
func Short(s string, width int) string { return Clip(strings.Join(strings.Fields(s), " "), width) }

// Line cuts a text to one line.
func Line(s string) string { return Clip(s, Columns) }

// Clip cuts a text to a width and shows that it did.
func Clip(s string, width int) string {
	if utf8.RuneCountInString(s) <= width {
		return s
	}
	return string([]rune(s)[:max(width-1, 0)]) + more
}
