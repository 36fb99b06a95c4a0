package beat

import (
	"bytes"
	"context"
	"log/slog"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

// A call every interval; one that takes longer leaves some out, one that panics
// is told and hinders none, and the last one is waited for.
func TestEvery(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, cancel := context.WithTimeout(t.Context(), 95*time.Second)
		defer cancel()
		var began, ended atomic.Int32
		var log bytes.Buffer
		Every(ctx, 10*time.Second, "test", slog.New(slog.NewTextHandler(&log, nil)), func() {
			switch began.Add(1) {
			case 2:
				panic("a call that breaks")
			case 3:
				time.Sleep(25 * time.Second) // from 30 to 55 s
			case 7:
				time.Sleep(20 * time.Second) // from 90 s on
			}
			ended.Add(1)
		})
		if began.Load() != 7 || ended.Load() != 6 {
			t.Errorf("%d calls, %d came to their end; want 7 and all but the one that breaks", began.Load(), ended.Load())
		}
		if got := log.String(); strings.Count(got, "a call that breaks") != 1 || !strings.Contains(got, "beat=test") {
			t.Errorf("log: %s", got)
		}
	})
}

// A clock that is kept right is corrected by little; a machine that sleeps makes
// it jump forward (Linux's monotonic clock stands still meanwhile). Neither is
// one that was set back.
func TestSetBack(t *testing.T) {
	at := time.Date(2026, 9, 1, 6, 0, 0, 0, time.UTC)
	for _, tt := range []struct {
		name   string
		wall   time.Duration
		passed time.Duration
		want   bool
	}{
		{"as it should be", 10 * time.Second, 10 * time.Second, false},
		{"corrected", 10*time.Second - 500*time.Millisecond, 10 * time.Second, false},
		{"slept eight hours", 8 * time.Hour, 10 * time.Second, false},
		{"set forward", 10 * 24 * time.Hour, 10 * time.Second, false},
		{"set back by a minute", -50 * time.Second, 10 * time.Second, true},
		{"set back by ten days", -10 * 24 * time.Hour, 10 * time.Second, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := SetBack(at, at.Add(tt.wall), tt.passed); got != tt.want {
				t.Errorf("got %v", got)
			}
		})
	}
}
