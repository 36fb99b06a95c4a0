package telegram

import (
	"context"
	"fmt"
	"strconv"
	"time"

	tg "github.com/go-telegram/bot"

	"skyslate/bot"
	"skyslate/bot/guests"
)

// answerTaps answers taps, so that their buttons stop waiting, until ctx ends.
func (t *Transport) answerTaps(ctx context.Context) {
	for {
		select {
		case id := <-t.taps:
			bounded, cancel := context.WithTimeout(ctx, 10*time.Second)
			_, err := t.bot.AnswerCallbackQuery(bounded, &tg.AnswerCallbackQueryParams{CallbackQueryID: id})
			cancel()
			if out := outcomeOf(err); out.disposition != done {
				t.log.Debug("a tap was not answered", "err", t.token.mask(out.err.Error()))
			}
		case <-ctx.Done():
			return
		}
	}
}

// sayNotice says a notice: see [guests.Say].
func (t *Transport) sayNotice(ctx context.Context, n guests.Notice) (said, later bool) {
	chat, err := strconv.ParseInt(string(n.To), 10, 64)
	if err != nil {
		return false, false // of another app
	}
	to := errand{t, chat, func() {}}
	_, out := to.say(ctx, bot.Outgoing{Name: fmt.Sprintf("notice/%d", n.ID), Text: n.Text, Silent: true})
	if n.Leave && out.disposition != again {
		_, out = call(ctx, to, callFor, t.bot.LeaveChat, &tg.LeaveChatParams{ChatID: chat})
	}
	later = out.disposition == again
	return !later, later
}

// tellOfRival tells the owner that somebody else takes messages away.
func (t *Transport) tellOfRival() {
	now := t.now()
	if !t.guests.HasOwner() || now.Sub(t.remembered().Rival) < rivalAgain {
		return
	}
	err := t.alter(func(m *memory, d *guests.Draft) {
		m.Rival = now
		d.TellOwner(textRival)
	})
	if err != nil {
		t.log.Warn("the owner could not be told of another program that polls", "err", err)
	}
}
