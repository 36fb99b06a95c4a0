package run

import (
	"context"
	"errors"
	"sync"
	"time"

	"skyslate/bot"
	"skyslate/storage"
)

// full tells operators when the disk is full: past the outbox, which is on that
// disk. Each is told once an hour.
type full struct {
	tell chan bot.Outgoing

	mu   sync.Mutex
	told map[storage.OperatorID]time.Time
}

const (
	fullAgain = time.Hour
	fullFor   = 30 * time.Second // a try to tell
)

// noRoom tells those whom a lack of room concerns: whose messages could not be
// taken in or, without any, could not be worked off. Any other error is no
// business of theirs.
func (l *Loops) noRoom(err error, raws ...storage.Raw) {
	if !errors.Is(err, storage.ErrNoSpace) {
		return
	}
	at := now()
	for _, o := range l.desk.NoRoom(at, raws...) {
		if !l.full.isNews(o.Operator, at) {
			continue
		}
		select {
		case l.full.tell <- o:
		default: // many are told already
		}
	}
}

// isNews reports whether an operator was not told lately, and takes it that they
// are told now.
func (f *full) isNews(op storage.OperatorID, at time.Time) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	if last, ok := f.told[op]; ok && at.Sub(last).Abs() < fullAgain {
		return false
	}
	if f.told == nil {
		f.told = map[storage.OperatorID]time.Time{}
	}
	f.told[op] = at
	return true
}

func (f *full) forget(op storage.OperatorID) {
	f.mu.Lock()
	defer f.mu.Unlock()
	delete(f.told, op)
}

// tellFull sends what is told past the outbox, until ctx ends.
func (l *Loops) tellFull(ctx context.Context) {
	for {
		select {
		case o := <-l.full.tell:
			l.tellOne(ctx, o)
		case <-ctx.Done():
			return
		}
	}
}

func (l *Loops) tellOne(ctx context.Context, o bot.Outgoing) {
	ctx, cancel := context.WithTimeout(ctx, fullFor)
	defer cancel()
	var err error
	func() {
		defer contain(&err)
		_, err = l.transport.Send(ctx, o)
	}()
	if err != nil {
		l.log.Warn("an operator could not be told that the disk is full", "operator", o.Operator, "err", err)
	}
}
