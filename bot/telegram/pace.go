package telegram

import (
	"context"
	"sync"
	"time"
)

// The rates stay below what the service documents ("one message per second in a
// chat", bursts allowed; "about 30 messages per second" overall): core.telegram.org
// /bots/faq, "My bot is hitting limits".
const (
	chatEvery    = 1100 * time.Millisecond
	chatBurst    = 4
	overallEvery = time.Second / 25
	overallBurst = 10
)

// pace keeps sends below the service's rates. Safe for concurrent use.
type pace struct {
	mu      sync.Mutex
	overall time.Time
	chats   map[int64]time.Time
}

func newPace() *pace { return &pace{chats: map[int64]time.Time{}} }

// book takes the next free moment of a chat and returns how long it is until
// then. Each rate is kept as the moment at which it is used up.
func (p *pace) book(now time.Time, chat int64) time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	for c, until := range p.chats {
		if until.Before(now) {
			delete(p.chats, c)
		}
	}
	var wait time.Duration
	p.chats[chat], wait = next(p.chats[chat], now, chatEvery, chatBurst)
	var other time.Duration
	p.overall, other = next(p.overall, now, overallEvery, overallBurst)
	return max(wait, other)
}

// next moves the moment at which a rate is used up on by one; up to burst sends
// may be ahead of it.
func next(until, now time.Time, every time.Duration, burst int) (time.Time, time.Duration) {
	if until.Before(now) {
		until = now
	}
	until = until.Add(every)
	return until, max(0, until.Sub(now)-time.Duration(burst)*every)
}

// turn waits until a chat may be sent to.
func (p *pace) turn(ctx context.Context, chat int64) error {
	if wait := p.book(time.Now(), chat); wait > 0 {
		pause(ctx, wait)
	}
	return ctx.Err()
}
