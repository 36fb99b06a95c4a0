package terminal

import (
	"bytes"
	"context"
	"io"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot/logtest"
)

// Somebody types, and the clock runs by itself: thirty times as fast.
func TestRunningClock(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		pt := newPhoneTest(t)
		desk, closed := pt.open()
		defer closed()
		var out logtest.Record
		typed := make(chan string)
		s := &screen{out: &out, terminal: true, lines: func() (string, error) {
			line, ok := <-typed
			if !ok {
				return "", io.EOF
			}
			return line, nil
		}}
		sim := &simulation{phones: newPhones(Config{Desk: desk, Dir: pt.dir}, s), screen: s, speed: 30}
		ended := make(chan error, 1)
		go func() { ended <- sim.run(t.Context(), pt.scene.From) }()

		time.Sleep(3 * time.Second) // 90 simulated seconds
		synctest.Wait()
		if strings.Contains(out.String(), "(rings)") {
			t.Errorf("a reminder after 90 s:\n%s", out.String())
		}
		time.Sleep(2 * time.Second)
		synctest.Wait()
		if !strings.Contains(out.String(), "10:32:00 b1 (rings)") {
			t.Errorf("no reminder at its moment:\n%s", out.String())
		}
		typed <- "/help" // after 5 s, 150 simulated ones
		synctest.Wait()
		typed <- "~ 10m"
		synctest.Wait()
		typed <- "/help"
		synctest.Wait()
		close(typed)
		if err := <-ended; err != nil {
			t.Error(err)
		}
		want := []time.Time{pt.scene.From.Add(150 * time.Second), pt.scene.From.Add(750 * time.Second)}
		for i, e := range pt.events {
			if !e.At.Equal(want[i]) {
				t.Errorf("message %d is stamped %s, want %s", i+1, e.At, want[i])
			}
		}
	})
}

// The end comes in the middle of a long move of the clock, too, and the clock
// stays where it was by then.
func TestEndDuringLongMove(t *testing.T) {
	pt := newPhoneTest(t)
	desk, closed := pt.open()
	defer closed()
	ctx, cancel := context.WithCancel(t.Context())
	var out bytes.Buffer
	err := Run(ctx, Config{
		Desk: desk, In: strings.NewReader("~ until 9000-01-01T00:00:00Z\n/help"), Dir: pt.dir, From: pt.scene.From,
		Out: writerFunc(func(p []byte) (int, error) {
			if strings.Contains(string(p), "(rings)") {
				cancel()
			}
			return out.Write(p)
		}),
	})
	if err != nil {
		t.Error(err)
	}
	clock, err := newPhones(Config{Desk: desk}, &screen{}).clock()
	if err != nil {
		t.Fatal(err)
	}
	if got := clock.Sub(pt.scene.From); got < time.Minute || got > time.Hour {
		t.Errorf("the clock stands %s after the start", got)
	}
}

type writerFunc func([]byte) (int, error)

func (f writerFunc) Write(p []byte) (int, error) { return f(p) }
