package run

import (
	"context"
	"fmt"
	"runtime/debug"
	"time"

	"skyslate/bot/beat"
)

// workLoop takes one event after the other from the inbox until ctx ends.
func (l *Loops) workLoop(ctx context.Context) {
	var p pause
	for ctx.Err() == nil {
		n := l.marks.asked.Load()
		worked, err := l.workOne()
		switch {
		case err != nil:
			l.log.Error("an event could not be worked off; it stays in the inbox", "err", err)
			l.noRoom(err)
			p.wait(ctx)
		case worked:
			p.reset()
			wake(l.send)
		default:
			p.reset()
			l.inboxEmpty(n)
			l.idle(ctx)
		}
	}
}

// idle waits for the next event, and does what falls due before the next beat of
// the ticker: the slices of a large import follow each other closely, and an
// event that comes in between two of them is not kept waiting.
func (l *Loops) idle(ctx context.Context) {
	next, ok, err := l.desk.Next()
	left := time.Until(next)
	if err != nil || !ok || left > tickEvery || left < 0 || !l.marks.backlogIn() {
		left = forever
	}
	if await(ctx, l.work, left+time.Millisecond) {
		l.due()
	}
}

// inboxEmpty moves the mark. The agenda is looked at when the backlog is in,
// without waiting for the next tick.
func (l *Loops) inboxEmpty(n uint64) {
	if n <= l.marks.worked.Load() {
		return
	}
	before := l.marks.backlogIn()
	l.marks.worked.Store(n)
	if !before && l.marks.backlogIn() {
		l.due()
	}
	wake(l.send)
}

func (l *Loops) workOne() (worked bool, err error) {
	l.writer.Lock()
	defer l.writer.Unlock()
	defer contain(&err)
	return l.desk.Work(now())
}

// tick is one beat of the ticker. After a start it waits for the backlog, but
// not for ever: a messaging app that can't be reached must not hold up a
// reminder that may yet get through.
func (l *Loops) tick() {
	if l.marks.backlogIn() || time.Since(l.started) >= backlogWait {
		l.due()
	}
}

func (l *Loops) due() {
	n, err := l.dueNow()
	if err != nil {
		l.log.Error("the agenda could not be worked off; it is tried again", "err", err)
		l.noRoom(err)
	}
	if n > 0 {
		wake(l.send)
	}
}

func (l *Loops) dueNow() (n int, err error) {
	l.writer.Lock()
	defer l.writer.Unlock()
	defer contain(&err)
	if err := l.setClock(); err != nil {
		return 0, err
	}
	return l.desk.Due(now())
}

// setClock has all passes planned anew at the start and when the wall clock was
// set back: one that ran ahead has taken moments off the agenda that are still to
// come. A clock set forward, and a machine that slept, need nothing: what fell
// due is on the agenda.
func (l *Loops) setClock() error {
	at := time.Now()
	setBack := !l.looked.IsZero() && beat.SetBack(l.looked.Round(0), at.Round(0), at.Sub(l.looked))
	if setBack {
		l.log.Warn("the clock was set back; passes are planned anew", "from", l.looked.Round(0), "to", at.Round(0))
	}
	if setBack || l.looked.IsZero() {
		if err := l.desk.Replan(now()); err != nil {
			return err
		}
	}
	l.looked = at
	return nil
}

// contain turns a panic into an error.
func contain(err *error) {
	if r := recover(); r != nil {
		*err = panicked(r)
	}
}

func panicked(r any) error { return fmt.Errorf("panic: %v\n%s", r, debug.Stack()) }

// now is the time in UTC, without the monotonic reading: what is stored has
// none either.
func now() time.Time { return time.Now().UTC().Round(0) }

// pause is a wait that grows from error to error.
type pause struct{ last time.Duration }

func (p *pause) reset() { p.last = 0 }

// next is the length of the next wait.
func (p *pause) next() time.Duration {
	p.last = min(max(2*p.last, firstPause), longPause)
	return p.last
}

func (p *pause) wait(ctx context.Context) { await(ctx, nil, p.next()) }

// forever is longer than any loop waits.
const forever = 1000 * time.Hour

// await waits for news, or for so long, or for the end, and reports whether the
// time is up.
func await(ctx context.Context, news <-chan struct{}, atMost time.Duration) bool {
	select {
	case <-time.After(atMost):
		return true
	case <-news:
	case <-ctx.Done():
	}
	return false
}
