// Package beat calls a function every so often, whatever is done to the clock; and it
// wakes loops, and lets them wait.
//
// cron gives the beat, keeps two calls from overlapping and contains panics. What
// it lacks is added here: it waits for moments of the wall clock, so that one
// that is set back by a week would silence it for a week.
package beat

import (
	"context"
	"log/slog"
	"time"

	"github.com/robfig/cron/v3"
)

// Every calls do every interval, the first time after one, until ctx ends, and
// returns when no call is at work any more. A call that is due while the last one
// is still at work is left out. Name is for the log. A machine that sleeps is
// late by as long as it slept at most, counted in time awake.
func Every(ctx context.Context, interval time.Duration, name string, log *slog.Logger, do func()) {
	said := cronLog{log.With("beat", name)}
	c := cron.New(cron.WithLocation(time.UTC), cron.WithLogger(said))
	// The order matters: a panic that passes the skipping wrapper leaves it locked
	// for good. The chain is made once, so that it also holds across a new start.
	job := cron.NewChain(cron.SkipIfStillRunning(said), cron.Recover(said)).Then(cron.FuncJob(do))
	start := func() cron.EntryID { return c.Schedule(cron.Every(interval), job) }
	entry := start()
	c.Start()
	defer func() { <-c.Stop().Done() }()

	watch := time.NewTicker(interval) // runs by the monotonic clock
	defer watch.Stop()
	for last := time.Now(); ; {
		select {
		case <-ctx.Done():
			return
		case <-watch.C:
			at := time.Now()
			if SetBack(last.Round(0), at.Round(0), at.Sub(last)) {
				c.Remove(entry)
				entry = start()
			}
			last = at
		}
	}
}

// correction is more than a clock that is kept right is set back by.
const correction = 30 * time.Second

// SetBack reports whether a wall clock that showed before, and shows after when
// so much time has passed, was set back in between.
func SetBack(before, after time.Time, passed time.Duration) bool {
	return after.Sub(before) < passed-correction
}

// cronLog gives cron's messages to slog: its own default writes to standard
// output.
type cronLog struct{ log *slog.Logger }

func (c cronLog) Info(msg string, kv ...any) { c.log.Debug(msg, kv...) }

func (c cronLog) Error(err error, msg string, kv ...any) {
	c.log.Error(msg, append(kv, "err", err)...)
}
