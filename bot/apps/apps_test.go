package apps

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/bot/run"
	"skyslate/bot/sky"
	"skyslate/storage"
)

// fake is a messaging app whose connection is two functions.
type fake struct {
	receive func(ctx context.Context, in run.Intake) error // nil: it has caught up, and nothing comes
	refuse  func() error                                   // nil: all goes well

	mu   sync.Mutex
	sent []bot.Outgoing
}

func (f *fake) Receive(ctx context.Context, in run.Intake) error {
	if f.receive != nil {
		return f.receive(ctx, in)
	}
	in.CaughtUp()
	<-ctx.Done()
	return context.Cause(ctx)
}

func (f *fake) Send(_ context.Context, o bot.Outgoing, _ func()) (string, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.refuse != nil {
		return "", f.refuse()
	}
	f.sent = append(f.sent, o)
	return fmt.Sprint("$post", len(f.sent)), nil
}

func numbers(op storage.OperatorID) bool { return op[0] != '@' }
func names(op storage.OperatorID) bool   { return op[0] == '@' }

// note is what comes in from the app that names messages.
type note struct{ Kind, Name, To, Text string }

func (n note) raw(id string) storage.Raw {
	body, _ := json.Marshal(n)
	return storage.Raw{ID: "n/" + id, From: anna, At: time.Now().UTC(), Body: body, Name: n.Name}
}

const anna = "@anna:one.example"

func decodeNote(v *storage.View, r storage.Raw) (event.Event, error) {
	var n note
	err := json.Unmarshal(r.Body, &n)
	return event.Event{
		ID: r.ID, Operator: r.From, At: r.At, Kind: event.Kind(n.Kind), Text: n.Text,
		Message: v.Number(r.From, n.Name), ReplyTo: v.Number(r.From, n.To),
	}, err
}

// serving runs two apps over one store, in simulated time.
func serving(t *testing.T, first, second *fake, do func(t *testing.T, l *run.Loops, store *storage.Store, ended <-chan error)) {
	synctest.Test(t, func(t *testing.T) {
		store, err := storage.Open(t.TempDir())
		if err != nil {
			t.Fatal(err)
		}
		defer store.Close()
		desk := bot.New(bot.Config{
			Store: store, Sky: sky.New(nil, nil), Decode: Decoders{"m": event.Decode, "n": decodeNote}.Decode,
		})
		all := Join(nil, App{"First", numbers, first}, App{"Second", names, second})
		l := run.New(desk, all, nil)
		ctx, stop := context.WithCancel(t.Context())
		defer stop()
		ended := make(chan error, 1)
		go func() { ended <- l.Run(ctx) }()
		synctest.Wait()
		do(t, l, store, ended)
		stop()
		synctest.Wait()
		time.Sleep(time.Minute)
	})
}

func said(t *testing.T, n int64, text string) storage.Raw {
	t.Helper()
	r, err := event.Encode(event.Event{
		ID: fmt.Sprint("m/", n), Operator: "7", At: time.Now().UTC(), Kind: event.Said, Message: n, Text: text,
	})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// Each app gets what is its operators', and messages go by the names that their app
// gives them.
func TestTwoApps(t *testing.T) {
	first, second := new(fake), new(fake)
	serving(t, first, second, func(t *testing.T, l *run.Loops, store *storage.Store, _ <-chan error) {
		must(t, l.Accept(nil, said(t, 1, "/help"), note{"said", "$m1", "", "/call OX9QZU"}.raw("1")))
		must(t, l.Quiet(t.Context()))
		must(t, l.Accept(nil, note{"said", "$m2", "$post1", "/help"}.raw("2"), storage.Raw{ID: "x/1", From: anna, At: time.Now()}))
		must(t, l.Quiet(t.Context()))
		if n := len(first.sent); n == 0 || slices.ContainsFunc(first.sent, func(o bot.Outgoing) bool { return o.Operator != "7" || o.ReplyTo != "1" }) {
			t.Errorf("%d posts on the first app: %+v", n, first.sent)
		}
		var answered []string
		for _, o := range second.sent {
			if o.Operator != anna {
				t.Errorf("a post to %q on the second app", o.Operator)
			}
			answered = append(answered, o.ReplyTo)
		}
		if got := slices.Compact(answered); !slices.Equal(got, []string{"$m1", "$m2", ""}) { // the last one is of no app
			t.Errorf("answers to %q", got)
		}
		faults, err := store.Faults(time.Time{})
		if len(faults) != 1 || faults[0].Name != "x/1" || err != nil {
			t.Errorf("faults: %+v, %v", faults, err)
		}
	})
}

// An app that can't go on, in whichever way it learns that, ends alone, and nothing
// that is owed on it is given up.
func TestOneAppEnds(t *testing.T) {
	withdrawn := errors.New("the token was withdrawn")
	for name, broken := range map[string]*fake{
		"receiving": {receive: func(context.Context, run.Intake) error { return withdrawn }},
		"sending":   {refuse: func() error { return &run.SendError{Fate: run.Stop, Err: withdrawn} }},
	} {
		t.Run(name, func(t *testing.T) {
			other := new(fake)
			serving(t, other, broken, func(t *testing.T, l *run.Loops, store *storage.Store, ended <-chan error) {
				must(t, l.Accept(nil, said(t, 1, "/help"), note{"said", "$m1", "", "/help"}.raw("1")))
				time.Sleep(3 * again)
				must(t, l.Accept(nil, said(t, 2, "/log")))
				must(t, l.Quiet(t.Context()))
				if len(ended) > 0 || len(other.sent) < 2 || other.sent[len(other.sent)-1].ReplyTo != "2" {
					t.Errorf("the other app got %d posts", len(other.sent))
				}
				if !store.OwesTo(anna) {
					t.Error("what was owed is given up")
				}
			})
		})
	}
}

// The agenda waits until each app has caught up or ended, and the whole ends when all
// have.
func TestAllApps(t *testing.T) {
	late := make(chan struct{})
	lag := &fake{receive: func(ctx context.Context, in run.Intake) error {
		<-late
		in.CaughtUp()
		in.CaughtUp() // says it twice
		<-ctx.Done()
		return context.Cause(ctx)
	}}
	for name, tt := range map[string]struct {
		second *fake
		early  bool
	}{"behind": {lag, false}, "ended": {&fake{receive: func(context.Context, run.Intake) error { return errors.New("no such server") }}, true}} {
		t.Run(name, func(t *testing.T) {
			caught := 0
			in := counted{caughtUp: func() { caught++ }}
			synctest.Test(t, func(t *testing.T) {
				late = make(chan struct{})
				ctx, stop := context.WithCancel(t.Context())
				ended := make(chan error, 1)
				all := Join(nil, App{"First", numbers, new(fake)}, App{"Second", names, tt.second}, App{"Third", names, nil})
				go func() { ended <- all.Receive(ctx, in) }()
				synctest.Wait()
				if (caught == 1) != tt.early {
					t.Errorf("caught up %d times at first", caught)
				}
				close(late)
				synctest.Wait()
				if caught != 1 {
					t.Errorf("caught up %d times", caught)
				}
				stop()
				if err := <-ended; !errors.Is(err, context.Canceled) {
					t.Errorf("ended with %v", err)
				}
			})
		})
	}
	fails := func(why string) *fake {
		return &fake{receive: func(context.Context, run.Intake) error { return errors.New(why) }}
	}
	err := Join(nil, App{"First", numbers, fails("one")}, App{"Second", names, fails("two")}).Receive(t.Context(), counted{caughtUp: func() {}})
	if err == nil || !strings.Contains(err.Error(), "one") || !strings.Contains(err.Error(), "two") {
		t.Errorf("ended with %v", err)
	}
}

// counted is an intake of which only CaughtUp is used.
type counted struct {
	run.Intake
	caughtUp func()
}

func (c counted) CaughtUp() { c.caughtUp() }

// Who is of no app is told nothing; on an app that is not set up it waits.
func TestNobodysPosts(t *testing.T) {
	all := Join(nil, App{"First", func(op storage.OperatorID) bool { return op == "7" }, new(fake)}, App{"Second", names, nil})
	for op, fate := range map[storage.OperatorID]run.Fate{"local": run.Never, anna: run.Again} {
		_, err := all.Send(t.Context(), bot.Outgoing{Operator: op}, func() {})
		refused := new(run.SendError)
		if !errors.As(err, &refused) || refused.Fate != fate {
			t.Errorf("a post to %q: %v", op, err)
		}
	}
}
