package layout

import "strings"

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

// lineStyles are, by the mark of a line, its style and how wide it may be.
var lineStyles = map[string]struct {
	style   Style
	columns int
}{"": {"", Columns}, boldMark: {Bold, Columns}, tableMark: {Table, TableColumns}}

// BoldLines are lines that are emphasised.
func BoldLines(lines ...string) []string { return marked(boldMark, lines) }

// TableRows are the rows of a table.
func TableRows(rows ...string) []string { return marked(tableMark, rows) }

func marked(mark string, lines []string) []string {
	var all []string
	for _, line := range lines {
		all = append(all, mark+line)
	}
	return all
}

// markOf takes a line apart: its mark, empty if it has none, and what is read.
func markOf(line string) (mark, read string) {
	if line != "" && lineStyles[line[:1]].style != "" {
		return line[:1], line[1:]
	}
	return "", line
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
		style := lineStyles[mark].style
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
