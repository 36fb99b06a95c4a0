//go:build unix

package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"skyslate/bot/telegram/apitest"
)

// serviceRate is how fast the service is: every call takes a while, and of more
// than so many a second some are refused ("about 30 messages per second", from
// memory).
type serviceRate struct {
	left    float64
	filled  time.Time
	polls   chan struct{}
	refused atomic.Int64
}

const (
	callsEachSecond = 30
	callTakes       = 50 * time.Millisecond
)

// fault is asked by the server, one call at a time.
func (r *serviceRate) fault(method string, _ int) *apitest.Fault {
	if method == "getupdates" {
		select {
		case r.polls <- struct{}{}:
		default:
		}
		return nil
	}
	now := time.Now()
	r.left = min(callsEachSecond, r.left+callsEachSecond*now.Sub(r.filled).Seconds())
	r.filled = now
	if r.left < 1 {
		r.refused.Add(1)
		return &apitest.Fault{Code: http.StatusTooManyRequests, RetryAfter: 1}
	}
	r.left--
	return &apitest.Fault{Slow: callTakes}
}

// said is a message of an operator's.
type said struct {
	id   int64
	at   time.Time
	text string
	call string // of the contact that it tells; empty: it tells none
}

const (
	floodEvery = 20 * time.Millisecond // 50 messages a second
	calmEvery  = 100 * time.Millisecond
)

// write lets random operators write until ctx ends, more than can be answered
// until the flood is over, then less.
func (l *load) write(ctx context.Context, floodOver time.Time) {
	seed := uint64(time.Now().UnixNano())
	l.t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	tick := time.NewTicker(floodEvery)
	defer tick.Stop()
	for n := 0; ; n++ {
		select {
		case now := <-tick.C:
			if now.After(floodOver) {
				tick.Reset(calmEvery)
			}
		case <-ctx.Done():
			return
		}
		op := rng.IntN(len(l.phones))
		switch {
		case n%10 == 9 && l.tap(rng):
		case n%10 == 8 && l.edit(rng):
		case n%20 == 7:
			l.say(op, "/passes", "")
		case n%20 == 17:
			l.say(op, "/help", "")
		case n%10 == 6:
			l.say(op, fmt.Sprintf("(%d) much fading", n), "")
		default:
			k := len(l.heard[op])
			call := killedCall(k + k/4) // it gives every fifth number to a note
			l.say(op, call+" "+l.sky.place(op + 1).Grids[0].String(), call)
		}
	}
}

func (l *load) say(op int, text, call string) {
	at := time.Now()
	l.heard[op] = append(l.heard[op], &said{l.phones[op].Say(text), at, text, call})
}

// writer is somebody who has said something as wanted, from a random operator on;
// nil if there is nobody near.
func (l *load) writer(rng *rand.Rand, wanted func(*said) bool) (phone *apitest.Phone, m *said) {
	const near = 1000
	from := rng.IntN(len(l.phones))
	for n := range min(near, len(l.phones)) {
		op := (from + n) % len(l.phones)
		if i := slices.IndexFunc(l.heard[op], wanted); i >= 0 {
			return l.phones[op], l.heard[op][i]
		}
	}
	return nil, nil
}

// edit lets somebody correct the call of a contact.
func (l *load) edit(rng *rand.Rand) bool {
	phone, m := l.writer(rng, func(m *said) bool { return strings.HasPrefix(m.call, "OX7") })
	if m == nil {
		return false
	}
	m.text, m.call = "OX8"+m.text[3:], "OX8"+m.call[3:]
	phone.Edit(m.id, m.text)
	return true
}

// tap lets somebody tap a button under the answer to /passes.
func (l *load) tap(rng *rand.Rand) bool {
	phone, _ := l.writer(rng, func(m *said) bool { return m.text == "/passes" })
	if phone == nil {
		return false
	}
	for _, m := range phone.Chat() {
		if m.ReplyTo != nil && m.ReplyTo.Text == "/passes" && m.Inline != nil {
			return phone.Tap(m.ID, m.Buttons()[0][0]) == nil
		}
	}
	return false
}
