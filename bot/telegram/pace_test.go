package telegram

import (
	"testing"
	"time"
)

// One chat that has had too much slows itself alone down; complaints of two at
// once slow everything down, which ends little by little.
func TestPaceLearns(t *testing.T) {
	p := newPace()
	now := time.Unix(1_800_000_000, 0)
	sends := func(n int) (wait time.Duration) {
		for i := range n {
			wait, _ = p.book(now, int64(100+i))
		}
		return wait
	}
	if wait := sends(overallBurst); wait != 0 {
		t.Errorf("a burst waits %s", wait)
	}
	now = now.Add(time.Minute)
	p.tooSoon(now, 1, 5*time.Second)
	p.tooSoon(now.Add(time.Second), 1, 5*time.Second)
	if wait := sends(1); wait != 0 {
		t.Errorf("one chat's complaints make all wait %s", wait)
	}
	p.tooSoon(now, 2, 5*time.Second)
	if wait := sends(1); wait < 5*time.Second || wait > 6*time.Second {
		t.Errorf("after complaints of two chats all wait %s", wait)
	}
	if p.every <= overallEvery {
		t.Errorf("and then one goes out every %s", p.every)
	}
	for range 1000 {
		p.went()
	}
	if p.every != overallEvery {
		t.Errorf("after a thousand sends one goes out every %s", p.every)
	}
}

func TestChatWaitsForItsTurn(t *testing.T) {
	p := newPace()
	now := time.Unix(1_800_000_000, 0)
	for range chatBurst {
		if wait := p.wait(now, 1); wait != 0 {
			t.Errorf("within a burst it waits %s", wait)
		}
		p.book(now, 1)
	}
	if wait := p.wait(now, 1); wait != chatEvery {
		t.Errorf("after a burst it waits %s, want %s", wait, chatEvery)
	}
	if wait := p.wait(now, 2); wait != 0 {
		t.Errorf("another chat waits %s", wait)
	}
}
