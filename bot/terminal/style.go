package terminal

import (
	"slices"
	"strings"

	"skyslate/storage"
)

// styledLines are the lines of a text, each with a sign of its style: a row of a table
// stands behind a bar, and what is emphasised between asterisks.
func styledLines(text string, spans []storage.Span) []string {
	lines, at := strings.Split(text, "\n"), 0
	for i, line := range lines {
		in := func(s storage.Span) bool { return s.Start <= at && at < s.End }
		if n := slices.IndexFunc(spans, in); n >= 0 {
			lines[i] = signed(line, spans[n].Style)
		}
		at += len(line) + 1
	}
	return lines
}

func signed(line string, style storage.Style) string {
	switch style {
	case storage.Table:
		return "| " + line
	case storage.Bold:
		return "*" + line + "*"
	}
	return line
}
