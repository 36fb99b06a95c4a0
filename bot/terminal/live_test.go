package terminal

import (
	"errors"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// In real time, by pipe: each line is answered before the next is read, and all
// before the end.
func TestRealClock(t *testing.T) {
	pt := newPhoneTest(t)
	before := time.Now().Add(-time.Millisecond)
	all := pt.run(time.Time{}, "/help", "~ reply b1 /help", "/help")
	answered := make(map[string]bool)
	for _, s := range all {
		if s.At.Before(before) || s.At.After(time.Now()) {
			t.Errorf("stamped %s", s.At)
		}
		if s.To != nil {
			answered[*s.To] = true
		}
	}
	if len(answered) != 3 || len(pt.events) != 3 {
		t.Errorf("answered %v of %d messages", answered, len(pt.events))
	}
	if pt.events[1].ReplyTo != -1 {
		t.Errorf("replied to %d, want -1", pt.events[1].ReplyTo)
	}
	_, err := pt.try(time.Time{}, "~ 90s")
	var le *LineError
	if !errors.As(err, &le) || !strings.Contains(err.Error(), "the real one") {
		t.Errorf("moving the real clock: error %v", err)
	}
}

// A bot that can't go on is not waited for in vain, and what was sent is kept.
func TestRealClockEndsWithoutAnswers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		pt := newPhoneTest(t)
		pt.broken = true
		if _, err := pt.try(time.Time{}, "/help"); err == nil || !strings.Contains(err.Error(), "kept") {
			t.Errorf("error %v", err)
		}
		pt.broken = false
		if all := pt.run(time.Time{}, "/log"); len(pt.events) != 3 || len(all) < 2 {
			t.Errorf("after the next start: %d events, %d answers", len(pt.events), len(all))
		}
	})
}
