package run

import (
	"context"
	"errors"
	"sync"
	"time"

	"skyslate/bot"
	"skyslate/storage"
)

// Fate is what becomes of a post that a transport could not send.
type Fate int

// The fates of a post.
const (
	Again    Fate = iota // try again, later posts of that operator wait
	Later                // the same, but nothing is wrong: it is not their turn yet
	Never                // this post can never go out: it is dropped and the next one tried
	Unwanted             // the same, but nothing is wrong: its operator wants it no more
	Stop                 // nothing can go out any more: the loops end
)

// SendError is a transport's word on why a post did not go out.
type SendError struct {
	Fate  Fate
	After time.Duration // Again, Later: not before; 0: after a pause that grows from try to try
	Err   error
}

func (e *SendError) Error() string { return e.Err.Error() }

// Unwrap returns Err.
func (e *SendError) Unwrap() error { return e.Err }

// errLeft is why a post is not sent to its end: it is owed no more, or its
// operator is forgotten.
var errLeft = errors.New("the operator is forgotten")

// sendLoop brings out the posts that are owed, until ctx ends, and returns when
// none is being sent any more. It takes the next post when a send may begin and the
// one before waits no longer for the service's rate, so that an answer waits behind
// no list. To each operator one post goes out after the other, and an error holds up
// that operator alone. The posts on their way at the end get a moment more: cut off,
// they would be sent twice.
func (l *Loops) sendLoop(ctx context.Context) {
	sending, cut := context.WithCancel(context.WithoutCancel(ctx))
	defer cut()
	defer context.AfterFunc(ctx, func() { time.AfterFunc(lastWord, cut) })()
	slots := make(chan struct{}, lanesAtOnce)
	var posts sync.WaitGroup
	defer posts.Wait()
	var p pause
	for ctx.Err() == nil {
		slots <- struct{}{}
		through := l.door.enter()
		n, alone := l.marks.worked.Load(), len(slots) == 1
		o, ok, err := l.take()
		switch {
		case err != nil:
			through()
			<-slots
			l.log.Error("what is owed could not be read; it is tried again", "err", err)
			p.wait(ctx)
			continue
		case !ok:
			through()
			<-slots
			if alone && l.allTried() {
				l.marks.sentUpTo(n)
			}
			await(ctx, l.send, forever)
		default:
			posts.Go(func() {
				defer l.send.Ring()
				defer func() { <-slots }()
				wait, later := l.sendOne(sending, o, through)
				l.follow(o.Operator, wait, later)
			})
		}
		p.reset()
	}
}

func (l *Loops) take() (o bot.Outgoing, ok bool, err error) {
	defer contain(&err)
	return l.desk.Take(now())
}

// door is where posts stand that wait for the service's rate: one at a time.
type door chan struct{}

// enter waits until nobody stands there; through, called once or more, says that the
// post stands there no more.
func (d door) enter() (through func()) {
	d <- struct{}{}
	return sync.OnceFunc(func() { <-d })
}

// lane is remembered of an operator while a post is on its way to them, or has to
// wait.
type lane struct {
	end   context.CancelCauseFunc // ends the send under way
	pause pause
	held  *time.Timer // until the next try; nil: it may begin
	later bool        // nothing was wrong, and the next try will come
}

// begin notes the send to an operator that begins.
func (l *Loops) begin(op storage.OperatorID, end context.CancelCauseFunc) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.lanes[op] == nil {
		l.lanes[op] = new(lane)
	}
	l.lanes[op].end = end
}

// follow lets an operator's next post follow, at once or after a wait.
func (l *Loops) follow(op storage.OperatorID, after time.Duration, later bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	ln := l.lanes[op]
	if ln == nil || after == 0 {
		delete(l.lanes, op)
		l.desk.Release(op)
		return
	}
	ln.later = later
	ln.held = time.AfterFunc(after, func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		ln.held = nil
		l.desk.Release(op)
		l.send.Ring()
	})
}

// allTried reports whether each post that is owed was tried. It drops the lanes
// on which nothing is left to try.
func (l *Loops) allTried() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	tried := true
	for op, ln := range l.lanes {
		if ln.held == nil && !l.desk.OwesTo(op) {
			delete(l.lanes, op)
		} else if ln.later {
			tried = false
		}
	}
	return tried
}

// waitFor is how long the next try waits: as long as is asked or, where nothing
// is, longer from try to try.
func (l *Loops) waitFor(op storage.OperatorID, asked time.Duration) time.Duration {
	l.mu.Lock()
	defer l.mu.Unlock()
	if ln := l.lanes[op]; asked <= 0 && ln != nil {
		return ln.pause.next()
	}
	return max(asked, 0)
}

// sendOne sends a post and says how long the next one to that operator waits, and
// whether that is because it is not their turn.
func (l *Loops) sendOne(ctx context.Context, o bot.Outgoing, through func()) (wait time.Duration, later bool) {
	appName, err := l.bringOut(ctx, o, through)
	var refused *SendError
	switch {
	case err == nil:
		l.settle(ctx, o.Name, func(at time.Time) error { return l.desk.Settled(o.Name, appName, at) })
		return 0, false
	case errors.Is(err, errLeft):
		return 0, false
	case !errors.As(err, &refused):
		refused = &SendError{Err: err}
	}
	switch refused.Fate {
	case Never:
		l.log.Warn("a post can never go out; it is dropped", "post", o.Name, "err", err)
		l.settle(ctx, o.Name, func(at time.Time) error { return l.desk.Failed(o.Name, err.Error(), at) })
		return 0, false
	case Unwanted:
		l.log.Info("a post is not wanted any more; it is dropped", "post", o.Name, "why", err)
		l.settle(ctx, o.Name, func(at time.Time) error { return l.desk.Unwanted(o.Name, err.Error(), at) })
		return 0, false
	case Later:
		return max(refused.After, time.Millisecond), true
	case Stop:
		l.fatal(err)
	}
	wait = l.waitFor(o.Operator, refused.After)
	l.log.Warn("a post did not go out; it is tried again", "post", o.Name, "wait", wait, "err", err)
	return wait, false
}

// bringOut makes the file of a post, outside of the door, and sends the post if it is
// still owed: it may have been dropped meanwhile. Whoever is forgotten after that finds the send
// under way, and ends it. A panic is the post's: another try would end the same
// way.
func (l *Loops) bringOut(ctx context.Context, o bot.Outgoing, through func()) (appName string, err error) {
	defer func() {
		through()
		if r := recover(); r != nil {
			err = &SendError{Fate: Never, Err: panicked(r)}
		}
	}()
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	if !o.NotAfter.IsZero() {
		var free func()
		ctx, free = context.WithDeadline(ctx, o.NotAfter)
		defer free()
	}
	l.begin(o.Operator, cancel)
	if o.Op == storage.File {
		through()
		filled, ok, err := l.desk.Fill(o, now())
		if err != nil {
			return "", err
		}
		if !ok {
			return "", errLeft
		}
		o = filled
		through = l.door.enter()
	}
	owed, err := l.desk.Owes(o.Name)
	if err != nil {
		return "", err
	}
	if !owed {
		return "", errLeft
	}
	appName, err = l.transport.Send(ctx, o, through)
	if err != nil && errors.Is(context.Cause(ctx), errLeft) {
		err = errLeft
	}
	return appName, err
}

// settle writes down what became of a post, again and again until it is
// written: to read the outbox before would send the post twice.
func (l *Loops) settle(ctx context.Context, name string, write func(at time.Time) error) {
	var p pause
	for {
		err := write(now())
		if err == nil || ctx.Err() != nil {
			return
		}
		l.log.Error("what became of a post could not be written down; it is tried again", "post", name, "err", err)
		p.wait(ctx)
	}
}
