// Package piece cuts the texts of posts where a messaging app takes no longer ones,
// with the spans that have a style. Lengths are code points.
package piece

import (
	"strings"
	"unicode/utf8"

	"skyslate/storage"
)

// Text is a text and what of it has a style, in order.
type Text struct {
	Text  string
	Spans []storage.Span
}

// part is the part of a text between two bytes.
func (t Text) part(start, end int) Text {
	part := Text{Text: t.Text[start:end]}
	for _, s := range t.Spans {
		s.Start, s.End = max(s.Start, start)-start, min(s.End, end)-start
		if s.Start < s.End {
			part.Spans = append(part.Spans, s)
		}
	}
	return part
}

// Split cuts a text into parts that fit into a message each, at the end of a
// line where there is one.
func (t Text) Split(most int) []Text {
	start := 0
	var parts []Text
	for utf8.RuneCountInString(t.Text[start:]) > most {
		head := prefix(t.Text[start:], most)
		if i := strings.LastIndexByte(head, '\n'); i > 0 {
			head = head[:i]
		}
		parts = append(parts, t.part(start, start+len(head)))
		start += len(head)
		if strings.HasPrefix(t.Text[start:], "\n") {
			start++
		}
	}
	if start < len(t.Text) || len(parts) == 0 {
		parts = append(parts, t.part(start, len(t.Text)))
	}
	return parts
}

// prefix is the first n code points.
func prefix(text string, n int) string {
	for i := range text {
		if n == 0 {
			return text[:i]
		}
		n--
	}
	return text
}

// Shorten cuts a text that can't be sent in parts, and shows it.
func (t Text) Shorten(most int) Text {
	if utf8.RuneCountInString(t.Text) <= most {
		return t
	}
	first := t.Split(most - 2)[0]
	first.Text += "\n…"
	return first
}
