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
			bounded, cancel := context.WithTimeout(ctx, 10*time.Second)
			_, err := t.bot.AnswerCallbackQuery(bounded, &tg.AnswerCallbackQueryParams{CallbackQueryID: id})
			cancel()
			if out := outcomeOf(err); out.disposition != done {
				t.log.Debug("a tap was not answered", "err", t.token.mask(out.err.Error()))
			}
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

// sayNotices says the notices that it can and reports whether something is left.
func (t *Transport) sayNotices(ctx context.Context) (left bool) {
	for _, n := range t.guests.Notices() {
		chat, err := strconv.ParseInt(string(n.To), 10, 64)
		if err != nil {
			continue // of another app
		}
		_, out := t.say(ctx, chat, bot.Outgoing{Name: fmt.Sprintf("notice/%d", n.ID), Text: n.Text, Silent: true})
		if n.Leave && out.disposition != again {
			_, out = call(ctx, t, chat, callFor, t.bot.LeaveChat, &tg.LeaveChatParams{ChatID: chat})
		}
		if out.disposition == again || t.alter(func(_ *memory, d *guests.Draft) { d.Said(n.ID) }) != nil {
			left = true
		}
	}
	return left
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
