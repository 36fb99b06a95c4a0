package contact

import (
	"slices"
	"strings"
)

// numbered is a line of a message as it stands, with the number it keeps when it
// moves.
type numbered struct {
	number int
	text   string
}

// A lineage follows the lines of one message through its edits. A line that comes
// back, in any order, is the line that it was: the lowest number that ever had its
// text. What is left takes the place of what it replaces, from the top.
type lineage struct {
	texts [][]string // by number - 1: all that the line ever said
	now   []numbered
}

// say takes the message's newest text.
func (l *lineage) say(text string) {
	said := strings.Split(text, "\n")
	for i := range said {
		said[i] = strings.TrimSuffix(said[i], "\r")
	}
	now := make([]numbered, len(said))
	used := map[int]bool{}
	for i, s := range said {
		now[i].text = s
		for n, had := range l.texts {
			if !used[n+1] && slices.Contains(had, s) {
				now[i].number, used[n+1] = n+1, true
				break
			}
		}
	}
	var replaced []int
	for _, old := range l.now {
		if !used[old.number] {
			replaced = append(replaced, old.number)
		}
	}
	for i := range now {
		if now[i].number != 0 {
			continue
		}
		if len(replaced) > 0 {
			now[i].number, replaced = replaced[0], replaced[1:]
		} else {
			l.texts = append(l.texts, nil)
			now[i].number = len(l.texts)
		}
		n := now[i].number - 1
		l.texts[n] = append(l.texts[n], now[i].text)
	}
	l.now = now
}
