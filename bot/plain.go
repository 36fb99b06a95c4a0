package bot

import (
	"slices"
	"strings"
	"unicode"

	"skyslate/storage"
)

// plain takes out of a text what is not to be seen: control characters, which
// steer a terminal, and those that turn the direction of writing, which make a
// text read as another. What was typed is quoted in what goes out; it is stored
// as it came.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r != '\n' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}

func plainLabels(rows [][]storage.Button) [][]storage.Button {
	rows = slices.Clone(rows)
	for i, row := range rows {
		rows[i] = slices.Clone(row)
		for j := range row {
			rows[i][j].Label = plain(row[j].Label)
		}
	}
	return rows
}
