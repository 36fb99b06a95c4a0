package matrix

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"sync"
	"time"

	"maunium.net/go/mautrix"

	"skyslate/bot"
	"skyslate/bot/fetch"
	"skyslate/bot/guests"
	"skyslate/bot/run"
	"skyslate/storage"
)

// Config says how Matrix is used. Server, Token, Desk and Guests are needed; the Desk
// decodes with Decode.
type Config struct {
	Server string // the address of the bot's server
	Token  Token
	Owners []storage.OperatorID // they are invited at the start
	Desk   *bot.Desk
	Guests *guests.Guests // who is let in
	Log    *slog.Logger   // nil: none

	// Through carries the requests; nil: the network.
	Through http.RoundTripper
}

// Transport is the conversation over Matrix: a [run.Transport].
type Transport struct {
	token  Token
	client *mautrix.Client
	log    *slog.Logger
	desk   *bot.Desk
	guests *guests.Guests
	owners []storage.OperatorID
	fatal  context.CancelCauseFunc

	mu     sync.Mutex // of what is kept, beside who is let in
	kept   kept
	accept guests.Accept // the desk's, then the loops'

	way       *wayOut
	wishes    wishes
	fetcher   *fetch.Fetcher
	sideTasks chan struct{} // wakes their loop
	opening   chan struct{} // wakes the one that opens rooms
}

// New prepares the transport. Nothing is sent yet.
func New(c Config) (*Transport, error) {
	if !c.Token.IsValid() {
		return nil, errors.New("there is no access token")
	}
	client, err := newClient(c)
	if err != nil {
		return nil, err
	}
	kept, err := readKept(c.Desk)
	if err != nil {
		return nil, err
	}
	t := &Transport{
		token: c.Token, client: client, log: c.Log, desk: c.Desk, guests: c.Guests, owners: c.Owners,
		kept: kept, accept: c.Desk.Accept, way: newWayOut(),
		sideTasks: make(chan struct{}, 1), opening: make(chan struct{}, 1),
	}
	if t.log == nil {
		t.log = slog.New(slog.DiscardHandler)
	}
	t.fetcher = fetch.New(fetch.Config{
		Desk: c.Desk, Guests: c.Guests, Log: t.log, Get: t.getDocument, Encode: encodeDocument,
		Queue: func() fetch.Queue {
			t.mu.Lock()
			defer t.mu.Unlock()
			return t.kept.fetches
		},
		Keep: func(change func(*fetch.Queue, *guests.Draft) []storage.Raw) error {
			return t.keep(func(d *draft) []storage.Raw { return change(&d.fetches, d.Draft) })
		},
	})
	c.Desk.OnLeave(bot.Leaving{Before: t.forget, After: t.way.forget})
	c.Guests.OnNotice(func() { wake(t.sideTasks); wake(t.opening) })
	c.Guests.OnInvite(t.reach)
	return t, nil
}

func (t *Transport) now() time.Time { return time.Now().UTC().Round(0) }

// Receive takes messages in until ctx ends or the server refuses the token.
func (t *Transport) Receive(ctx context.Context, in run.Intake) error {
	ctx, fatal := context.WithCancelCause(ctx)
	defer fatal(nil)
	t.fatal = fatal
	t.mu.Lock()
	t.accept = in.Accept
	t.mu.Unlock()
	if t.introduce(ctx) {
		var others sync.WaitGroup
		others.Go(func() { t.roomLoop(ctx) })
		others.Go(func() { t.sideTaskLoop(ctx) })
		others.Go(func() { t.seedLoop(ctx) })
		others.Go(func() { t.fetcher.Run(ctx) })
		t.syncLoop(ctx, in.CaughtUp)
		others.Wait()
	}
	return context.Cause(ctx)
}

// introduce learns the account's own name, as soon as the server can be reached, and
// reports whether it did. What is kept of another account is of no use.
func (t *Transport) introduce(ctx context.Context) bool {
	for wait := time.Second; ctx.Err() == nil; wait = min(2*wait, time.Minute) {
		bounded, cancel := context.WithTimeout(ctx, callFor)
		var me struct {
			User string `json:"user_id"`
		}
		err := t.get(bounded, nil, &me, "v3", "account", "whoami")
		cancel()
		if err == nil && !Serves(storage.OperatorID(me.User)) {
			err = errOtherServer
		}
		if err == nil {
			err = t.become(me.User)
		}
		if err == nil {
			t.log.Info("connected", "bot", me.User)
			return true
		}
		r := t.refusalOf(err)
		if r.fate == run.Stop {
			t.fatal(r.err)
			return false
		}
		t.log.Warn("the Matrix server can't be used yet; it is tried again", "wait", max(wait, r.after), "err", r.err)
		pause(ctx, max(wait, r.after))
	}
	return false
}

// become takes the account's name, and drops what is kept of another one.
func (t *Transport) become(user string) error {
	err := t.alter(func(d *draft) {
		if d.User == user {
			return
		}
		for op := range d.kept.rooms {
			d.changed[op] = nil
		}
		d.memory = memory{User: user}
	})
	if err != nil {
		return fmt.Errorf("the account's name could not be stored: %w", err)
	}
	return nil
}

// faultsEvery is how often the transport looks whether the owner is to be told of
// what failed.
const faultsEvery = 10 * time.Minute

// sideTaskLoop says the notices beside the conversation.
func (t *Transport) sideTaskLoop(ctx context.Context) {
	faults := time.NewTicker(faultsEvery)
	defer faults.Stop()
	wait := time.Second
	for ctx.Err() == nil {
		var retry <-chan time.Time
		if left := t.sayNotices(ctx); left {
			retry = time.After(wait)
			wait = min(2*wait, time.Minute)
		} else {
			wait = time.Second
		}
		select {
		case <-t.sideTasks:
		case <-faults.C:
			if err := t.guests.TellOfFaults(t.now()); err != nil {
				t.log.Warn("the owner could not be told of what failed", "err", err)
			}
		case <-retry:
		case <-ctx.Done():
		}
	}
}

// sayNotices says the notices that it can and reports whether something is left to be
// tried again. Those to somebody without a room wait for it.
func (t *Transport) sayNotices(ctx context.Context) (left bool) {
	for _, n := range t.guests.Notices() {
		r, known := t.roomOf(n.To)
		if !Serves(n.To) || !known || r.ID == "" {
			continue
		}
		o := bot.Outgoing{Name: fmt.Sprintf("notice/%d", n.ID), Operator: n.To, Text: n.Text, Silent: true}
		_, refused := t.say(ctx, r.ID, o)
		if refused != nil && refused.fate == run.Again || t.alter(func(d *draft) { d.Said(n.ID) }) != nil {
			left = true
		}
	}
	return left
}

// pause waits, or returns early with ctx.
func pause(ctx context.Context, d time.Duration) {
	select {
	case <-time.After(d):
	case <-ctx.Done():
	}
}

func wake(ch chan<- struct{}) {
	select {
	case ch <- struct{}{}:
	default:
	}
}
