package run

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/bot/sky"
	"skyslate/parse"
	"skyslate/storage"
)

// app is a messaging app whose server and connection are a few functions.
type app struct {
	receive func(ctx context.Context, in Intake) error      // nil: nothing comes in
	wait    func(ctx context.Context)                       // for the service's rate; nil: there is none
	send    func(ctx context.Context, o bot.Outgoing) error // nil: all goes well

	mu   sync.Mutex
	sent []sending
}

// sending is one post that went out.
type sending struct {
	at time.Time
	bot.Outgoing
}

func (a *app) Receive(ctx context.Context, in Intake) error {
	if a.receive != nil {
		if err := a.receive(ctx, in); err != nil {
			return err
		}
	}
	in.CaughtUp()
	<-ctx.Done()
	return ctx.Err()
}

func (a *app) Send(ctx context.Context, o bot.Outgoing, away func()) (string, error) {
	if a.wait != nil {
		a.wait(ctx)
	}
	away()
	if a.send != nil {
		if err := a.send(ctx, o); err != nil {
			return "", err
		}
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	a.sent = append(a.sent, sending{now(), o})
	return strconv.Itoa(len(a.sent)), nil
}

// to returns what went out to an operator.
func (a *app) to(op storage.OperatorID) []sending {
	a.mu.Lock()
	defer a.mu.Unlock()
	return slices.DeleteFunc(slices.Clone(a.sent), func(s sending) bool { return s.Operator != op })
}

// house is a desk with its store.
type house struct {
	desk  *bot.Desk
	store *storage.Store
}

func newHouse(t *testing.T, c bot.Config) house {
	t.Helper()
	store, err := storage.Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	c.Store = store
	if c.Sky == nil {
		c.Sky = sky.New(nil, nil)
	}
	return house{bot.New(c), store}
}

// running starts the loops and returns a function that stops them and returns
// what Run returned.
func running(t *testing.T, h house, a *app, log *slog.Logger) (l *Loops, stop func() error) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	l = New(h.desk, a, log)
	ended := make(chan error, 1)
	go func() { ended <- l.Run(ctx) }()
	synctest.Wait()
	return l, func() error { cancel(); return <-ended }
}

func said(t *testing.T, op storage.OperatorID, n int64, text string) storage.Raw {
	t.Helper()
	r, err := event.Encode(event.Event{
		ID: fmt.Sprintf("%s/%d", op, n), Operator: op, At: now(), Kind: event.Said, Message: n, Text: text,
	})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func owed(t *testing.T, h house) []bot.Outgoing {
	t.Helper()
	o, err := h.desk.Owed(now())
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// answers are the names of the messages answered, in the order the answers went
// out.
func answers(sent []sending) []string {
	var names []string
	for _, s := range sent {
		if s.ReplyTo != "" && (len(names) == 0 || names[len(names)-1] != s.ReplyTo) {
			names = append(names, s.ReplyTo)
		}
	}
	return names
}

func TestAnswersEveryMessageInOrder(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), &app{}
		l, stop := running(t, h, a, nil)
		ops := []storage.OperatorID{"7", "8", "9"}
		var want []string
		for n := int64(1); n <= 20; n++ {
			want = append(want, strconv.FormatInt(n, 10))
			for _, op := range ops {
				if err := l.Accept(nil, said(t, op, n, "/help")); err != nil {
					t.Fatal(err)
				}
			}
		}
		if err := l.Quiet(t.Context()); err != nil {
			t.Fatal(err)
		}
		for _, op := range ops {
			if got := answers(a.to(op)); !slices.Equal(got, want) {
				t.Errorf("operator %s got answers to %v, want %v", op, got, want)
			}
		}
		if left := owed(t, h); len(left) > 0 {
			t.Errorf("%d posts are still owed after Quiet", len(left))
		}
		if err := stop(); err != nil {
			t.Errorf("Run: %v", err)
		}
	})
}

// What was accepted while nothing ran is worked off at the start.
func TestInboxSurvives(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), &app{}
		if err := h.desk.Accept(nil, said(t, "7", 1, "/help"), said(t, "7", 2, "/help")); err != nil {
			t.Fatal(err)
		}
		_, stop := running(t, h, a, nil)
		if got := answers(a.to("7")); !slices.Equal(got, []string{"1", "2"}) {
			t.Errorf("answers to %v, want 1 and 2", got)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

func TestErrorHoldsUpOneOperatorAlone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const after = 17 * time.Second
		limited := true
		h, a := newHouse(t, bot.Config{}), &app{}
		a.send = func(_ context.Context, o bot.Outgoing) error {
			if o.Operator == "7" && limited {
				limited = false
				return &SendError{Fate: Again, After: after, Err: errors.New("too many requests")}
			}
			return nil
		}
		l, stop := running(t, h, a, nil)
		start := now()
		if err := l.Accept(nil, said(t, "7", 1, "/help"), said(t, "7", 2, "/help"), said(t, "8", 1, "/help")); err != nil {
			t.Fatal(err)
		}
		synctest.Wait()
		if got := a.to("8"); len(got) == 0 || !got[0].at.Equal(start) {
			t.Errorf("the other operator's answer did not go out at once: %v", got)
		}
		time.Sleep(time.Minute)
		got := a.to("7")
		if !slices.Equal(answers(got), []string{"1", "2"}) {
			t.Fatalf("answers to %v, want 1 and 2", answers(got))
		}
		if wait := got[0].at.Sub(start); wait != after {
			t.Errorf("tried again after %s, want %s", wait, after)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// Errors that say nothing are tried again, less and less often.
func TestPausesGrow(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var tries []time.Time
		h, a := newHouse(t, bot.Config{}), &app{}
		a.send = func(context.Context, bot.Outgoing) error {
			tries = append(tries, now())
			return errors.New("no route")
		}
		l, stop := running(t, h, a, nil)
		if err := l.Accept(nil, said(t, "7", 1, "/help")); err != nil {
			t.Fatal(err)
		}
		time.Sleep(5 * time.Minute)
		if err := stop(); err != nil {
			t.Error(err)
		}
		var gaps []time.Duration
		for i := 1; i < len(tries); i++ {
			gaps = append(gaps, tries[i].Sub(tries[i-1]))
		}
		want := []time.Duration{1, 2, 4, 8, 16, 32, 60, 60, 60}
		for i := range want {
			want[i] *= time.Second
		}
		if !slices.Equal(gaps, want) {
			t.Errorf("pauses %v, want %v", gaps, want)
		}
		if len(owed(t, h)) == 0 {
			t.Error("what never went out is not owed any more")
		}
	})
}

func TestHopelessPostsAreDropped(t *testing.T) {
	for name, fail := range map[string]func() error{
		"refused": func() error { return &SendError{Fate: Never, Err: errors.New("the message to answer is gone")} },
		"panics":  func() error { panic("a nil document") },
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				h, a := newHouse(t, bot.Config{}), &app{}
				tries := 0
				a.send = func(_ context.Context, o bot.Outgoing) error {
					if o.ReplyTo == "1" {
						tries++
						return fail()
					}
					return nil
				}
				l, stop := running(t, h, a, nil)
				if err := l.Accept(nil, said(t, "7", 1, "/help"), said(t, "7", 2, "/help")); err != nil {
					t.Fatal(err)
				}
				time.Sleep(time.Hour)
				if got := answers(a.to("7")); !slices.Equal(got, []string{"2"}) {
					t.Errorf("answers to %v, want 2 alone", got)
				}
				if err := stop(); err != nil {
					t.Error(err)
				}
				if len(owed(t, h)) > 0 || tries == 0 {
					t.Errorf("tried %d times, still owed: %v", tries, owed(t, h))
				}
			})
		})
	}
}

func TestStopsWhenNothingCanGoOut(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		unauthorised := errors.New("unauthorised")
		h, a := newHouse(t, bot.Config{}), &app{}
		a.send = func(context.Context, bot.Outgoing) error { return &SendError{Fate: Stop, Err: unauthorised} }
		a.receive = func(_ context.Context, in Intake) error { return in.Accept(nil, said(t, "7", 1, "/help")) }
		if err := New(h.desk, a, nil).Run(t.Context()); !errors.Is(err, unauthorised) {
			t.Errorf("Run returned %v, want %v", err, unauthorised)
		}
		if len(owed(t, h)) == 0 {
			t.Error("what did not go out is not owed any more")
		}
	})
}

func TestReceiveErrorEndsRun(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		broken := errors.New("broken")
		h, a := newHouse(t, bot.Config{}), &app{}
		a.receive = func(context.Context, Intake) error { return broken }
		if err := New(h.desk, a, nil).Run(t.Context()); !errors.Is(err, broken) {
			t.Errorf("Run returned %v, want %v", err, broken)
		}
	})
}

// An event that can't be read holds nothing up.
func TestPoisonHoldsNothingUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a := &app{}
		h := newHouse(t, bot.Config{Decode: func(v *storage.View, r storage.Raw) (event.Event, error) {
			if r.ID == "poison" {
				return event.Event{}, errors.New("an unknown kind of update")
			}
			return event.Decode(v, r)
		}})
		l, stop := running(t, h, a, nil)
		poison := storage.Raw{ID: "poison", At: now(), Body: []byte("{}")}
		if err := l.Accept(nil, poison, said(t, "7", 2, "/help")); err != nil {
			t.Fatal(err)
		}
		synctest.Wait()
		if got := answers(a.to("7")); !slices.Equal(got, []string{"2"}) {
			t.Errorf("answers to %v, want 2", got)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// A panic on the way through the desk ends nothing: the loops live and what
// comes after it is answered.
func TestPanicsAreContained(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a, tries := &app{}, 0
		h := newHouse(t, bot.Config{Decode: func(v *storage.View, r storage.Raw) (event.Event, error) {
			if tries++; tries == 1 {
				panic("a nil message")
			}
			return event.Decode(v, r)
		}})
		l, stop := running(t, h, a, nil)
		start := now()
		if err := l.Accept(nil, said(t, "7", 1, "/help"), said(t, "7", 2, "/help")); err != nil {
			t.Fatal(err)
		}
		if err := l.Quiet(t.Context()); err != nil {
			t.Fatal(err)
		}
		if got := answers(a.to("7")); len(got) == 0 || got[len(got)-1] != "2" {
			t.Errorf("answers to %v, want 2 among them", got)
		}
		if took := now().Sub(start); took > time.Minute {
			t.Errorf("took %s", took)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// counting counts what is logged.
type counting struct {
	slog.Handler
	n *atomic.Int64
}

func (c counting) Enabled(context.Context, slog.Level) bool { return true }

func (c counting) Handle(_ context.Context, r slog.Record) error {
	if r.Level >= slog.LevelWarn {
		c.n.Add(1)
	}
	return nil
}

// A store that fails makes the loops wait, not spin, and the end still comes.
func TestFailingStoreDoesNotSpin(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), &app{}
		var complaints atomic.Int64
		l, stop := running(t, h, a, slog.New(counting{slog.DiscardHandler, &complaints}))
		if err := h.store.Close(); err != nil {
			t.Fatal(err)
		}
		if err := l.Accept(nil, said(t, "7", 1, "/help")); err == nil {
			t.Error("accepted by a closed store")
		}
		l.work.Ring()
		l.send.Ring()
		time.Sleep(10 * time.Minute)
		if n := complaints.Load(); n == 0 || n > 200 {
			t.Errorf("%d complaints in ten minutes", n)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// An operator who is forgotten while a post of theirs is on its way holds up
// nobody: nothing is left to be settled.
func TestForgottenInFlight(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := newHouse(t, bot.Config{})
		arrive := make(chan struct{})
		a := &app{send: func(_ context.Context, o bot.Outgoing) error {
			if o.Operator == "7" {
				<-arrive
			}
			return nil
		}}
		l, stop := running(t, h, a, nil)
		if err := l.Accept(nil, said(t, "7", 1, "/start")); err != nil {
			t.Fatal(err)
		}
		synctest.Wait()
		if _, err := h.store.Forget("7", now(), nil); err != nil {
			t.Fatal(err)
		}
		close(arrive)
		if err := l.Accept(nil, said(t, "8", 1, "/start")); err != nil {
			t.Fatal(err)
		}
		synctest.Wait()
		if len(a.to("8")) == 0 {
			t.Error("another operator waits for an answer")
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// A file is made when its turn has come, not whenever the queue is looked at: a
// lane that waits costs nothing.
func TestFileIsMadeForSending(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := newHouse(t, bot.Config{})
		post := storage.Post{
			Name: "7/file", Operator: "7", Op: storage.File, Made: now(),
			Recipe: &storage.Recipe{Kind: "adif", FileName: "log.adi", Contacts: []storage.ContactRef{{ID: 1, Version: 1}}},
		}
		contact := storage.Contact{
			Operator: "7", ID: 1, Version: 1, Made: now(), Time: now(), State: storage.Certain,
			Call: parse.MustParseCallsign("OX9QZT"), OwnCall: parse.MustParseCallsign("HX7KZQ"),
		}
		changes := storage.Changes{Operator: &storage.Operator{ID: "7"}, Contacts: []storage.Contact{contact}, Posts: []storage.Post{post}}
		if err := h.store.Commit("7/e", now(), changes); err != nil {
			t.Fatal(err)
		}
		if o := owed(t, h); len(o) != 1 || o[0].Body != nil || o[0].FileName != "log.adi" {
			t.Errorf("owed: %+v", o)
		}
		a := &app{}
		_, stop := running(t, h, a, nil)
		if got := a.to("7"); len(got) != 1 || !strings.Contains(string(got[0].Body), "OX9QZT") {
			t.Errorf("sent: %+v", got)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}
