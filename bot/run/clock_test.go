package run

import (
	"testing"
	"time"
)

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
			if got := setBack(at, at.Add(tt.wall), tt.passed); got != tt.want {
				t.Errorf("got %v", got)
			}
		})
	}
}
