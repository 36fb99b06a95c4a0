package telegram

import (
	"context"
	"fmt"
	"slices"
	"time"

	tg "github.com/go-telegram/bot"

	"skyslate/bot"
	"skyslate/storage"
)

// errandLoop does what is owed beside the conversation: taps are answered, so
// that their buttons stop waiting, and the transport's own sentences are said.
func (t *Transport) errandLoop(ctx context.Context) {
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
		case <-t.errands:
		case <-faults.C:
			t.tellOfFaults()
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
	if v := judge(err); v.fate != done {
		t.log.Debug("a tap was not answered", "err", t.token.mask(v.err.Error()))
	}
}

// sayNotices says what it can and reports whether something is left.
func (t *Transport) sayNotices(ctx context.Context) (left bool) {
	for _, n := range t.remembered().Notices {
		v := t.sayNotice(ctx, n)
		if v.fate == again {
			left = true
			continue
		}
		err := t.keep(func(m *memory) []storage.Raw {
			m.Notices = slices.DeleteFunc(m.Notices, func(o notice) bool { return o.ID == n.ID })
			return nil
		})
		left = left || err != nil
	}
	return left
}

func (t *Transport) sayNotice(ctx context.Context, n notice) verdict {
	_, v := t.say(ctx, n.Chat, bot.Outgoing{Name: fmt.Sprintf("notice/%d", n.ID), Text: n.Text, Silent: true})
	if n.Leave && v.fate != again {
		v = t.call(ctx, n.Chat, func(ctx context.Context) error {
			_, err := t.bot.LeaveChat(ctx, &tg.LeaveChatParams{ChatID: n.Chat})
			return err
		})
	}
	return v
}

// The owner is told of what failed once a day, soon after it did.
const (
	faultsEvery = 10 * time.Minute
	faultsAgain = 24 * time.Hour
)

// tellOfFaults tells the owner how much has failed since the last time.
func (t *Transport) tellOfFaults() {
	now, m := t.now(), t.remembered()
	if m.Owner == 0 || now.Sub(m.Faults).Abs() < faultsAgain {
		return
	}
	all, err := t.desk.Faults(m.Faults)
	if err == nil && len(all) > 0 {
		err = t.keep(func(m *memory) []storage.Raw {
			m.Faults = now
			m.owe(m.Owner, faultsText(all), false)
			return nil
		})
	}
	if err != nil {
		t.log.Warn("the owner could not be told of what failed", "err", err)
	}
}

// tellOfRival tells the owner that somebody else takes messages away.
func (t *Transport) tellOfRival() {
	now := t.now()
	m := t.remembered()
	if m.Owner == 0 || now.Sub(m.Rival) < rivalAgain {
		return
	}
	err := t.keep(func(m *memory) []storage.Raw {
		m.Rival = now
		m.owe(m.Owner, textRival, false)
		return nil
	})
	if err != nil {
		t.log.Warn("the owner could not be told of another program that polls", "err", err)
	}
	wake(t.errands)
}

// dropWebhook takes away what was set up with the token before and now keeps
// the messages from being polled. What waits is not dropped.
func (t *Transport) dropWebhook(ctx context.Context) {
	ctx, cancel := context.WithTimeout(ctx, callFor)
	defer cancel()
	if _, err := t.bot.DeleteWebhook(ctx, &tg.DeleteWebhookParams{}); err != nil {
		t.log.Warn("the webhook could not be removed", "err", t.token.mask(err.Error()))
	}
}
