package run

import (
	"context"
	"errors"
	"sync"

	"skyslate/bot"
	"skyslate/storage"
)

// errLeft is why a post is not sent to its end: its operator is forgotten.
var errLeft = errors.New("the operator is forgotten")

// hands are the posts that are being sent, one an operator, so that what is in
// hand for one who is forgotten can be let go.
type hands struct {
	mu   sync.Mutex
	held map[storage.OperatorID]context.CancelCauseFunc
}

// take returns the context of what is in hand for an operator from now on.
func (h *hands) take(ctx context.Context, op storage.OperatorID) (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(ctx)
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.held == nil {
		h.held = map[storage.OperatorID]context.CancelCauseFunc{}
	}
	h.held[op] = cancel
	return ctx, func() {
		h.mu.Lock()
		defer h.mu.Unlock()
		delete(h.held, op)
		cancel(nil)
	}
}

// let lets go of what is in hand for an operator.
func (h *hands) let(op storage.OperatorID) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if cancel := h.held[op]; cancel != nil {
		cancel(errLeft)
	}
}

// forget drops what the loops hold of an operator who is forgotten.
func (l *Loops) forget(op storage.OperatorID) {
	l.hands.let(op)
	l.full.forget(op)
}

// sendOwed sends a post if it is still owed: it may have been read a while ago.
// Whoever is forgotten after that finds it in hand, and lets it go.
func (l *Loops) sendOwed(ctx context.Context, o bot.Outgoing) (int64, error) {
	ctx, done := l.hands.take(ctx, o.Operator)
	defer done()
	owed, err := l.desk.Owes(o.Name)
	if err != nil {
		return 0, err
	}
	if !owed {
		return 0, errLeft
	}
	id, err := l.transport.Send(ctx, o)
	if err != nil && errors.Is(context.Cause(ctx), errLeft) {
		err = errLeft
	}
	return id, err
}
