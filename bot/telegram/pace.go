package telegram

import (
	"context"
	"errors"
	"sync"
	"time"

	"skyslate/bot/beat"
)

// The rates stay below what the service documents ("one message per second in a
// chat", bursts allowed; "about 30 messages per second" overall): core.telegram.org
// /bots/faq, "My bot is hitting limits".
const (
	chatEvery    = 1100 * time.Millisecond
	chatBurst    = 4
	overallEvery = time.Second / 25
	overallBurst = 10
	slowest      = time.Second // between two sends, however often the service complains
	shortWait    = 200 * time.Millisecond
)

// errTurn is why a post waits without a fault.
var errTurn = errors.New("the chat had as much as the service allows for now")

// pace keeps sends below the service's rates, and learns from its complaints.
// Safe for concurrent use.
type pace struct {
	mu      sync.Mutex
	overall time.Time
	every   time.Duration // between two sends
	chats   map[int64]time.Time

	complained int64 // the last chat of a send that came too soon
	until      time.Time
}

func newPace() *pace { return &pace{every: overallEvery, chats: map[int64]time.Time{}} }

// wait is how long a chat waits for its turn, whatever else is sent.
func (p *pace) wait(now time.Time, chat int64) time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	_, wait := next(p.chats[chat], now, chatEvery, chatBurst)
	return wait
}

// tooSoon learns from a send that the service refused for so long. One chat may
// have had too much; where two have at once it is the rate over all: everything
// waits, and goes slower from then on.
func (p *pace) tooSoon(now time.Time, chat int64, after time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.complained != chat && now.Before(p.until) {
		p.every = min(p.every*3/2, slowest)
		if until := now.Add(after + overallBurst*p.every); until.After(p.overall) {
			p.overall = until
		}
	}
	p.complained, p.until = chat, now.Add(after)
}

// went says that a send got through: little by little they go faster again.
func (p *pace) went() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.every = max(overallEvery, p.every-p.every/200)
}

// book takes the next free moment of a chat and returns how long it is until then:
// for what is sent to others, and for what is sent there. Each rate is kept as the
// moment at which it is used up.
func (p *pace) book(now time.Time, chat int64) (others, own time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for c, until := range p.chats {
		if until.Before(now) {
			delete(p.chats, c)
		}
	}
	p.chats[chat], own = next(p.chats[chat], now, chatEvery, chatBurst)
	p.overall, others = next(p.overall, now, p.every, overallBurst)
	return others, own
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

// turn waits until a chat may be sent to, and calls away when what is sent to others
// keeps it no more.
func (p *pace) turn(ctx context.Context, chat int64, away func()) error {
	others, own := p.book(time.Now(), chat)
	beat.Pause(ctx, others)
	away()
	beat.Pause(ctx, own-others)
	return ctx.Err()
}
