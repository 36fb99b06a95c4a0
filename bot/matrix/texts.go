package matrix

import (
	"strings"

	"skyslate/storage"
)

// The sentences that this transport says by itself, beside package guests'.
const (
	roomName  = "Satellite logbook"
	roomTopic = "Your log of satellite passes. Not encrypted: whoever runs this server can read it."

	textOpen = `This room is not encrypted: whoever
runs your server, or mine, can read it.`
	textUninvited = "%s\ncould not be invited: the server says\n%s."
	labelNumbers  = "Tap or type a number:"
)

// numbered is a text with its buttons below, a line for each; data are what they stand
// for.
func numbered(text string, rows [][]storage.Button) string {
	labels := flat(rows)
	if len(labels) == 0 {
		return text
	}
	var b strings.Builder
	b.WriteString(text)
	b.WriteString("\n\n" + labelNumbers)
	for i, button := range labels {
		b.WriteString("\n" + sign(i) + " " + button.Label)
	}
	return b.String()
}

// flat are the buttons of all rows, in order.
func flat(rows [][]storage.Button) (all []storage.Button) {
	for _, row := range rows {
		all = append(all, row...)
	}
	return all
}
