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
	"skyslate/bot/beat"
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
	Owner  storage.OperatorID // invited at the start; empty: nobody is
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
	owner  storage.OperatorID
	fatal  context.CancelCauseFunc

	mu     sync.Mutex // of what is kept, beside who is let in
	kept   kept
	accept guests.Accept // the desk's, then the loops'

	way     *wayOut
	wishes  wishes
	fetcher *fetch.Fetcher
	teller  *guests.Teller
	opening beat.Bell // wakes the loop that opens rooms
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
		token: c.Token, client: client, log: c.Log, desk: c.Desk, guests: c.Guests, owner: c.Owner,
		kept: kept, accept: c.Desk.Accept, way: newWayOut(),
		opening: beat.NewBell(),
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
	t.teller = c.Guests.Teller(t.sayNotice)
	c.Guests.OnNotice(t.opening.Ring)
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
		others.Go(func() { t.teller.Run(ctx) })
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
		beat.Pause(ctx, max(wait, r.after))
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

// sayNotice says a notice: see [guests.Say]. One to somebody without a room waits for it.
func (t *Transport) sayNotice(ctx context.Context, n guests.Notice) (said, later bool) {
	r, known := t.roomOf(n.To)
	if !Serves(n.To) || !known || r.ID == "" {
		return false, false
	}
	o := bot.Outgoing{Name: fmt.Sprintf("notice/%d", n.ID), Operator: n.To, Text: n.Text, Silent: true}
	_, refused := t.say(ctx, r.ID, o)
	later = refused != nil && refused.fate == run.Again
	return !later, later
}
