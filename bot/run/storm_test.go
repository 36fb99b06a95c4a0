package run

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/storage"
)

// paced is a messaging app that takes a while for each call, and so many calls in
// a second (30 over all chats: from memory).
func paced(each time.Duration, perSecond float64) *app {
	var mu sync.Mutex
	var free time.Time
	return &app{
		wait: func(ctx context.Context) {
			mu.Lock()
			free = later(free, time.Now()).Add(time.Duration(float64(time.Second) / perSecond))
			wait := time.Until(free)
			mu.Unlock()
			await(ctx, nil, wait)
		},
		send: func(ctx context.Context, _ bot.Outgoing) error {
			if ctx.Err() == nil {
				time.Sleep(each)
			}
			return ctx.Err()
		},
	}
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// manyReminders owes so many operators a reminder each, of passes that rise
// within the next half hour.
func manyReminders(t *testing.T, h house, n int) {
	t.Helper()
	var posts []storage.Post
	for i := range n {
		op := storage.OperatorID(fmt.Sprint(100000 + i))
		aos := now().Add(10*time.Minute + time.Duration(i%1200)*time.Second)
		posts = append(posts, storage.Post{
			Name: string(op) + "/remind/p", Operator: op, Op: storage.Send, Class: storage.ClassReminder,
			Made: now(), Due: aos, NotAfter: aos.Add(10 * time.Minute), Text: "it rises",
		})
	}
	if err := h.store.Commit("storm", now(), storage.Changes{Posts: posts}); err != nil {
		t.Fatal(err)
	}
}

// answeredWithin checks how long an operator's only message waited.
func answeredWithin(t *testing.T, a *app, op storage.OperatorID, asked time.Time, most time.Duration) {
	t.Helper()
	got := a.to(op)
	if len(got) == 0 {
		t.Fatalf("%s has no answer after %s", op, now().Sub(asked))
	}
	took := got[0].at.Sub(asked)
	t.Logf("%s was answered after %s", op, took)
	if took > most {
		t.Errorf("%s was answered after %s, want at most %s", op, took, most)
	}
}

// Nobody's answer waits behind others' reminders: behind the one that goes out next at
// the most, however many could be on their way at once.
func TestAnswersPassReminders(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const each, perSecond = 50 * time.Millisecond, 30
		h, a := newHouse(t, bot.Config{}), paced(each, perSecond)
		manyReminders(t, h, 10_000)
		l, stop := running(t, h, a, nil)
		time.Sleep(10 * time.Second)
		asked := now()
		if err := l.Accept(nil, said(t, "7", 1, "/help")); err != nil {
			t.Fatal(err)
		}
		time.Sleep(10 * time.Second)
		answeredWithin(t, a, "7", asked, each+2*time.Second/perSecond)
		a.mu.Lock()
		n := len(a.sent)
		a.mu.Unlock()
		if n < 550 {
			t.Errorf("%d posts went out in twenty seconds of thirty each", n)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// Reminders go out by how soon AOS is, and none after LOS.
func TestRemindersBySoonestAOS(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), paced(0, 0.2)
		manyReminders(t, h, 600)
		_, stop := running(t, h, a, nil)
		time.Sleep(time.Hour)
		if err := stop(); err != nil {
			t.Error(err)
		}
		if len(a.sent) == 0 || len(a.sent) == 600 {
			t.Fatalf("%d of 600 reminders went out", len(a.sent))
		}
		for i, s := range a.sent {
			var op int
			if _, err := fmt.Sscan(string(s.Operator), &op); err != nil {
				t.Fatal(err)
			}
			los := a.sent[0].at.Add(20*time.Minute + time.Duration(op-100000)*time.Second)
			if s.at.After(los) {
				t.Errorf("%s is reminded %s after LOS", s.Operator, s.at.Sub(los))
			}
			if i > lanesAtOnce && s.Operator < a.sent[i-1-lanesAtOnce].Operator {
				t.Errorf("%s comes after %s", s.Operator, a.sent[i-1-lanesAtOnce].Operator)
			}
		}
		if left := owed(t, h); len(left) > 0 {
			t.Errorf("%d posts are owed after all passes", len(left))
		}
	})
}

// What one operator sends keeps nobody else waiting: they take turns.
func TestFloodHoldsNobodyUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var mu sync.Mutex
		worked := map[storage.OperatorID]int{}
		h := newHouse(t, bot.Config{Decode: func(v *storage.View, r storage.Raw) (event.Event, error) {
			ev, err := event.Decode(v, r)
			mu.Lock()
			defer mu.Unlock()
			worked[ev.Operator]++
			return ev, err
		}})
		const flood = 1000
		a := &app{}
		seen := -1
		a.send = func(_ context.Context, o bot.Outgoing) error {
			mu.Lock()
			defer mu.Unlock()
			if o.Operator == "8" && seen < 0 {
				seen = worked["7"]
			}
			return nil
		}
		var raws []storage.Raw
		for n := range int64(flood) {
			raws = append(raws, said(t, "7", n+1, "/help"))
		}
		if err := h.desk.Accept(nil, append(raws, said(t, "8", 1, "/help"))...); err != nil {
			t.Fatal(err)
		}
		l, stop := running(t, h, a, nil)
		if err := l.Quiet(t.Context()); err != nil {
			t.Fatal(err)
		}
		if seen < 0 || seen > flood/2 {
			t.Errorf("the other operator was answered after %d of %d messages", seen, flood)
		}
		var names []string
		for n := range 200 {
			names = append(names, fmt.Sprint(n+1))
		}
		if got := answers(a.to("7")); !slices.Equal(got[:200], names) {
			t.Errorf("answers to %v, want them in order", got[:200])
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// A long agenda keeps no answer waiting.
func TestAgendaHoldsNobodyUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), &app{}
		const due = 1000
		left := -1
		a.send = func(context.Context, bot.Outgoing) error {
			if left < 0 {
				items, err := h.store.Due(now(), 2*due)
				if err != nil {
					return err
				}
				left = len(items)
			}
			return nil
		}
		l, stop := running(t, h, a, nil)
		var c storage.Changes
		for n := range due {
			c.Agenda = append(c.Agenda, storage.Item{Key: fmt.Sprint("nothing/7/", n), At: now(), Operator: "7", Kind: "nothing"})
		}
		if err := h.store.Commit("many", now(), c); err != nil {
			t.Fatal(err)
		}
		if err := l.Accept(nil, said(t, "8", 1, "/help")); err != nil {
			t.Fatal(err)
		}
		time.Sleep(tickEvery)
		if left < due/2 {
			t.Errorf("the answer went out with %d of %d moments left", left, due)
		}
		if items, err := h.store.Due(now(), 1); err != nil || len(items) > 0 {
			t.Errorf("left on the agenda: %v %v", items, err)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// The end comes within five seconds, whatever there is to do.
func TestEndIsNear(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := newHouse(t, bot.Config{Decode: func(v *storage.View, r storage.Raw) (event.Event, error) {
			time.Sleep(100 * time.Millisecond)
			return event.Decode(v, r)
		}})
		manyReminders(t, h, 1000)
		a := paced(50*time.Millisecond, 30)
		var raws []storage.Raw
		for n := range int64(500) {
			raws = append(raws, said(t, storage.OperatorID(fmt.Sprint(n%7+1)), n+1, "/help"))
		}
		if err := h.desk.Accept(nil, raws...); err != nil {
			t.Fatal(err)
		}
		_, stop := running(t, h, a, nil)
		time.Sleep(2 * time.Second)
		at := now()
		if err := stop(); err != nil {
			t.Error(err)
		}
		if took := now().Sub(at); took > 5*time.Second {
			t.Errorf("the end took %s", took)
		}
		a.mu.Lock()
		defer a.mu.Unlock()
		left := map[string]bool{}
		for _, o := range owed(t, h) {
			left[o.Name] = true
		}
		for _, s := range a.sent {
			if left[s.Name] {
				t.Errorf("%s went out and is still owed", s.Name)
			}
		}
	})
}

// Of operators for whom there is nothing to do the loops hold nothing, and of
// those who are forgotten neither.
func TestNothingIsHeldOfTheIdle(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), &app{}
		a.send = func(_ context.Context, o bot.Outgoing) error {
			if o.Operator == "9" && !o.Last {
				return &SendError{Fate: Again, After: time.Hour, Err: context.DeadlineExceeded}
			}
			return nil
		}
		l, stop := running(t, h, a, nil)
		for n := range int64(20) {
			if err := l.Accept(nil, said(t, storage.OperatorID(fmt.Sprint(n)), n+1, "/help")); err != nil {
				t.Fatal(err)
			}
		}
		synctest.Wait()
		lanes := func() int {
			l.mu.Lock()
			defer l.mu.Unlock()
			return len(l.lanes)
		}
		if n := lanes(); n != 1 {
			t.Errorf("%d lanes are held, want the one that waits", n)
		}
		if _, err := h.store.Forget("9", now(), nil); err != nil {
			t.Fatal(err)
		}
		l.forget("9")
		if n := lanes(); n != 0 {
			t.Errorf("%d lanes are held after the operator was forgotten", n)
		}
		farewell := storage.Post{Name: "9/bye", Operator: "9", Op: storage.Send, Text: "bye", Last: true}
		if err := h.store.Commit("bye", now(), storage.Changes{Posts: []storage.Post{farewell}}); err != nil {
			t.Fatal(err)
		}
		l.send.Ring()
		synctest.Wait()
		if got := a.to("9"); len(got) != 1 || !got[0].Last {
			t.Errorf("to who is forgotten went %v, want the farewell alone", got)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// A storm is foreseen: where reminders that fall due together are more than go
// out in time, they begin before their moment, and none is much behind it.
func TestStormBeginsEarly(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const crowd, perSecond = 60, 0.2 // five minutes' worth
		sky, op := scene(t)
		h, a := newHouse(t, bot.Config{Sky: sky}), paced(0, perSecond)
		op.Cautioned = now()
		for n := range crowd {
			op.ID = storage.OperatorID(fmt.Sprint("op", n))
			if err := h.desk.SetUp(op, now()); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := h.desk.Due(now()); err != nil { // plans the passes
			t.Fatal(err)
		}
		var due time.Time
		for _, at := range followed(t, h, op, now(), now().Add(48*time.Hour)) {
			if due.IsZero() || at.Before(due) {
				due = at
			}
		}
		ctx, cancel := context.WithCancel(t.Context())
		l := New(h.desk, a, nil)
		l.perSecond = perSecond
		ended := make(chan error, 1)
		time.Sleep(time.Until(due.Add(-20 * time.Minute)))
		for range owed(t, h) { // what came with the planning is out
			t.Fatal("something is owed before the storm")
		}
		go func() { ended <- l.Run(ctx) }()
		time.Sleep(time.Until(due.Add(6 * time.Minute)))
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		got := rings(a.sent)
		if len(got) != crowd {
			t.Fatalf("%d reminders, want %d", len(got), crowd)
		}
		first, last := got[0].at.Sub(due), got[crowd-1].at.Sub(due)
		t.Logf("from %s to %s after the moment asked for", first, last)
		if first < -5*time.Minute || first > -2*time.Minute || last > 2*time.Minute+2*tickEvery {
			t.Errorf("they go out from %s to %s after the moment asked for", first, last)
		}
	})
}

// Many who write faster than the service lets them be answered keep nobody else
// waiting: their turn comes later, and until then they take no room. Quiet waits
// for them all the same.
func TestBusyChatsTakeNoRoom(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const every = 1100 * time.Millisecond
		var mu sync.Mutex
		free := map[storage.OperatorID]time.Time{}
		h, a := newHouse(t, bot.Config{}), &app{}
		a.send = func(_ context.Context, o bot.Outgoing) error {
			mu.Lock()
			wait := time.Until(free[o.Operator])
			if wait <= 0 {
				free[o.Operator] = time.Now().Add(every)
			}
			mu.Unlock()
			if wait > 0 {
				return &SendError{Fate: Later, After: wait, Err: context.DeadlineExceeded}
			}
			time.Sleep(50 * time.Millisecond)
			return nil
		}
		l, stop := running(t, h, a, nil)
		for n := range int64(400) {
			if err := l.Accept(nil, said(t, storage.OperatorID(fmt.Sprint(10+n%20)), n+1, "/help")); err != nil {
				t.Fatal(err)
			}
		}
		time.Sleep(5 * time.Second)
		asked := now()
		if err := l.Accept(nil, said(t, "7", 1, "/help")); err != nil {
			t.Fatal(err)
		}
		if err := l.Quiet(t.Context()); err != nil {
			t.Fatal(err)
		}
		answeredWithin(t, a, "7", asked, time.Second)
		if left := owed(t, h); len(left) > 0 {
			t.Errorf("%d posts are owed after Quiet", len(left))
		}
		if len(l.lanes) > 0 {
			t.Errorf("lanes are held of %d operators", len(l.lanes))
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}
