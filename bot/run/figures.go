package run

import (
	"sync"
	"time"
)

const reportEvery = time.Hour

// figures are counted between two reports.
type figures struct {
	mu      sync.Mutex
	worked  int
	longest time.Duration
}

// count counts a piece of work and how long it kept the others waiting.
func (f *figures) count(worked bool, took time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if worked {
		f.worked++
	}
	f.longest = max(f.longest, took)
}

// take returns the figures and begins anew.
func (f *figures) take() (worked int, longest time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	worked, longest = f.worked, f.longest
	f.worked, f.longest = 0, 0
	return worked, longest
}

// report logs in one line how busy the bot was since the last time, at the end too.
func (l *Loops) report() {
	c, err := l.desk.Counts(now())
	if err != nil {
		l.log.Error("what there is to do could not be counted", "err", err)
		return
	}
	worked, longest := l.figures.take()
	l.log.Info("busy", "operators", c.Operators, "worked", worked, "waiting", c.Waiting,
		"due", c.Due, "owed", c.Owed, "longest", longest.Round(time.Millisecond), "bytes", c.Bytes)
}
