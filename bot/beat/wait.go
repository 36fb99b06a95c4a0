package beat

import (
	"context"
	"time"
)

// Bell wakes a loop that waits for it. A ring while the loop is at work makes its next
// wait short; more of them are one.
type Bell chan struct{}

// NewBell returns a bell that nobody has rung.
func NewBell() Bell { return make(Bell, 1) }

// Ring rings, and never waits.
func (b Bell) Ring() {
	select {
	case b <- struct{}{}:
	default:
	}
}

// Pause waits so long, or until ctx ends.
func Pause(ctx context.Context, d time.Duration) {
	select {
	case <-time.After(d):
	case <-ctx.Done():
	}
}
