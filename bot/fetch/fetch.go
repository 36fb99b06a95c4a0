// Package fetch gets the documents that operators send, whatever the messaging app:
// what comes in names a document, which is fetched later, one after the other, and
// comes into the inbox whole. Which are still to be fetched is on disk, so that none is
// lost with the process; whoever is put out or forgotten has theirs called off.
package fetch

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"time"

	"skyslate/bot"
	"skyslate/bot/beat"
	"skyslate/bot/event"
	"skyslate/bot/guests"
	"skyslate/storage"
)

const (
	pause  = 30 * time.Second
	atMost = 5 * time.Minute // for a document
	// TriedFor is how long a document is tried; then it is given up.
	TriedFor = 24 * time.Hour
)

// ErrGone is a document that can't be had.
var ErrGone = errors.New("the file can't be had")

// Config is how an app's documents are fetched. All but Log is needed.
type Config struct {
	Desk   *bot.Desk
	Guests *guests.Guests
	Log    *slog.Logger // nil: none

	// Get puts a document into the desk's keeping, under the ID of its event. An error
	// that is not ErrGone means: try again later.
	Get func(context.Context, Wanted) (event.Document, error)
	// Encode is what comes into the inbox; nil: the document can't be had.
	Encode func(Wanted, *event.Document) (storage.Raw, error)
	// Queue is the queue as it stands, Keep changes it on disk, with the events.
	Queue func() Queue
	Keep  func(change func(*Queue, *guests.Draft) []storage.Raw) error
}

// Fetcher fetches an app's documents. Safe for concurrent use.
type Fetcher struct {
	Config
	news beat.Bell

	mu     sync.Mutex
	raw    string // the event whose document is being fetched
	cancel context.CancelFunc
}

// New returns a fetcher, which is at work in [Fetcher.Run].
func New(c Config) *Fetcher {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	return &Fetcher{Config: c, news: beat.NewBell()}
}

// Wake tells that a document has come to be wanted.
func (f *Fetcher) Wake() { f.news.Ring() }

// Run fetches what is wanted until ctx ends.
func (f *Fetcher) Run(ctx context.Context) {
	for ctx.Err() == nil {
		var retry <-chan time.Time
		if left := f.all(ctx); left {
			retry = time.After(pause)
		}
		select {
		case <-f.news:
		case <-retry:
		case <-ctx.Done():
		}
	}
}

// all fetches what it can and reports whether something is left.
func (f *Fetcher) all(ctx context.Context) (left bool) {
	for _, w := range f.Queue().list {
		doc, err := f.one(ctx, w)
		if err != nil && !errors.Is(err, ErrGone) && time.Since(w.At) < TriedFor {
			f.Log.Debug("a document could not be fetched; it is tried again", "err", err)
			left = true
			continue
		}
		if err != nil {
			f.Log.Warn("a document can't be fetched", "err", err)
		}
		if err := f.fetched(w, doc); err != nil {
			f.Log.Warn("a document could not be stored; it is tried again", "err", err)
			left = true
		}
	}
	return left
}

// one fetches a document that is still wanted, unless it is called off meanwhile.
func (f *Fetcher) one(ctx context.Context, w Wanted) (*event.Document, error) {
	ctx, cancel := context.WithTimeout(ctx, atMost)
	defer cancel()
	f.mu.Lock()
	f.raw, f.cancel = w.Raw, cancel
	f.mu.Unlock()
	if q := f.Queue(); !q.Awaits(w.Raw) || !f.Guests.Admits(w.Operator) {
		return nil, ErrGone
	}
	doc, err := f.Get(ctx, w)
	if err != nil {
		return nil, err
	}
	return &doc, nil
}

// fetched puts a document into the inbox if it is still wanted; nil if it can't be
// had.
func (f *Fetcher) fetched(w Wanted, doc *event.Document) error {
	raw, err := f.Encode(w, doc)
	if err != nil {
		return err
	}
	var wanted bool
	err = f.Keep(func(q *Queue, d *guests.Draft) []storage.Raw {
		wanted = q.Awaits(w.Raw) && d.Admits(w.Operator)
		q.Drop(func(other Wanted) bool { return other.Raw == w.Raw })
		if !wanted {
			return nil
		}
		return []storage.Raw{raw}
	})
	if err == nil && !wanted {
		err = f.Desk.DropDocument(w.Raw)
	}
	return err
}

// Fetching is the event whose document is being fetched, or was last.
func (f *Fetcher) Fetching() string {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.raw
}

// CallOff ends the fetch under way if the queue, which has changed, holds it no more.
func (f *Fetcher) CallOff(q Queue) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.cancel != nil && !q.Awaits(f.raw) {
		f.cancel()
	}
}
