package run

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/bot/rehearsal"
	"skyslate/storage"
)

// app is a messaging app whose server and connection are a few functions.
type app struct {
	receive func(ctx context.Context, l *Loops) error       // nil: nothing comes in
	send    func(ctx context.Context, o bot.Outgoing) error // nil: all goes well

	mu   sync.Mutex
	sent []sending
}

// sending is one post that went out.
type sending struct {
	at time.Time
	bot.Outgoing
}

func (a *app) Receive(ctx context.Context, l *Loops) error {
	if a.receive != nil {
		if err := a.receive(ctx, l); err != nil {
			return err
		}
	}
	l.CaughtUp()
	<-ctx.Done()
	return ctx.Err()
}

func (a *app) Send(ctx context.Context, o bot.Outgoing) (int64, error) {
	if a.send != nil {
		if err := a.send(ctx, o); err != nil {
			return 0, err
		}
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	a.sent = append(a.sent, sending{now(), o})
	return int64(len(a.sent)), nil
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
		c.Sky = bot.NewSky(nil, nil)
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
	r, err := bot.EncodeEvent(bot.Event{
		ID: fmt.Sprintf("%s/%d", op, n), Operator: op, At: now(), Kind: bot.Said, Message: n, Text: text,
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

// answers are the ids of the messages answered, in the order the answers went
// out.
func answers(sent []sending) []int64 {
	var ids []int64
	for _, s := range sent {
		if s.ReplyTo != 0 && (len(ids) == 0 || ids[len(ids)-1] != s.ReplyTo) {
			ids = append(ids, s.ReplyTo)
		}
	}
	return ids
}

func TestAnswersEveryMessageInOrder(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), &app{}
		l, stop := running(t, h, a, nil)
		ops := []storage.OperatorID{"7", "8", "9"}
		var want []int64
		for n := int64(1); n <= 20; n++ {
			want = append(want, n)
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
		if got := answers(a.to("7")); !slices.Equal(got, []int64{1, 2}) {
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
		if !slices.Equal(answers(got), []int64{1, 2}) {
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
					if o.ReplyTo == 1 {
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
				if got := answers(a.to("7")); !slices.Equal(got, []int64{2}) {
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
		a.receive = func(_ context.Context, l *Loops) error { return l.Accept(nil, said(t, "7", 1, "/help")) }
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
		a.receive = func(context.Context, *Loops) error { return broken }
		if err := New(h.desk, a, nil).Run(t.Context()); !errors.Is(err, broken) {
			t.Errorf("Run returned %v, want %v", err, broken)
		}
	})
}

// An event that can't be read holds nothing up.
func TestPoisonHoldsNothingUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a := &app{}
		h := newHouse(t, bot.Config{Decode: func(r storage.Raw) (bot.Event, error) {
			if r.ID == "poison" {
				return bot.Event{}, errors.New("an unknown kind of update")
			}
			return bot.DecodeEvent(r)
		}})
		l, stop := running(t, h, a, nil)
		poison := storage.Raw{ID: "poison", At: now(), Body: []byte("{}")}
		if err := l.Accept(nil, poison, said(t, "7", 2, "/help")); err != nil {
			t.Fatal(err)
		}
		synctest.Wait()
		if got := answers(a.to("7")); !slices.Equal(got, []int64{2}) {
			t.Errorf("answers to %v, want 2", got)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// A panic on the way through the desk is an error like any other: the loops
// live, and go on less and less often.
func TestPanicsAreContained(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a, tries := &app{}, 0
		h := newHouse(t, bot.Config{Decode: func(r storage.Raw) (bot.Event, error) {
			if tries++; tries <= 3 {
				panic("a nil message")
			}
			return bot.DecodeEvent(r)
		}})
		l, stop := running(t, h, a, nil)
		start := now()
		if err := l.Accept(nil, said(t, "7", 1, "/help"), said(t, "7", 2, "/help")); err != nil {
			t.Fatal(err)
		}
		if err := l.Quiet(t.Context()); err != nil {
			t.Fatal(err)
		}
		if got := answers(a.to("7")); len(got) == 0 || got[len(got)-1] != 2 {
			t.Errorf("answers to %v, want 2 at last", got)
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
		wake(l.work)
		wake(l.send)
		time.Sleep(10 * time.Minute)
		if n := complaints.Load(); n == 0 || n > 200 {
			t.Errorf("%d complaints in ten minutes", n)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

func TestEndWaitsForSendInHand(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), &app{}
		a.send = func(ctx context.Context, _ bot.Outgoing) error {
			select {
			case <-time.After(time.Second):
				return nil
			case <-ctx.Done():
				return ctx.Err()
			}
		}
		l, stop := running(t, h, a, nil)
		if err := l.Accept(nil, said(t, "7", 1, "/help")); err != nil {
			t.Fatal(err)
		}
		synctest.Wait()
		start := now()
		if err := stop(); err != nil {
			t.Error(err)
		}
		if len(a.to("7")) == 0 || len(owed(t, h)) > 0 {
			t.Errorf("%d sent, %d still owed: want the one in hand sent and settled", len(a.to("7")), len(owed(t, h)))
		}
		if took := now().Sub(start); took > grace {
			t.Errorf("the end took %s", took)
		}
	})
}

func TestEndDoesNotWaitForEver(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), &app{}
		a.send = func(ctx context.Context, _ bot.Outgoing) error { <-ctx.Done(); return ctx.Err() }
		l, stop := running(t, h, a, nil)
		if err := l.Accept(nil, said(t, "7", 1, "/help")); err != nil {
			t.Fatal(err)
		}
		synctest.Wait()
		start := now()
		if err := stop(); err != nil {
			t.Error(err)
		}
		if took := now().Sub(start); took > 5*time.Second {
			t.Errorf("the end took %s, want at most 5 s", took)
		}
		if len(owed(t, h)) == 0 {
			t.Error("what did not go out is not owed any more")
		}
	})
}

// scene is the rehearsal's operator and birds, on orbits moved to begin at the
// present moment of the bubble.
func scene(t *testing.T) (*bot.Sky, storage.Operator) {
	t.Helper()
	s, err := rehearsal.Open("7")
	if err != nil {
		t.Fatal(err)
	}
	for i := range s.Elements {
		s.Elements[i].Epoch = now()
	}
	return bot.NewSky(s.Birds, s.Elements), s.Operator
}

// A reminder makes a sound; everything else is silent.
func rings(sent []sending) []sending {
	return slices.DeleteFunc(slices.Clone(sent), func(s sending) bool { return s.Silent || s.Op != storage.Send })
}

// followed is when the reminders of an operator's passes fall due.
func followed(t *testing.T, h house, op storage.Operator, from, to time.Time) map[storage.PassID]time.Time {
	t.Helper()
	due := make(map[storage.PassID]time.Time)
	err := h.store.View(func(v *storage.View) error {
		passes, err := v.Passes(op.ID, from, to)
		for _, p := range passes {
			if p.Followed() {
				due[p.ID] = p.AOS.Add(-op.Remind.Lead)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return due
}

// Three days of the loops: every reminder goes out within one beat of its
// moment, and once.
func TestRemindersKeepTime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		sky, op := scene(t)
		h, a := newHouse(t, bot.Config{Sky: sky}), &app{}
		start := now()
		if err := h.desk.SetUp(op, start); err != nil {
			t.Fatal(err)
		}
		_, stop := running(t, h, a, nil)
		time.Sleep(72 * time.Hour)
		end := now()
		if err := stop(); err != nil {
			t.Error(err)
		}
		due := slices.SortedFunc(maps.Values(followed(t, h, op, start, end)), time.Time.Compare)
		due = slices.DeleteFunc(due, func(at time.Time) bool { return at.After(end.Add(-tickEvery)) || at.Before(start) })
		got := rings(a.to(op.ID))
		if len(got) == 0 {
			t.Fatal("no reminder in three days")
		}
		t.Logf("%d reminders for %d passes", len(got), len(due))
		names := make(map[string]bool)
		for _, s := range got {
			if names[s.Name] {
				t.Errorf("%s went out twice", s.Name)
			}
			names[s.Name] = true
			if !slices.ContainsFunc(due, func(at time.Time) bool { return !s.at.Before(at) && s.at.Sub(at) <= tickEvery }) {
				t.Errorf("a reminder at %s belongs to no moment within %s", s.at, tickEvery)
			}
		}
	})
}

// After a start the agenda waits for what was typed meanwhile, at most half a
// minute.
func TestAgendaWaitsForBacklog(t *testing.T) {
	for _, tt := range []struct {
		name     string
		caughtUp time.Duration // 0: never
		atLeast  time.Duration
		atMost   time.Duration
	}{
		{"short", 12 * time.Second, 12 * time.Second, 12 * time.Second},
		{"never", 0, backlogWait, backlogWait + tickEvery},
	} {
		t.Run(tt.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				sky, op := scene(t)
				h := newHouse(t, bot.Config{Sky: sky})
				if err := h.desk.SetUp(op, now()); err != nil {
					t.Fatal(err)
				}
				if _, err := h.desk.Due(now()); err != nil { // plans the passes
					t.Fatal(err)
				}
				due := slices.SortedFunc(maps.Values(followed(t, h, op, now(), now().Add(48*time.Hour))), time.Time.Compare)
				if len(due) == 0 {
					t.Fatal("no pass is followed")
				}
				time.Sleep(due[0].Add(time.Minute).Sub(now())) // the reminder fell due while nothing ran
				a := &app{}
				a.receive = func(ctx context.Context, l *Loops) error {
					if tt.caughtUp == 0 {
						<-ctx.Done()
						return ctx.Err()
					}
					time.Sleep(tt.caughtUp)
					return l.Accept(nil, said(t, "7", 1, "/help"))
				}
				start := now()
				_, stop := running(t, h, a, nil)
				time.Sleep(2 * time.Minute)
				if err := stop(); err != nil {
					t.Error(err)
				}
				got := rings(a.to("7"))
				if len(got) != 1 {
					t.Fatalf("%d reminders, want 1", len(got))
				}
				if waited := got[0].at.Sub(start); waited < tt.atLeast || waited > tt.atMost {
					t.Errorf("the reminder went out after %s, want %s to %s", waited, tt.atLeast, tt.atMost)
				}
				if tt.caughtUp > 0 && a.to("7")[0].ReplyTo != 1 {
					t.Errorf("the reminder came before the answer to what was typed: %q", firstLine(a.to("7")[0].Text))
				}
			})
		})
	}
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
}
