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
func (t *Transport) Send(ctx context.Context, o bot.Outgoing, away func()) (string, error) {
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
	id, out := errand{t, chat, away}.send(ctx, o)
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

// errand is a send to a chat. away is called when nothing else sent keeps it waiting:
// see [run.Transport].
type errand struct {
	*Transport
	chat int64
	away func()
}

func (e errand) send(ctx context.Context, o bot.Outgoing) (int, outcome) {
	switch o.Op {
	case storage.Edit:
		return e.edit(ctx, o)
	case storage.React:
		return e.react(ctx, o)
	case storage.File:
		return e.file(ctx, o)
	}
	if o.Voice != "" {
		if id, out := e.voice(ctx, o); out.disposition != hopeless {
			return id, out
		}
	}
	return e.say(ctx, e.addressed(o))
}

// call makes one call of the library when the chat's turn has come, in the time
// that it may take. The result is set if it is done.
func call[P, R any](ctx context.Context, e errand, within time.Duration, method func(context.Context, P) (R, error), params P) (result R, out outcome) {
	if err := e.pace.turn(ctx, e.chat, e.away); err != nil {
		return result, outcome{disposition: again, err: err}
	}
	ctx, cancel := context.WithTimeout(ctx, within)
	defer cancel()
	result, err := method(ctx, params)
	out = outcomeOf(err)
	switch {
	case out.disposition == done:
		e.pace.went()
	case out.after > 0:
		e.pace.tooSoon(time.Now(), e.chat, out.after)
	}
	return result, out
}

// post is a call that makes a message, of which it returns the id.
func post[P any](ctx context.Context, e errand, within time.Duration, method func(context.Context, P) (*models.Message, error), params P) (id int, out outcome) {
	m, out := call(ctx, e, within, method, params)
	if out.disposition == done {
		id = m.ID
	}
	return id, out
}

// textOf is the text of a post.
func textOf(o bot.Outgoing) piece.Text { return piece.Text{Text: o.Text, Spans: o.Spans} }

// say sends a text, in several messages if it is long. The first one answers,
// the last one carries the buttons and is the one that the post is known by.
func (e errand) say(ctx context.Context, o bot.Outgoing) (id int, out outcome) {
	parts := textOf(o).Split(maxText)
	for i := e.sent(o); i < len(parts); i++ {
		p := tg.SendMessageParams{
			ChatID: e.chat, Text: parts[i].Text, Entities: entities(parts[i]), DisableNotification: o.Silent || i > 0, LinkPreviewOptions: noPreview,
		}
		if i == 0 {
			p.ReplyParameters = replyTo(o.ReplyTo)
		}
		if i == len(parts)-1 {
			p.ReplyMarkup = markup(o.Buttons, o.Keys)
		}
		if id, out = post(ctx, e, callFor, e.bot.SendMessage, &p); out.disposition != done {
			if ctx.Err() == nil {
				e.keepSent(o, i)
			}
			return 0, out
		}
	}
	e.keepSent(o, 0)
	if o.Pin == storage.PinOn {
		// Without a sound. It is a convenience: where it fails, the message stands in
		// the chat all the same.
		_, pinned := call(ctx, e, callFor, e.bot.PinChatMessage, &tg.PinChatMessageParams{
			ChatID: e.chat, MessageID: id, DisableNotification: true,
		})
		e.warn("a message could not be pinned", pinned)
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
func (e errand) edit(ctx context.Context, o bot.Outgoing) (int, outcome) {
	text := textOf(o).Shorten(maxText)
	p := tg.EditMessageTextParams{
		ChatID: e.chat, MessageID: numbered(o.Edits), Text: text.Text, Entities: entities(text), LinkPreviewOptions: noPreview,
	}
	if rows := inlineRows(o.Buttons); len(rows) > 0 {
		p.ReplyMarkup = &models.InlineKeyboardMarkup{InlineKeyboard: rows}
	}
	_, out := call(ctx, e, callFor, e.bot.EditMessageText, &p)
	if out.disposition == otherwise {
		o.Silent = true
		return e.say(ctx, o)
	}
	if out.disposition == done && o.Pin == storage.PinOff {
		_, unpinned := call(ctx, e, callFor, e.bot.UnpinChatMessage, &tg.UnpinChatMessageParams{
			ChatID: e.chat, MessageID: p.MessageID,
		})
		e.warn("a message could not be unpinned", unpinned)
	}
	return p.MessageID, out
}

// react sets a sign on a message; where signs are refused it is said.
func (e errand) react(ctx context.Context, o bot.Outgoing) (int, outcome) {
	p := tg.SetMessageReactionParams{ChatID: e.chat, MessageID: numbered(o.ReplyTo)}
	if o.Text != "" {
		p.Reaction = []models.ReactionType{{
			Type: models.ReactionTypeTypeEmoji, ReactionTypeEmoji: &models.ReactionTypeEmoji{Emoji: o.Text},
		}}
	}
	_, out := call(ctx, e, callFor, e.bot.SetMessageReaction, &p)
	if out.disposition == otherwise && o.Text != "" {
		o.Silent = true
		_, out = e.say(ctx, o)
	}
	return 0, out
}

// voice gives a voice message back by the service's own reference to it.
func (e errand) voice(ctx context.Context, o bot.Outgoing) (int, outcome) {
	caption := textOf(o).Shorten(maxCaption)
	return post(ctx, e, callFor, e.bot.SendVoice, &tg.SendVoiceParams{
		ChatID: e.chat, Voice: &models.InputFileString{Data: o.Voice},
		Caption: caption.Text, CaptionEntities: entities(caption), DisableNotification: o.Silent,
		ReplyParameters: replyTo(o.ReplyTo), ReplyMarkup: markup(o.Buttons, o.Keys),
	})
}

// file sends a picture so that the chat shows it, and any other file, or a picture
// that the service can't show, as a document.
func (e errand) file(ctx context.Context, o bot.Outgoing) (int, outcome) {
	caption := textOf(o).Shorten(maxCaption)
	if strings.HasSuffix(o.FileName, ".png") {
		id, out := post(ctx, e, uploadFor, e.bot.SendPhoto, &tg.SendPhotoParams{
			ChatID: e.chat, Photo: upload(o),
			Caption: caption.Text, CaptionEntities: entities(caption), DisableNotification: o.Silent,
			ReplyParameters: replyTo(o.ReplyTo), ReplyMarkup: markup(o.Buttons, o.Keys),
		})
		if out.disposition != hopeless {
			return id, out
		}
	}
	return post(ctx, e, uploadFor, e.bot.SendDocument, &tg.SendDocumentParams{
		ChatID: e.chat, Document: upload(o),
		Caption: caption.Text, CaptionEntities: entities(caption), DisableNotification: o.Silent,
		ReplyParameters: replyTo(o.ReplyTo), ReplyMarkup: markup(o.Buttons, o.Keys),
	})
}

// upload is a file from its beginning: each try reads it anew.
func upload(o bot.Outgoing) *models.InputFileUpload {
	return &models.InputFileUpload{Filename: o.FileName, Data: bytes.NewReader(o.Body)}
}
