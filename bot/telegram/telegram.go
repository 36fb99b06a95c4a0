package telegram

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"skyslate/bot"
	"skyslate/bot/beat"
	"skyslate/bot/fetch"
	"skyslate/bot/guests"
	"skyslate/bot/run"
	"skyslate/storage"
)

// Config says how Telegram is used. Token, Desk and Guests are needed; the Desk
// decodes with Decode.
type Config struct {
	Token  Token
	Desk   *bot.Desk
	Guests *guests.Guests // who is let in
	Log    *slog.Logger   // nil: none

	// API is the address of another Bot API server; empty: the public one.
	API string
	// Through carries the requests; nil: the network.
	Through http.RoundTripper
}

// publicAPI is the service's own address.
const publicAPI = "https://api.telegram.org"

// Transport is the conversation on Telegram: a [run.Transport].
type Transport struct {
	token  Token
	api    string
	log    *slog.Logger
	bot    *tg.Bot
	polls  *pollIntercept
	pace   *pace
	desk   *bot.Desk
	guests *guests.Guests

	caughtUp func()                 // tells the loops
	name     atomic.Pointer[string] // the bot's own; nil: not known yet
	fatal    context.CancelCauseFunc

	mu     sync.Mutex
	mem    memory
	accept guests.Accept // the desk's, then the loops'
	// Of long texts, by the post's name, the messages that are out already, so that
	// a later try doesn't begin anew. They need not outlive the process.
	partialSends map[string]partialSend

	fetcher *fetch.Fetcher
	teller  *guests.Teller
	taps    chan string // taps to be answered
}

// New prepares the transport. Nothing is sent yet.
func New(c Config) (*Transport, error) {
	if !c.Token.IsValid() {
		return nil, errors.New("there is no token")
	}
	mem, err := readMemory(c.Desk)
	if err != nil {
		return nil, err
	}
	t := &Transport{
		token: c.Token, api: strings.TrimRight(c.API, "/"), log: c.Log, pace: newPace(),
		desk: c.Desk, accept: c.Desk.Accept, guests: c.Guests, mem: mem, partialSends: map[string]partialSend{},
		taps: make(chan string, 64),
	}
	if t.api == "" {
		t.api = publicAPI
	}
	if t.log == nil {
		t.log = slog.New(slog.DiscardHandler)
	}
	t.fetcher = fetch.New(fetch.Config{
		Desk: c.Desk, Guests: c.Guests, Log: t.log, Get: t.getDocument, Encode: encodeDocument,
		Queue: func() fetch.Queue { return t.remembered().fetches },
		Keep: func(change func(*fetch.Queue, *guests.Draft) []storage.Raw) error {
			return t.keep(func(m *memory, d *guests.Draft) []storage.Raw { return change(&m.fetches, d) })
		},
	})
	c.Desk.OnLeave(bot.Leaving{Before: t.forget, After: t.forgetSends})
	t.teller = c.Guests.Teller(t.sayNotice)
	t.polls = newPollIntercept(t, c.Through)
	t.bot, err = tg.New(c.Token.secret,
		tg.WithSkipGetMe(),
		tg.WithServerURL(t.api),
		tg.WithHTTPClient(pollFor+time.Second, t.polls),
		tg.WithAllowedUpdates(kinds),
		tg.WithInitialOffset(mem.start(t.now())),
		tg.WithNotAsyncHandlers(),
		tg.WithDefaultHandler(func(context.Context, *tg.Bot, *models.Update) {}), // stubs
		tg.WithErrorsHandler(func(err error) { t.log.Debug("the library says", "err", t.token.mask(err.Error())) }),
	)
	if err != nil {
		return nil, t.token.maskError(err)
	}
	return t, nil
}

func (t *Transport) now() time.Time { return time.Now().UTC().Round(0) }

// Receive takes messages in until ctx ends or the service refuses the token.
func (t *Transport) Receive(ctx context.Context, in run.Intake) error {
	ctx, fatal := context.WithCancelCause(ctx)
	defer fatal(nil)
	t.fatal, t.caughtUp = fatal, in.CaughtUp
	t.mu.Lock()
	t.accept = in.Accept
	t.mu.Unlock()
	var others sync.WaitGroup
	others.Go(func() { t.introduce(ctx) })
	others.Go(func() { t.teller.Run(ctx) })
	others.Go(func() { t.answerTaps(ctx) })
	others.Go(func() { t.fetcher.Run(ctx) })
	t.bot.Start(ctx)
	others.Wait()
	return context.Cause(ctx)
}

// introduce learns the bot's name and sets its menu, as soon as the service can
// be reached.
func (t *Transport) introduce(ctx context.Context) {
	t.persist(ctx, "the bot's own name", func(ctx context.Context) error {
		me, err := t.bot.GetMe(ctx)
		if err == nil {
			t.name.Store(&me.Username)
			t.log.Info("connected", "bot", me.Username)
		}
		return err
	})
	t.persist(ctx, "the menu of commands", func(ctx context.Context) error {
		_, err := t.bot.SetMyCommands(ctx, &tg.SetMyCommandsParams{Commands: menu})
		return err
	})
}

// persist tries to serve a purpose until it works, the service says no for good, or ctx ends.
func (t *Transport) persist(ctx context.Context, purpose string, try func(context.Context) error) {
	for wait := time.Second; ctx.Err() == nil; wait = min(2*wait, time.Minute) {
		bounded, cancel := context.WithTimeout(ctx, callFor)
		out := outcomeOf(try(bounded))
		cancel()
		switch out.disposition {
		case done:
			return
		case lost:
			t.fatal(out.err)
			return
		case hopeless, otherwise:
			t.log.Warn("the service refuses "+purpose, "err", t.token.mask(out.err.Error()))
			return
		}
		t.log.Debug("trying again for "+purpose, "err", t.token.mask(out.err.Error()))
		beat.Pause(ctx, max(wait, out.after))
	}
}
