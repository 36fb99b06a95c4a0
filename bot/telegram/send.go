package telegram

import (
	"bytes"
	"context"
	"maps"
	"strconv"
	"strings"
	"sync"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"skyslate/bot"
	"skyslate/storage"
)

// Send brings one post out: see [skyslate/bot/run.Transport].
func (t *Transport) Send(ctx context.Context, o bot.Outgoing) (int64, error) {
	chat, err := t.reachable(o)
	if err != nil {
		return 0, err
	}
	id, v := t.send(ctx, chat, o)
	if v.fate == blocked {
		t.hasBlocked(chat)
	}
	return id, t.sendError(ctx, v)
}

func (t *Transport) send(ctx context.Context, chat int64, o bot.Outgoing) (int64, verdict) {
	switch o.Op {
	case storage.Edit:
		return t.edit(ctx, chat, o)
	case storage.React:
		return t.react(ctx, chat, o)
	case storage.File:
		return t.file(ctx, chat, o)
	}
	if o.Voice != "" {
		if id, v := t.voice(ctx, chat, o); v.fate != hopeless {
			return id, v
		}
	}
	return t.say(ctx, chat, o)
}

// voice gives a voice message back by the service's own reference to it.
func (t *Transport) voice(ctx context.Context, chat int64, o bot.Outgoing) (id int64, v verdict) {
	v = t.call(ctx, chat, func(ctx context.Context) error {
		m, err := t.bot.SendVoice(ctx, &tg.SendVoiceParams{
			ChatID: chat, Voice: &models.InputFileString{Data: o.Voice},
			Caption: shorten(o.Text, maxCaption), DisableNotification: o.Silent,
			ReplyParameters: replyTo(o.ReplyTo), ReplyMarkup: markup(o.Buttons, o.Keys),
		})
		if err == nil {
			id = int64(m.ID)
		}
		return err
	})
	return id, v
}

// reachable is the chat of an operator who is let in, or told farewell, and has
// not blocked us.
func (t *Transport) reachable(o bot.Outgoing) (int64, error) {
	chat, err := strconv.ParseInt(string(o.Operator), 10, 64)
	if err != nil {
		return 0, never("operator %q is nobody on this service", o.Operator)
	}
	m := t.remembered()
	if _, gone := m.Gone[chat]; gone {
		return 0, unwanted("the operator has blocked the bot")
	}
	if !t.admitted(&m, chat) && !o.Last {
		return 0, unwanted("the operator is not let in any more")
	}
	return chat, nil
}

// hasBlocked remembers it until the person writes again.
func (t *Transport) hasBlocked(chat int64) {
	err := t.keep(func(m *memory) []storage.Raw {
		if t.admitted(m, chat) {
			m.Gone[chat] = t.now()
		}
		return nil
	})
	if err != nil {
		t.log.Warn("that an operator has blocked the bot could not be stored", "operator", chat, "err", err)
	}
}

// call makes one call when the chat's turn has come.
func (t *Transport) call(ctx context.Context, chat int64, do func(context.Context) error) verdict {
	if err := t.pace.turn(ctx, chat); err != nil {
		return verdict{fate: again, err: err}
	}
	ctx, cancel := context.WithTimeout(ctx, callFor)
	defer cancel()
	return judge(do(ctx))
}

// say sends a text, in several messages if it is long. The first one answers,
// the last one carries the buttons and is the one that the post is known by.
func (t *Transport) say(ctx context.Context, chat int64, o bot.Outgoing) (id int64, v verdict) {
	parts := split(o.Text, maxText)
	for i := t.halves.sent(o); i < len(parts); i++ {
		p := tg.SendMessageParams{
			ChatID: chat, Text: parts[i], DisableNotification: o.Silent || i > 0,
			LinkPreviewOptions: &models.LinkPreviewOptions{IsDisabled: tg.True()},
		}
		if i == 0 {
			p.ReplyParameters = replyTo(o.ReplyTo)
		}
		if i == len(parts)-1 {
			p.ReplyMarkup = markup(o.Buttons, o.Keys)
		}
		v = t.call(ctx, chat, func(ctx context.Context) error {
			m, err := t.bot.SendMessage(ctx, &p)
			if err == nil {
				id = int64(m.ID)
			}
			return err
		})
		if v.fate != done {
			if ctx.Err() == nil {
				t.halves.keep(o, i)
			}
			return 0, v
		}
	}
	t.halves.keep(o, 0)
	if o.Pin == storage.PinOn {
		t.pin(ctx, chat, id)
	}
	return id, v
}

// pin holds a message up, without a sound. It is a convenience: where it fails,
// the message stands in the chat all the same.
func (t *Transport) pin(ctx context.Context, chat, message int64) {
	v := t.call(ctx, chat, func(ctx context.Context) error {
		_, err := t.bot.PinChatMessage(ctx, &tg.PinChatMessageParams{
			ChatID: chat, MessageID: int(message), DisableNotification: true,
		})
		return err
	})
	if v.fate != done {
		t.log.Warn("a message could not be pinned", "err", t.token.mask(v.err.Error()))
	}
}

func (t *Transport) unpin(ctx context.Context, chat, message int64) {
	v := t.call(ctx, chat, func(ctx context.Context) error {
		_, err := t.bot.UnpinChatMessage(ctx, &tg.UnpinChatMessageParams{ChatID: chat, MessageID: int(message)})
		return err
	})
	if v.fate != done {
		t.log.Warn("a message could not be unpinned", "err", t.token.mask(v.err.Error()))
	}
}

func replyTo(id int64) *models.ReplyParameters {
	if id == 0 {
		return nil
	}
	return &models.ReplyParameters{MessageID: int(id), AllowSendingWithoutReply: true}
}

// edit changes a message that is out. Where that can't be done, because the
// person removed it for instance, the text comes as a new one: it corrects
// something.
func (t *Transport) edit(ctx context.Context, chat int64, o bot.Outgoing) (int64, verdict) {
	p := tg.EditMessageTextParams{
		ChatID: chat, MessageID: int(o.Edits), Text: shorten(o.Text, maxText),
		LinkPreviewOptions: &models.LinkPreviewOptions{IsDisabled: tg.True()},
	}
	if rows := inlineRows(o.Buttons); len(rows) > 0 {
		p.ReplyMarkup = &models.InlineKeyboardMarkup{InlineKeyboard: rows}
	}
	v := t.call(ctx, chat, func(ctx context.Context) error {
		_, err := t.bot.EditMessageText(ctx, &p)
		return err
	})
	if v.fate == otherwise {
		o.Silent = true
		return t.say(ctx, chat, o)
	}
	if v.fate == done && o.Pin == storage.PinOff {
		t.unpin(ctx, chat, o.Edits)
	}
	return o.Edits, v
}

// react sets a sign on a message; where signs are refused it is said.
func (t *Transport) react(ctx context.Context, chat int64, o bot.Outgoing) (int64, verdict) {
	p := tg.SetMessageReactionParams{ChatID: chat, MessageID: int(o.ReplyTo)}
	if o.Text != "" {
		p.Reaction = []models.ReactionType{{
			Type: models.ReactionTypeTypeEmoji, ReactionTypeEmoji: &models.ReactionTypeEmoji{Emoji: o.Text},
		}}
	}
	v := t.call(ctx, chat, func(ctx context.Context) error {
		_, err := t.bot.SetMessageReaction(ctx, &p)
		return err
	})
	if v.fate == otherwise && o.Text != "" {
		o.Silent = true
		_, v = t.say(ctx, chat, o)
	}
	return 0, v
}

// file sends a picture so that the chat shows it, and any other file, or a picture
// that the service can't show, as a document.
func (t *Transport) file(ctx context.Context, chat int64, o bot.Outgoing) (int64, verdict) {
	if strings.HasSuffix(o.FileName, ".png") {
		if id, v := t.picture(ctx, chat, o); v.fate != hopeless {
			return id, v
		}
	}
	return t.document(ctx, chat, o)
}

// picture sends a picture, from its beginning at each try.
func (t *Transport) picture(ctx context.Context, chat int64, o bot.Outgoing) (int64, verdict) {
	return t.upload(ctx, chat, func(ctx context.Context) (*models.Message, error) {
		return t.bot.SendPhoto(ctx, &tg.SendPhotoParams{
			ChatID:  chat,
			Photo:   &models.InputFileUpload{Filename: o.FileName, Data: bytes.NewReader(o.Body)},
			Caption: shorten(o.Text, maxCaption), DisableNotification: o.Silent,
			ReplyParameters: replyTo(o.ReplyTo), ReplyMarkup: markup(o.Buttons, o.Keys),
		})
	})
}

// document sends a file, from its beginning at each try.
func (t *Transport) document(ctx context.Context, chat int64, o bot.Outgoing) (int64, verdict) {
	return t.upload(ctx, chat, func(ctx context.Context) (*models.Message, error) {
		return t.bot.SendDocument(ctx, &tg.SendDocumentParams{
			ChatID:   chat,
			Document: &models.InputFileUpload{Filename: o.FileName, Data: bytes.NewReader(o.Body)},
			Caption:  shorten(o.Text, maxCaption), DisableNotification: o.Silent,
			ReplyParameters: replyTo(o.ReplyTo), ReplyMarkup: markup(o.Buttons, o.Keys),
		})
	})
}

// upload sends a file when it is the chat's turn, in the time that one may take.
func (t *Transport) upload(ctx context.Context, chat int64, send func(context.Context) (*models.Message, error)) (id int64, v verdict) {
	if err := t.pace.turn(ctx, chat); err != nil {
		return 0, verdict{fate: again, err: err}
	}
	ctx, cancel := context.WithTimeout(ctx, uploadFor)
	defer cancel()
	m, err := send(ctx)
	if v = judge(err); v.fate == done {
		id = int64(m.ID)
	}
	return id, v
}

// halves remembers of long texts how many of their messages are out, so that a
// later try doesn't begin anew. It need not outlive the process.
type halves struct {
	mu   sync.Mutex
	part map[string]half
}

type half struct {
	text string
	sent int
}

func (h *halves) sent(o bot.Outgoing) int {
	h.mu.Lock()
	defer h.mu.Unlock()
	if p := h.part[o.Name]; p.text == o.Text {
		return p.sent
	}
	return 0
}

// forget drops what is remembered of an operator's posts.
func (h *halves) forget(op storage.OperatorID) {
	h.mu.Lock()
	defer h.mu.Unlock()
	maps.DeleteFunc(h.part, func(name string, _ half) bool { return strings.HasPrefix(name, string(op)+"/") })
}

func (h *halves) keep(o bot.Outgoing, sent int) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if sent == 0 {
		delete(h.part, o.Name)
		return
	}
	if h.part == nil {
		h.part = map[string]half{}
	}
	h.part[o.Name] = half{o.Text, sent}
}
