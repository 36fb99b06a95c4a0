package telegram

import (
	"unicode/utf16"
	"unicode/utf8"

	"github.com/go-telegram/bot/models"

	"skyslate/bot/piece"
	"skyslate/storage"
)

// Limits of the service, in code points.
const (
	maxText    = 4096
	maxCaption = 1024
)

// entityTypes are the styles as the service names them.
var entityTypes = map[storage.Style]models.MessageEntityType{
	storage.Bold: models.MessageEntityTypeBold, storage.Table: models.MessageEntityTypePre,
}

// entities are the spans as the service takes them: it counts units of UTF-16.
func entities(t piece.Text) []models.MessageEntity {
	var all []models.MessageEntity
	for _, s := range t.Spans {
		if kind, ok := entityTypes[s.Style]; ok {
			all = append(all, models.MessageEntity{
				Type: kind, Offset: units(t.Text[:s.Start]), Length: units(t.Text[s.Start:s.End]),
			})
		}
	}
	return all
}

// units is how many units of UTF-16 a text has.
func units(text string) int {
	n := 0
	for _, r := range text {
		n += utf16.RuneLen(r)
	}
	return n
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
// location, a reply that is begun, or that button taken away.
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
	case storage.KeysReply:
		return &models.ForceReply{ForceReply: true}
	case storage.KeysGone:
		return &models.ReplyKeyboardRemove{RemoveKeyboard: true}
	}
	return nil
}
