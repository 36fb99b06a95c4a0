package run

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"time"

	"skyslate/bot"
	"skyslate/storage"
)

// Fate is what becomes of a post that a transport could not send.
type Fate int

// The fates of a post.
const (
	Again    Fate = iota // try again, later posts of that operator wait
	Never                // this post can never go out: it is dropped and the next one tried
	Unwanted             // the same, but nothing is wrong: its operator wants it no more
	Stop                 // nothing can go out any more: the loops end
)

// SendError is a transport's word on why a post did not go out.
type SendError struct {
	Fate  Fate
	After time.Duration // Again: not before; 0: after a pause that grows from try to try
	Err   error
}

func (e *SendError) Error() string { return e.Err.Error() }

// Unwrap returns Err.
func (e *SendError) Unwrap() error { return e.Err }

// errLeft is why a post is not sent to its end: it is owed no more, or its
// operator is forgotten.
var errLeft = errors.New("the operator is forgotten")

// sender brings out what is owed, in rounds. Each operator has a lane: within
// it posts go one after the other, and an error holds up that lane alone.
//
// The outbox is read only between rounds, because settling a post means the
// post as it was last read: what has replaced it meanwhile is still owed. News
// ends a round early, so that no lane keeps another operator waiting for longer
// than one post takes.
type sender struct {
	*Loops
	slots chan struct{}
	yield atomic.Bool // lanes stop after the post in flight
	lanes map[storage.OperatorID]*lane
}

// lane is what is remembered of one operator's way out.
type lane struct {
	until time.Time // not before; with the monotonic reading, whatever the clock is set to
	pause pause
}

// sendLoop sends until ctx ends, and returns when nothing is being sent any more.
func (l *Loops) sendLoop(ctx context.Context) {
	s := &sender{Loops: l, slots: make(chan struct{}, lanesAtOnce), lanes: map[storage.OperatorID]*lane{}}
	var p pause
	for ctx.Err() == nil {
		n := l.marks.worked.Load()
		owed, err := s.owed()
		if err != nil {
			l.log.Error("what is owed could not be read; it is tried again", "err", err)
			p.wait(ctx)
			continue
		}
		p.reset()
		started, next := s.round(ctx, owed)
		if started == 0 {
			l.marks.sentUpTo(n)
			left := forever
			if !next.IsZero() {
				left = time.Until(next)
			}
			await(ctx, l.send, left)
		}
	}
}

func (s *sender) owed() (owed map[storage.OperatorID][]bot.Outgoing, err error) {
	defer contain(&err)
	posts, err := s.desk.Owed(now())
	owed = map[storage.OperatorID][]bot.Outgoing{}
	for _, o := range posts {
		owed[o.Operator] = append(owed[o.Operator], o)
	}
	return owed, err
}

// round sends to every operator who is owed something and whose lane is not
// held. It returns how many lanes it started, and the earliest moment at which
// a held one may go on, zero if none is.
func (s *sender) round(ctx context.Context, owed map[storage.OperatorID][]bot.Outgoing) (started int, next time.Time) {
	var lanes sync.WaitGroup
	s.yield.Store(false)
	at := time.Now()
	for op, posts := range owed {
		ln := s.lanes[op]
		if ln == nil {
			ln = new(lane)
			s.lanes[op] = ln
		}
		if at.Before(ln.until) {
			if next.IsZero() || ln.until.Before(next) {
				next = ln.until
			}
			continue
		}
		started++
		lanes.Go(func() { s.runLane(ctx, ln, posts) })
	}
	if started == 0 {
		return started, next
	}
	done := make(chan struct{})
	go func() { lanes.Wait(); close(done) }()
	select {
	case <-done:
	case <-s.send:
		s.yield.Store(true)
		<-done
	}
	return started, next
}

// runLane sends posts in order until one has to wait.
func (s *sender) runLane(ctx context.Context, ln *lane, posts []bot.Outgoing) {
	s.slots <- struct{}{}
	defer func() { <-s.slots }()
	for i, o := range posts {
		if ctx.Err() != nil || i > 0 && s.yield.Load() || !s.sendOne(ctx, ln, o) {
			return
		}
	}
}

// sendOne sends a post and reports whether the lane may go on to the next.
func (s *sender) sendOne(ctx context.Context, ln *lane, o bot.Outgoing) bool {
	id, err := s.bringOut(ctx, o)
	var refused *SendError
	switch {
	case err == nil:
		ln.pause.reset()
		s.settle(ctx, o.Name, func(at time.Time) error { return s.desk.Settled(o.Name, id, at) })
		return true
	case errors.Is(err, errLeft):
		return true
	case !errors.As(err, &refused):
		refused = &SendError{Err: err}
	}
	switch refused.Fate {
	case Never:
		s.log.Warn("a post can never go out; it is dropped", "post", o.Name, "err", err)
		s.settle(ctx, o.Name, func(at time.Time) error { return s.desk.Failed(o.Name, err.Error(), at) })
		return true
	case Unwanted:
		s.log.Info("a post is not wanted any more; it is dropped", "post", o.Name, "why", err)
		s.settle(ctx, o.Name, func(at time.Time) error { return s.desk.Unwanted(o.Name, err.Error(), at) })
		return true
	case Stop:
		s.fatal(err)
	}
	wait := refused.After
	if wait <= 0 {
		wait = ln.pause.next()
	}
	s.log.Warn("a post did not go out; it is tried again", "post", o.Name, "wait", wait, "err", err)
	ln.until = time.Now().Add(wait)
	return false
}

// bringOut makes the file of a post and sends the post if it is still owed: it
// may have been read a while ago. Whoever is forgotten after that finds the send
// in flight, and ends it. A panic is the post's: another try would end the same
// way.
func (s *sender) bringOut(ctx context.Context, o bot.Outgoing) (id int64, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = &SendError{Fate: Never, Err: panicked(r)}
		}
	}()
	o, ok, err := s.desk.Fill(o, now())
	if err != nil {
		return 0, err
	}
	if !ok {
		return 0, errLeft
	}
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	s.mu.Lock()
	s.inFlight[o.Operator] = cancel
	s.mu.Unlock()
	owed, err := s.desk.Owes(o.Name)
	if err != nil {
		return 0, err
	}
	if !owed {
		return 0, errLeft
	}
	id, err = s.transport.Send(ctx, o)
	if err != nil && errors.Is(context.Cause(ctx), errLeft) {
		err = errLeft
	}
	return id, err
}

// settle writes down what became of a post, again and again until it is
// written: to read the outbox before would send the post twice.
func (s *sender) settle(ctx context.Context, name string, write func(at time.Time) error) {
	var p pause
	for {
		err := write(now())
		if err == nil || ctx.Err() != nil {
			return
		}
		s.log.Error("what became of a post could not be written down; it is tried again", "post", name, "err", err)
		p.wait(ctx)
	}
}
