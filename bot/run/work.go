package run

import (
	"context"
	"fmt"
	"runtime/debug"
	"time"

	"skyslate/bot/beat"
)

// source is where work comes from. One that fails is left alone for a while, and
// the other one goes on.
type source struct {
	next   func() (worked bool, err error) // does one piece of work
	failed string                          // what its failure means
	pause  pause
	until  time.Time // not before
}

// workLoop works the events that came in and the moments that fell due, until ctx
// ends. It alone writes the operators' data, and takes one event and one moment in
// turn: neither a long agenda nor a backlog makes the other wait, or the end.
func (l *Loops) workLoop(ctx context.Context) {
	events := source{next: l.workOne, failed: "an event could not be worked off; it stays in the inbox"}
	moments := source{next: l.momentOne, failed: "the agenda could not be worked off; it is tried again"}
	for ctx.Err() == nil {
		n := l.marks.asked.Load()
		worked := l.try(&events)
		if !worked && events.until.IsZero() {
			l.inboxEmpty(n)
		}
		due := l.agendaOpen() && l.try(&moments)
		if worked || due {
			l.send.Ring()
			continue
		}
		l.idle(ctx, &events, &moments)
	}
}

// try does one piece of work and reports whether there was any.
func (l *Loops) try(s *source) bool {
	began := time.Now()
	if began.Before(s.until) {
		return false
	}
	worked, err := contained(s.next)
	l.figures.count(worked, time.Since(began))
	s.until = time.Time{}
	if err != nil {
		l.log.Error(s.failed, "err", err)
		l.noRoom(err)
		s.until = began.Add(s.pause.next())
		return false
	}
	s.pause.reset()
	return worked
}

// idle waits for the next event, for the moment that falls due before the next
// beat of the ticker, or for the end of a pause.
func (l *Loops) idle(ctx context.Context, sources ...*source) {
	left := forever
	for _, s := range sources {
		if !s.until.IsZero() {
			left = min(left, time.Until(s.until))
		}
	}
	next, ok, err := l.desk.Next()
	if due := time.Until(next); err == nil && ok && due > 0 && due <= tickEvery && l.agendaOpen() {
		left = min(left, due+time.Millisecond)
	}
	await(ctx, l.work, left)
}

// inboxEmpty moves the mark.
func (l *Loops) inboxEmpty(n uint64) {
	if n > l.marks.worked.Load() {
		l.marks.worked.Store(n)
		l.send.Ring()
	}
}

func (l *Loops) workOne() (worked bool, err error) { return l.desk.Work(now()) }

// agendaOpen reports whether the agenda may be looked at. After a start it waits
// for the backlog, but not for ever: a messaging app that can't be reached must
// not hold up a reminder that may yet get through.
func (l *Loops) agendaOpen() bool {
	return l.marks.backlogIn() || time.Since(l.started) >= backlogWait
}

// momentOne handles the first moment that is due or, where none is, a reminder of a
// storm ahead of its time.
func (l *Loops) momentOne() (worked bool, err error) {
	if err := l.setClock(); err != nil {
		return false, err
	}
	if l.ticked.Swap(false) {
		if l.ahead, err = l.desk.Ahead(now(), tickEvery, l.perSecond); err != nil {
			return false, err
		}
	}
	worked, err = l.desk.Moment(now())
	if err != nil || worked || len(l.ahead) == 0 {
		return worked, err
	}
	early := l.ahead[0]
	l.ahead = l.ahead[1:]
	return true, l.desk.MomentAhead(early, now())
}

// tick is one beat of the ticker: the worker looks at the agenda, and ahead.
func (l *Loops) tick() {
	l.ticked.Store(true)
	l.work.Ring()
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

// contained runs a piece of work; a panic of it is an error.
func contained(work func() (bool, error)) (worked bool, err error) {
	defer contain(&err)
	return work()
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

// await waits for news, or for so long, or for the end.
func await(ctx context.Context, news <-chan struct{}, atMost time.Duration) {
	select {
	case <-time.After(atMost):
	case <-news:
	case <-ctx.Done():
	}
}
