package telegram

import (
	"context"
	"fmt"
	"strconv"
	"time"

	tg "github.com/go-telegram/bot"

	"skyslate/bot"
	"skyslate/bot/guests"
	"skyslate/storage"
)

// faultsEvery is how often the transport looks whether the owner is to be told of
// what failed.
const faultsEvery = 10 * time.Minute

// sideTaskLoop does the tasks beside the conversation: taps are answered, so
// that their buttons stop waiting, and notices are said.
func (t *Transport) sideTaskLoop(ctx context.Context) {
	wait := time.Second
	faults := time.NewTicker(faultsEvery)
	defer faults.Stop()
	for ctx.Err() == nil {
		var retry <-chan time.Time
		if left := t.sayNotices(ctx); left {
			retry = time.After(wait)
			wait = min(2*wait, time.Minute)
		} else {
			wait = time.Second
		}
		select {
		case id := <-t.taps:
			t.answerTap(ctx, id)
		case <-t.sideTasks:
		case <-faults.C:
			if err := t.guests.TellOfFaults(t.now()); err != nil {
				t.log.Warn("the owner could not be told of what failed", "err", err)
			}
		case <-retry:
		case <-ctx.Done():
		}
	}
}

// answerTaps leaves taps to be answered. One too many stays unanswered: the app
// gives up waiting by itself.
func (t *Transport) answerTaps(ids []string) {
	for _, id := range ids {
		select {
		case t.taps <- id:
		default:
		}
	}
}

func (t *Transport) answerTap(ctx context.Context, id string) {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	_, err := t.bot.AnswerCallbackQuery(ctx, &tg.AnswerCallbackQueryParams{CallbackQueryID: id})
	if out := outcomeOf(err); out.disposition != done {
		t.log.Debug("a tap was not answered", "err", t.token.mask(out.err.Error()))
	}
}

// sayNotices says the notices that it can and reports whether something is left.
func (t *Transport) sayNotices(ctx context.Context) (left bool) {
	for _, n := range t.guests.Notices() {
		chat, err := strconv.ParseInt(string(n.To), 10, 64)
		if err != nil {
			continue // of another app
		}
		if out := t.sayNotice(ctx, chat, n); out.disposition == again {
			left = true
			continue
		}
		err = t.keep(func(_ *memory, d *guests.Draft) []storage.Raw {
			d.Said(n.ID)
			return nil
		})
		left = left || err != nil
	}
	return left
}

func (t *Transport) sayNotice(ctx context.Context, chat int64, n guests.Notice) outcome {
	_, out := t.say(ctx, chat, bot.Outgoing{Name: fmt.Sprintf("notice/%d", n.ID), Text: n.Text, Silent: true})
	if n.Leave && out.disposition != again {
		_, out = call(ctx, t, chat, callFor, t.bot.LeaveChat, &tg.LeaveChatParams{ChatID: chat})
	}
	return out
}

// tellOfRival tells the owner that somebody else takes messages away.
func (t *Transport) tellOfRival() {
	now := t.now()
	if !t.guests.HasOwner() || now.Sub(t.remembered().Rival) < rivalAgain {
		return
	}
	err := t.keep(func(m *memory, d *guests.Draft) []storage.Raw {
		m.Rival = now
		d.TellOwner(textRival)
		return nil
	})
	if err != nil {
		t.log.Warn("the owner could not be told of another program that polls", "err", err)
	}
}

// dropWebhook takes away the webhook that was set up with the token before and now
// keeps the messages from being polled. Messages that wait are not dropped.
func (t *Transport) dropWebhook(ctx context.Context) {
	ctx, cancel := context.WithTimeout(ctx, callFor)
	defer cancel()
	_, err := t.bot.DeleteWebhook(ctx, &tg.DeleteWebhookParams{})
	t.warn("the webhook could not be removed", outcomeOf(err))
}
