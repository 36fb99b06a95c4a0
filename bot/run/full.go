package run

import (
	"context"
	"errors"
	"maps"
	"time"

	"skyslate/bot"
	"skyslate/storage"
)

const (
	fullAgain = time.Hour
	fullFor   = 30 * time.Second // a try to tell
)

// noRoom tells operators of a full disk, each once an hour, past the outbox,
// which is on that disk: the operators whose messages could not be taken in or,
// without any, could not be worked off. Any other error is no business of theirs.
func (l *Loops) noRoom(err error, raws ...storage.Raw) {
	if !errors.Is(err, storage.ErrNoSpace) {
		return
	}
	at := now()
	posts := l.desk.NoRoom(at, raws...)
	l.mu.Lock()
	defer l.mu.Unlock()
	maps.DeleteFunc(l.told, func(_ storage.OperatorID, last time.Time) bool { return at.Sub(last).Abs() >= fullAgain })
	for _, o := range posts {
		if _, told := l.told[o.Operator]; told {
			continue
		}
		l.told[o.Operator] = at
		select {
		case l.full <- o:
		default: // many are told already
		}
	}
}

// tellFull sends what is told past the outbox, until ctx ends.
func (l *Loops) tellFull(ctx context.Context) {
	for {
		select {
		case o := <-l.full:
			if err := l.tellOne(ctx, o); err != nil {
				l.log.Warn("an operator could not be told that the disk is full", "operator", o.Operator, "err", err)
			}
		case <-ctx.Done():
			return
		}
	}
}

func (l *Loops) tellOne(ctx context.Context, o bot.Outgoing) (err error) {
	ctx, cancel := context.WithTimeout(ctx, fullFor)
	defer cancel()
	defer contain(&err)
	for {
		_, err = l.transport.Send(ctx, o, func() {})
		refused := new(SendError)
		if !errors.As(err, &refused) || refused.Fate != Later || ctx.Err() != nil {
			return err
		}
		await(ctx, nil, refused.After)
	}
}
