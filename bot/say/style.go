package say

import (
	"strings"
	"time"
)

// TableColumns is how many letters of one width a phone shows in a line. From memory.
const TableColumns = 30

// A Span is a part of a text, in bytes, that is shown in a style.
type Span struct {
	Start, End int
	Style      Style
}

// Style is how a part of a text is shown.
type Style string

// The styles: emphasised, and in letters of one width, so that columns stand below
// each other. Posts are stored with these words.
const (
	Bold  Style = "bold"
	Table Style = "table"
)

// Until a text goes out, a line that has a style begins with its mark: a control
// character, of which none comes in by what is typed (see [Plain]).
const (
	boldMark  = "\x01"
	tableMark = "\x02"
)

var styles = map[string]Style{boldMark: Bold, tableMark: Table}

func bold(lines []string) []string { return marked(boldMark, lines) }

func table(lines []string) []string { return marked(tableMark, lines) }

func marked(mark string, lines []string) []string {
	return each(lines, func(line string) string { return mark + line })
}

// byDay is a row for each of a list, and above those of a day its date.
func byDay[T any](all []T, moment func(T) time.Time, row func(T) string) []string {
	var rows []string
	date := ""
	for _, x := range all {
		if d := moment(x).UTC().Round(time.Second).Format("Mon 2 Jan"); d != date {
			date = d
			rows = append(rows, d)
		}
		rows = append(rows, row(x))
	}
	return table(rows)
}

// markOf takes a line apart: its mark, empty if it has none, and what is read.
func markOf(line string) (mark, read string) {
	if line != "" && styles[line[:1]] != "" {
		return line[:1], line[1:]
	}
	return "", line
}

// columnsOf is how wide a line with a mark may be.
func columnsOf(mark string) int {
	if mark == tableMark {
		return TableColumns
	}
	return Columns
}

// Styled is a text as it is read, and where it is shown in which style. Lines of one
// style below each other are one span.
func Styled(text string) (read string, spans []Span) {
	var last Style // of the line above
	for i, line := range strings.Split(text, "\n") {
		mark, line := markOf(line)
		if i > 0 {
			read += "\n"
		}
		start := len(read)
		read += Plain(line)
		style := styles[mark]
		switch {
		case style != "" && style == last:
			spans[len(spans)-1].End = len(read)
		case style != "":
			spans = append(spans, Span{start, len(read), style})
		}
		last = style
	}
	return read, spans
}

// unstyled is a text as it is read where nothing has a style, as in a calendar.
func unstyled(text string) string {
	read, _ := Styled(text)
	return read
}
