// Package lineage follows the lines of a message through its edits: each keeps its
// number while it lives. It is pure, and knows nothing of what lines say.
package lineage

import (
	"slices"
	"strings"
)

// A Line is a line of a message as it stands, with the number it keeps when it moves.
type Line struct {
	Number int // from 1
	Text   string
}

// A Lineage is the lines of one message, as they stand and as they were. A line that
// comes back, in any order, is the line that it was: the lowest number that ever had its
// text. What is left takes the place of what it replaces, from the top.
type Lineage struct {
	Lines []Line
	texts [][]string // by number - 1: all that the line ever said
}

// Say takes the message's newest text.
func (l *Lineage) Say(text string) {
	said := strings.Split(text, "\n")
	for i := range said {
		said[i] = strings.TrimSuffix(said[i], "\r")
	}
	now := make([]Line, len(said))
	used := map[int]bool{}
	for i, s := range said {
		now[i].Text = s
		for n, had := range l.texts {
			if !used[n+1] && slices.Contains(had, s) {
				now[i].Number, used[n+1] = n+1, true
				break
			}
		}
	}
	var replaced []int
	for _, old := range l.Lines {
		if !used[old.Number] {
			replaced = append(replaced, old.Number)
		}
	}
	for i := range now {
		if now[i].Number != 0 {
			continue
		}
		if len(replaced) > 0 {
			now[i].Number, replaced = replaced[0], replaced[1:]
		} else {
			l.texts = append(l.texts, nil)
			now[i].Number = len(l.texts)
		}
		n := now[i].Number - 1
		l.texts[n] = append(l.texts[n], now[i].Text)
	}
	l.Lines = now
}
