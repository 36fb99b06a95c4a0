package telegram

import (
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/go-telegram/bot/models"

	"skyslate/storage"
)

// Limits of the service, in code points.
const (
	maxText    = 4096
	maxCaption = 1024
)

// styledText is a text and what of it has a style, in order.
type styledText struct {
	text  string
	spans []storage.Span
}

// part is the part of a text between two bytes.
func (t styledText) part(start, end int) styledText {
	part := styledText{text: t.text[start:end]}
	for _, s := range t.spans {
		s.Start, s.End = max(s.Start, start)-start, min(s.End, end)-start
		if s.Start < s.End {
			part.spans = append(part.spans, s)
		}
	}
	return part
}

// entityTypes are the styles as the service names them.
var entityTypes = map[storage.Style]models.MessageEntityType{
	storage.Bold: models.MessageEntityTypeBold, storage.Table: models.MessageEntityTypePre,
}

// entities are the spans as the service takes them: it counts units of UTF-16.
func (t styledText) entities() []models.MessageEntity {
	var all []models.MessageEntity
	for _, s := range t.spans {
		if kind, ok := entityTypes[s.Style]; ok {
			all = append(all, models.MessageEntity{
				Type: kind, Offset: units(t.text[:s.Start]), Length: units(t.text[s.Start:s.End]),
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

// split cuts a text into parts that fit into a message each, at the end of a
// line where there is one.
func split(text string, spans []storage.Span, most int) []styledText {
	whole, start := styledText{text, spans}, 0
	var parts []styledText
	for utf8.RuneCountInString(text[start:]) > most {
		head := prefix(text[start:], most)
		if i := strings.LastIndexByte(head, '\n'); i > 0 {
			head = head[:i]
		}
		parts = append(parts, whole.part(start, start+len(head)))
		start += len(head)
		if strings.HasPrefix(text[start:], "\n") {
			start++
		}
	}
	if start < len(text) || len(parts) == 0 {
		parts = append(parts, whole.part(start, len(text)))
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
func shorten(text string, spans []storage.Span, most int) styledText {
	if utf8.RuneCountInString(text) <= most {
		return styledText{text, spans}
	}
	first := split(text, spans, most-2)[0]
	first.text += "\n…"
	return first
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
