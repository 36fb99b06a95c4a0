package telegram

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"strconv"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"skyslate/bot"
	"skyslate/bot/guests"
	"skyslate/bot/piece"
	"skyslate/bot/run"
	"skyslate/storage"
)

// Send brings one post out, to an operator who is let in, or told farewell, and has
// not blocked us: see [skyslate/bot/run.Transport].
func (t *Transport) Send(ctx context.Context, o bot.Outgoing) (string, error) {
	chat, err := strconv.ParseInt(string(o.Operator), 10, 64)
	switch {
	case err != nil:
		return "", &run.SendError{Fate: run.Never, Err: fmt.Errorf("operator %q is nobody on this service", o.Operator)}
	case t.guests.Gone(o.Operator):
		return "", &run.SendError{Fate: run.Unwanted, Err: errors.New("the operator has blocked the bot")}
	case !t.guests.Admits(o.Operator) && !o.Last:
		return "", &run.SendError{Fate: run.Unwanted, Err: errors.New("the operator is not let in any more")}
	}
	if wait := t.pace.wait(time.Now(), chat); wait > shortWait {
		return "", &run.SendError{Fate: run.Later, After: wait, Err: errTurn}
	}
	id, out := t.send(ctx, chat, o)
	if out.disposition == blocked {
		err := t.alter(func(_ *memory, d *guests.Draft) { d.Blocked(o.Operator) })
		if err != nil {
			t.log.Warn("that an operator has blocked the bot could not be stored",
				"operator", string(o.Operator), "err", err)
		}
	}
	return name(id), t.sendError(ctx, out)
}

// addressed puts the address that carries a code here in the place of the code.
func (t *Transport) addressed(o bot.Outgoing) bot.Outgoing {
	if o.Code != "" { // the last of the text: no span stands behind it
		o.Text = strings.Replace(o.Text, o.Code, t.link(o.Code), 1)
	}
	return o
}

// name is how a message is known outside: by its number here. 0 has none.
func name(id int) string {
	if id == 0 {
		return ""
	}
	return strconv.Itoa(id)
}

// numbered is the number of a message by its name; 0 of none.
func numbered(name string) int {
	n, _ := strconv.Atoi(name)
	return n
}

func (t *Transport) send(ctx context.Context, chat int64, o bot.Outgoing) (int, outcome) {
	switch o.Op {
	case storage.Edit:
		return t.edit(ctx, chat, o)
	case storage.React:
		return t.react(ctx, chat, o)
	case storage.File:
		return t.file(ctx, chat, o)
	}
	if o.Voice != "" {
		if id, out := t.voice(ctx, chat, o); out.disposition != hopeless {
			return id, out
		}
	}
	return t.say(ctx, chat, t.addressed(o))
}

// call makes one call of the library when the chat's turn has come, in the time
// that it may take. The result is set if it is done.
func call[P, R any](ctx context.Context, t *Transport, chat int64, within time.Duration, method func(context.Context, P) (R, error), params P) (result R, out outcome) {
	if err := t.pace.turn(ctx, chat); err != nil {
		return result, outcome{disposition: again, err: err}
	}
	ctx, cancel := context.WithTimeout(ctx, within)
	defer cancel()
	result, err := method(ctx, params)
	out = outcomeOf(err)
	switch {
	case out.disposition == done:
		t.pace.went()
	case out.after > 0:
		t.pace.tooSoon(time.Now(), chat, out.after)
	}
	return result, out
}

// post is a call that makes a message, of which it returns the id.
func post[P any](ctx context.Context, t *Transport, chat int64, within time.Duration, method func(context.Context, P) (*models.Message, error), params P) (id int, out outcome) {
	m, out := call(ctx, t, chat, within, method, params)
	if out.disposition == done {
		id = m.ID
	}
	return id, out
}

// textOf is the text of a post.
func textOf(o bot.Outgoing) piece.Text { return piece.Text{Text: o.Text, Spans: o.Spans} }

// say sends a text, in several messages if it is long. The first one answers,
// the last one carries the buttons and is the one that the post is known by.
func (t *Transport) say(ctx context.Context, chat int64, o bot.Outgoing) (id int, out outcome) {
	parts := textOf(o).Split(maxText)
	for i := t.sent(o); i < len(parts); i++ {
		p := tg.SendMessageParams{
			ChatID: chat, Text: parts[i].Text, Entities: entities(parts[i]), DisableNotification: o.Silent || i > 0, LinkPreviewOptions: noPreview,
		}
		if i == 0 {
			p.ReplyParameters = replyTo(o.ReplyTo)
		}
		if i == len(parts)-1 {
			p.ReplyMarkup = markup(o.Buttons, o.Keys)
		}
		if id, out = post(ctx, t, chat, callFor, t.bot.SendMessage, &p); out.disposition != done {
			if ctx.Err() == nil {
				t.keepSent(o, i)
			}
			return 0, out
		}
	}
	t.keepSent(o, 0)
	if o.Pin == storage.PinOn {
		// Without a sound. It is a convenience: where it fails, the message stands in
		// the chat all the same.
		_, pinned := call(ctx, t, chat, callFor, t.bot.PinChatMessage, &tg.PinChatMessageParams{
			ChatID: chat, MessageID: id, DisableNotification: true,
		})
		t.warn("a message could not be pinned", pinned)
	}
	return id, out
}

// partialSend is a text of which some messages are out.
type partialSend struct {
	text string
	sent int
}

func (t *Transport) sent(o bot.Outgoing) int {
	t.mu.Lock()
	defer t.mu.Unlock()
	if p := t.partialSends[o.Name]; p.text == o.Text {
		return p.sent
	}
	return 0
}

func (t *Transport) keepSent(o bot.Outgoing, sent int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.partialSends, o.Name)
	if sent > 0 {
		t.partialSends[o.Name] = partialSend{o.Text, sent}
	}
}

// forgetSends drops the partial sends of an operator who is forgotten.
func (t *Transport) forgetSends(op storage.OperatorID) {
	t.mu.Lock()
	defer t.mu.Unlock()
	maps.DeleteFunc(t.partialSends, func(name string, _ partialSend) bool {
		return strings.HasPrefix(name, string(op)+"/")
	})
}

var noPreview = &models.LinkPreviewOptions{IsDisabled: tg.True()}

func replyTo(name string) *models.ReplyParameters {
	if name == "" {
		return nil
	}
	return &models.ReplyParameters{MessageID: numbered(name), AllowSendingWithoutReply: true}
}

// warn logs a call that failed.
func (t *Transport) warn(message string, out outcome) {
	if out.disposition != done {
		t.log.Warn(message, "err", t.token.mask(out.err.Error()))
	}
}

// edit changes a message that is out. Where that can't be done, because the
// person removed it for instance, the text comes as a new one: it corrects
// something.
func (t *Transport) edit(ctx context.Context, chat int64, o bot.Outgoing) (int, outcome) {
	text := textOf(o).Shorten(maxText)
	p := tg.EditMessageTextParams{
		ChatID: chat, MessageID: numbered(o.Edits), Text: text.Text, Entities: entities(text), LinkPreviewOptions: noPreview,
	}
	if rows := inlineRows(o.Buttons); len(rows) > 0 {
		p.ReplyMarkup = &models.InlineKeyboardMarkup{InlineKeyboard: rows}
	}
	_, out := call(ctx, t, chat, callFor, t.bot.EditMessageText, &p)
	if out.disposition == otherwise {
		o.Silent = true
		return t.say(ctx, chat, o)
	}
	if out.disposition == done && o.Pin == storage.PinOff {
		_, unpinned := call(ctx, t, chat, callFor, t.bot.UnpinChatMessage, &tg.UnpinChatMessageParams{
			ChatID: chat, MessageID: p.MessageID,
		})
		t.warn("a message could not be unpinned", unpinned)
	}
	return p.MessageID, out
}

// react sets a sign on a message; where signs are refused it is said.
func (t *Transport) react(ctx context.Context, chat int64, o bot.Outgoing) (int, outcome) {
	p := tg.SetMessageReactionParams{ChatID: chat, MessageID: numbered(o.ReplyTo)}
	if o.Text != "" {
		p.Reaction = []models.ReactionType{{
			Type: models.ReactionTypeTypeEmoji, ReactionTypeEmoji: &models.ReactionTypeEmoji{Emoji: o.Text},
		}}
	}
	_, out := call(ctx, t, chat, callFor, t.bot.SetMessageReaction, &p)
	if out.disposition == otherwise && o.Text != "" {
		o.Silent = true
		_, out = t.say(ctx, chat, o)
	}
	return 0, out
}

// voice gives a voice message back by the service's own reference to it.
func (t *Transport) voice(ctx context.Context, chat int64, o bot.Outgoing) (int, outcome) {
	caption := textOf(o).Shorten(maxCaption)
	return post(ctx, t, chat, callFor, t.bot.SendVoice, &tg.SendVoiceParams{
		ChatID: chat, Voice: &models.InputFileString{Data: o.Voice},
		Caption: caption.Text, CaptionEntities: entities(caption), DisableNotification: o.Silent,
		ReplyParameters: replyTo(o.ReplyTo), ReplyMarkup: markup(o.Buttons, o.Keys),
	})
}

// file sends a picture so that the chat shows it, and any other file, or a picture
// that the service can't show, as a document.
func (t *Transport) file(ctx context.Context, chat int64, o bot.Outgoing) (int, outcome) {
	caption := textOf(o).Shorten(maxCaption)
	if strings.HasSuffix(o.FileName, ".png") {
		id, out := post(ctx, t, chat, uploadFor, t.bot.SendPhoto, &tg.SendPhotoParams{
			ChatID: chat, Photo: upload(o),
			Caption: caption.Text, CaptionEntities: entities(caption), DisableNotification: o.Silent,
			ReplyParameters: replyTo(o.ReplyTo), ReplyMarkup: markup(o.Buttons, o.Keys),
		})
		if out.disposition != hopeless {
			return id, out
		}
	}
	return post(ctx, t, chat, uploadFor, t.bot.SendDocument, &tg.SendDocumentParams{
		ChatID: chat, Document: upload(o),
		Caption: caption.Text, CaptionEntities: entities(caption), DisableNotification: o.Silent,
		ReplyParameters: replyTo(o.ReplyTo), ReplyMarkup: markup(o.Buttons, o.Keys),
	})
}

// upload is a file from its beginning: each try reads it anew.
func upload(o bot.Outgoing) *models.InputFileUpload {
	return &models.InputFileUpload{Filename: o.FileName, Data: bytes.NewReader(o.Body)}
}
