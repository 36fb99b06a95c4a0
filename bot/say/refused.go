package say

import (
	"skyslate/bot/layout"
	"skyslate/bot/phrase"
)

// What is refused of calls, grids and commands.
var (
	BadCall = phrase.InLines(phrase.Typed(20), "“%s” is no call sign that I can read. A call has letters and a digit among them, "+
		"such as OX9QZT or OX9QZT/P.")
	BadGrid = phrase.InLines(phrase.Typed(20), "“%s” is no grid that I can read. A grid has two letters from A to R and two digits, "+
		"such as JO33, or two more letters, such as JO33ab.")
	BadGridLeft    = phrase.InLines(phrase.Typed(20), "“%s” is left out: I can't read it as a grid, or it touches none of the others.")
	UnknownCommand = phrase.InLines(phrase.Typed(20), "I know no /%s. /help shows what I know. Contacts need no command.")
)

// BadGrids refuses grids that no station stands in at once; unread are words that look
// like grids.
func BadGrids(text string, err error, unread string) string {
	return phrase.Sentence("“%s”: %v.%s", layout.Short(text, 20), err, phrase.When(unread != "", " And I can't read "+layout.Short(unread, 20)+"."))
}

// AskForget asks before everything is removed.
var AskForget = phrase.InLines(phrase.NContacts,
	"This removes your settings and %s from here for good. Take your log with /adif all first.")
