package run

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/storage"
)

// A full disk is told to those whom it concerns, past the outbox, once an hour;
// other errors are no business of theirs.
func TestFullDiskIsTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), &app{}
		l, stop := running(t, h, a, nil)
		full := fmt.Errorf("accept: %w", storage.ErrNoSpace)
		l.noRoom(errors.New("something else"), said(t, "7", 1, "hx7abc jo33"))
		l.noRoom(full, said(t, "7", 1, "hx7abc jo33"), said(t, "7", 2, "di4zab jo43"), said(t, "8", 1, "/log"),
			storage.Raw{ID: "poison", Body: []byte("{")})
		l.noRoom(full, said(t, "7", 1, "hx7abc jo33"))
		synctest.Wait()
		for _, op := range []storage.OperatorID{"7", "8"} {
			if got := a.to(op); len(got) != 1 || !strings.Contains(got[0].Text, "disk") {
				t.Errorf("operator %s was told %d times: %v", op, len(got), got)
			}
		}
		time.Sleep(fullAgain)
		l.noRoom(full, said(t, "7", 1, "hx7abc jo33"))
		synctest.Wait()
		if n := len(a.to("7")); n != 2 {
			t.Errorf("told %d times after an hour, want 2", n)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// A chat that has had as much as may be for now is told when its turn comes.
func TestFullDiskIsToldInTurn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), &app{}
		start := now()
		a.send = func(context.Context, bot.Outgoing) error {
			if wait := 2*time.Second - now().Sub(start); wait > 0 {
				return &SendError{Fate: Later, After: wait, Err: errors.New("not yet")}
			}
			return nil
		}
		l, stop := running(t, h, a, nil)
		l.noRoom(storage.ErrNoSpace, said(t, "7", 1, "hx7abc jo33"))
		time.Sleep(3 * time.Second)
		if got := a.to("7"); len(got) != 1 || got[0].at.Sub(start) != 2*time.Second {
			t.Errorf("told: %v", got)
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// What waits in the inbox has somebody who wants to know, too.
func TestFullDiskIsToldForWhatWaits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, a := newHouse(t, bot.Config{}), &app{}
		if err := h.desk.Accept(nil, said(t, "9", 1, "/log")); err != nil {
			t.Fatal(err)
		}
		told := h.desk.NoRoom(now())
		if len(told) != 1 || told[0].Operator != "9" {
			t.Fatalf("told: %v", told)
		}
		// Whoever has written is told before those for whom moments are due.
		var due []storage.Item
		for _, op := range []storage.OperatorID{"1", "2", "9"} {
			due = append(due, storage.Item{Key: string(op), Operator: op, At: now(), Kind: "card"})
		}
		if err := h.store.Commit("due", now(), storage.Changes{Agenda: due}); err != nil {
			t.Fatal(err)
		}
		if told = h.desk.NoRoom(now()); len(told) != 3 || told[0].Operator != "9" {
			t.Errorf("told with moments due: %v", told)
		}
		a.send = func(context.Context, bot.Outgoing) error { panic("a transport that breaks") }
		l := New(h.desk, a, nil)
		l.tellOne(t.Context(), told[0]) // must come back
	})
}
