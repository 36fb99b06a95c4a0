package telegram

import (
	"strings"
	"unicode/utf8"

	"github.com/go-telegram/bot/models"

	"skyslate/storage"
)

// Limits of the service, in code points.
const (
	maxText    = 4096
	maxCaption = 1024
)

// split cuts a text into parts that fit into a message each, at the end of a
// line where there is one.
func split(text string, most int) []string {
	var parts []string
	for utf8.RuneCountInString(text) > most {
		head := prefix(text, most)
		if i := strings.LastIndexByte(head, '\n'); i > 0 {
			head = head[:i]
		}
		parts = append(parts, head)
		text = strings.TrimPrefix(text[len(head):], "\n")
	}
	if text != "" || len(parts) == 0 {
		parts = append(parts, text)
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

// shorten cuts a text that can't be sent in parts, and shows it.
func shorten(text string, most int) string {
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return split(text, most-2)[0] + "\n…"
}

// shortLabel is the longest label, in code points, that still can be read in
// half of a narrow phone's width.
const shortLabel = 14

// inlineRows puts two buttons into a row where both labels are short. Rows that
// hold several already stay as they are.
func inlineRows(rows [][]storage.Button) [][]models.InlineKeyboardButton {
	var all [][]models.InlineKeyboardButton
	open := false // the last row is a single short button
	for _, row := range rows {
		short := len(row) == 1 && utf8.RuneCountInString(row[0].Label) <= shortLabel
		if short && open {
			all[len(all)-1] = append(all[len(all)-1], inlineButton(row[0]))
			open = false
			continue
		}
		var out []models.InlineKeyboardButton
		for _, b := range row {
			out = append(out, inlineButton(b))
		}
		if len(out) > 0 {
			all = append(all, out)
			open = short
		}
	}
	return all
}

func inlineButton(b storage.Button) models.InlineKeyboardButton {
	return models.InlineKeyboardButton{Text: b.Label, CallbackData: b.Data}
}

// labelPlace is on the button that shares the phone's location.
const labelPlace = "Share where I am"

// markup is what a post shows below itself: buttons, the button for the
// location, or that button taken away.
func markup(rows [][]storage.Button, keys storage.Keys) models.ReplyMarkup {
	if inline := inlineRows(rows); len(inline) > 0 {
		return &models.InlineKeyboardMarkup{InlineKeyboard: inline}
	}
	switch keys {
	case storage.KeysPlace:
		return &models.ReplyKeyboardMarkup{
			Keyboard:       [][]models.KeyboardButton{{{Text: labelPlace, RequestLocation: true}}},
			ResizeKeyboard: true, OneTimeKeyboard: true,
		}
	case storage.KeysGone:
		return &models.ReplyKeyboardRemove{RemoveKeyboard: true}
	}
	return nil
}
