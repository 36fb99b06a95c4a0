// Package glossary explains the terms of the trade in a few plain words each. They
// stand in glossary.txt, a row each, with the names by which people ask for them.
package glossary

import (
	_ "embed"
	"strings"
)

//go:embed glossary.txt
var table string

// meanings are the sentences by the name of their row, names the rows by what they are
// called.
var meanings, names = read(table)

func read(text string) (meanings, names map[string]string) {
	meanings, names = map[string]string{}, map[string]string{}
	for line := range strings.Lines(text) {
		cells := strings.Split(strings.TrimSpace(line), "|")
		if len(cells) != 3 || strings.HasPrefix(line, "#") {
			continue
		}
		row := strings.TrimSpace(cells[0])
		meanings[row] = strings.TrimSpace(cells[2])
		for name := range strings.SplitSeq(cells[1], ",") {
			names[strings.TrimSpace(name)] = row
		}
	}
	delete(names, "")
	return meanings, names
}

// Find is the row of a term by one of its names, empty if there is none.
func Find(name string) string { return names[name] }

// Meaning are the sentences of a row, empty if there is none.
func Meaning(row string) string { return meanings[row] }
