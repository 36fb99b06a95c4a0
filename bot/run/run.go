// Package run keeps a [bot.Desk] going while a messaging app is connected to
// it. Three loops share the work:
//
//   - the worker asks the Desk to plan and commit one event that came in and one
//     moment that fell due, in turn. Operators take turns, too: neither what one
//     of them sent nor a long agenda keeps another one's answer waiting;
//   - the sender brings out what is owed, the most urgent first, to several
//     operators at once and to each of them one post after the other, so that one
//     whose phone can't be reached holds nobody else up;
//   - the tick has the worker look every few seconds what fell due, and what is
//     ahead: where more reminders fall due together than go out in time, they
//     begin early. It asks the store, not a timer for each item: that survives
//     restarts, suspended machines and steps of the clock.
//
// Of an operator for whom there is nothing to do the loops hold nothing. The end
// takes less than five seconds, whatever there is to do.
//
// A messaging app is a [Transport]. It hands what it receives to
// [Loops.Accept], which returns when it is on disk, and sends what it is given;
// everything between the two is the same for all of them.
//
// Together with the transports this is the only place that asks for the time.
package run

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"skyslate/bot"
	"skyslate/bot/beat"
	"skyslate/storage"
)

// Transport is one messaging app.
type Transport interface {
	// Receive hands everything that comes in to in.Accept, and calls
	// in.CaughtUp once when all that had waited is in. It returns when ctx ends,
	// when nothing more can come (nil), or when it can't go on.
	Receive(ctx context.Context, in Intake) error

	// Send brings one post out and returns the messaging app's name of it, none if
	// it gives none. It is called for several operators at once, and for each of
	// them for one post after the other; only the word about a full disk may come
	// in between. An error that is not a *SendError means: try again later.
	//
	// It calls away, once or more, when nothing that is sent to others keeps the post
	// waiting any longer. Until then no other post is taken from what is owed: those
	// that wait for the service's rate wait there, where the most urgent is first.
	Send(ctx context.Context, o bot.Outgoing, away func()) (appName string, err error)
}

// Intake is where what comes in goes: [Loops], or a part of them.
type Intake interface {
	Accept(keep map[string][]byte, raws ...storage.Raw) error
	CaughtUp()
	Quiet(ctx context.Context) error
}

// Pauses of the loops. They are long against what a healthy machine needs and
// short against a pass.
const (
	tickEvery   = 10 * time.Second        // how often the agenda is looked at
	backlogWait = 30 * time.Second        // the agenda waits no longer for the backlog after a start
	grace       = 3 * time.Second         // for what is in hand when the loops end
	lastWord    = 1500 * time.Millisecond // after that, for what is on its way out
	firstPause  = time.Second             // after an error; doubles up to
	longPause   = time.Minute
	lanesAtOnce = 8  // operators sent to at the same time
	perSecond   = 25 // posts that a transport brings out, as far as is foreseen
)

// Loops is a Desk with a transport. Make one with New and call Run once.
type Loops struct {
	desk      *bot.Desk
	transport Transport
	log       *slog.Logger

	marks marks
	work  beat.Bell // wakes the worker
	send  beat.Bell // wakes the sender
	door  door

	started time.Time
	fatal   context.CancelCauseFunc
	figures figures

	// Of the worker: when the agenda was last looked at, with the monotonic
	// reading, and the reminders that begin early.
	looked    time.Time
	ahead     []string
	ticked    atomic.Bool
	perSecond float64

	full  chan bot.Outgoing // the word about a full disk
	mu    sync.Mutex        // of the two maps
	told  map[storage.OperatorID]time.Time
	lanes map[storage.OperatorID]*lane
}

// New returns the loops of desk and transport; log may be nil.
func New(desk *bot.Desk, transport Transport, log *slog.Logger) *Loops {
	if log == nil {
		log = slog.New(slog.DiscardHandler)
	}
	l := &Loops{
		desk: desk, transport: transport, log: log,
		work: beat.NewBell(), send: beat.NewBell(), door: make(door, 1),
		full: make(chan bot.Outgoing, 16), told: map[storage.OperatorID]time.Time{},
		lanes: map[storage.OperatorID]*lane{}, perSecond: perSecond,
		marks: marks{moved: make(chan struct{})},
	}
	desk.OnLeave(bot.Leaving{After: l.forget})
	return l
}

// Accept puts what came in on disk, with the transport's own small values in
// the same transaction, and wakes the worker. When it returns nil the messaging
// app may forget what it delivered.
func (l *Loops) Accept(keep map[string][]byte, raws ...storage.Raw) error {
	if err := l.desk.Accept(keep, raws...); err != nil {
		l.noRoom(err, raws...)
		return err
	}
	if len(raws) > 0 {
		l.marks.asked.Add(1)
		l.work.Ring()
	}
	return nil
}

// CaughtUp says that everything that had waited in the messaging app was
// accepted. The agenda is looked at as soon as that is worked off, so that a
// reminder knows what was typed meanwhile.
func (l *Loops) CaughtUp() {
	l.marks.caughtUp()
	l.work.Ring()
}

// Quiet waits until everything accepted before the call was worked off and
// everything owed was sent, or tried at least once.
func (l *Loops) Quiet(ctx context.Context) error {
	n := l.marks.asked.Add(1)
	l.work.Ring()
	return l.marks.waitSent(ctx, n)
}

// Run starts the loops and returns when they have ended: when ctx ends, when
// the transport has nothing more to receive, or with the error because of which
// either can't go on. What is in hand at the end gets a few seconds; what
// can't be done by then is on disk and is done after the next start.
func (l *Loops) Run(ctx context.Context) error {
	receiving, fatal := context.WithCancelCause(ctx)
	defer fatal(nil)
	running, stop := context.WithCancel(context.WithoutCancel(ctx))
	defer stop()
	l.fatal, l.started = fatal, time.Now()

	var loops sync.WaitGroup
	loops.Go(func() { l.workLoop(running) })
	loops.Go(func() { l.sendLoop(running) })
	loops.Go(func() { l.tellFull(running) })
	loops.Go(func() { beat.Every(running, tickEvery, "agenda", l.log, l.tick) })
	loops.Go(func() { beat.Every(running, reportEvery, "figures", l.log, l.report) })

	err := l.transport.Receive(receiving, l)
	finishing, cancel := context.WithTimeout(running, grace)
	defer cancel()
	if l.Quiet(finishing) != nil {
		l.log.Warn("stopped before everything was worked off; it is kept for the next start")
	}
	stop()
	loops.Wait()
	l.report()
	asked := ctx.Err() != nil
	switch cause := context.Cause(receiving); {
	case cause != nil && !asked:
		return cause
	case asked && errors.Is(err, context.Canceled):
		return nil
	}
	return err
}

// forget drops what the loops hold of an operator who is forgotten, and ends the
// send of their post. One that was held up waits no longer.
func (l *Loops) forget(op storage.OperatorID) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.told, op)
	ln := l.lanes[op]
	if ln == nil {
		return
	}
	delete(l.lanes, op)
	ln.end(errLeft) // does nothing once the send has ended
	if ln.held != nil && ln.held.Stop() {
		l.desk.Release(op)
	}
}
