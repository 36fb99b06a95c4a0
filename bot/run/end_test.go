package run

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
)

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
