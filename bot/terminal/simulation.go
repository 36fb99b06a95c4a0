package terminal

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"
)

// simulation is the phones with a clock of their own.
type simulation struct {
	phones *phones
	screen *screen
	speed  float64 // simulated seconds in a real one, while somebody is typing

	clock time.Time
	// While somebody is typing the clock stood at mark when the real one
	// stood at real.
	mark, real time.Time
}

// run starts at from, or where the clock of an earlier run stopped if that is
// later, and follows the lines.
func (s *simulation) run(ctx context.Context, from time.Time) error {
	s.clock = from.UTC()
	kept, err := s.phones.clock()
	if err != nil {
		return err
	}
	if kept.After(s.clock) {
		s.clock = kept
	}
	// The elements may be others than last time, and a store made anew from the
	// journal has no agenda.
	if err := s.phones.desk.Replan(s.clock); err != nil {
		return err
	}
	if err := s.settle(); err != nil {
		return err
	}
	s.rebase()
	reading, stop := context.WithCancel(ctx)
	defer stop()
	lines := s.screen.read(reading)
	for {
		more, err := s.step(ctx, lines)
		if err != nil || !more {
			return errors.Join(err, s.phones.keepClock(s.clock))
		}
	}
}

// step waits for the next thing to happen: a line or, while the clock runs, a
// moment of the agenda.
func (s *simulation) step(ctx context.Context, lines <-chan input) (more bool, err error) {
	var moment <-chan time.Time
	if s.screen.terminal {
		at, ok, err := s.phones.desk.Next()
		if err != nil {
			return false, err
		}
		if ok {
			wait := min(float64(at.Sub(s.clock))/s.speed, float64(time.Hour)) // a slow clock may need ages
			moment = time.After(time.Duration(max(wait, 0)) + time.Millisecond)
		}
	}
	select {
	case <-ctx.Done():
		return false, nil
	case <-moment:
		return true, s.catchUp(ctx)
	case in := <-lines:
		if err := s.catchUp(ctx); err != nil {
			return false, err
		}
		if errors.Is(in.err, io.EOF) {
			return false, nil
		}
		return true, s.screen.follow(in, func(line string) error { return s.follow(ctx, line) })
	}
}

// catchUp moves the clock to where it has run by itself.
func (s *simulation) catchUp(ctx context.Context) error {
	if !s.screen.terminal {
		return nil
	}
	ran := time.Duration(float64(time.Since(s.real)) * s.speed)
	err := s.advance(ctx, s.mark.Add(ran))
	s.rebase()
	return err
}

func (s *simulation) rebase() { s.mark, s.real = s.clock, time.Now() }

func (s *simulation) follow(ctx context.Context, line string) error {
	who, said := speaker(line)
	c, err := parseLine(said)
	if err != nil {
		return err
	}
	target := c.at
	switch {
	case c.verb == pass:
		target = s.clock.Add(c.length)
	case c.verb != until:
		if err := s.phones.do(s.clock, who, said, c); err != nil {
			return err
		}
		return s.settle()
	case target.Before(s.clock):
		return expected(line, "a time at or after %s: the clock does not go back", s.clock.Format(time.RFC3339Nano))
	}
	if target.Year() > 9999 {
		return expected(line, "a time before the year 10000")
	}
	if err := s.phones.show.echo(s.clock, who, "", said); err != nil {
		return err
	}
	err = s.advance(ctx, target)
	s.rebase()
	return err
}

// advance moves the clock up to target and stops at each moment of the agenda
// on the way. The end of ctx leaves the clock at the last one of them.
func (s *simulation) advance(ctx context.Context, target time.Time) error {
	for ctx.Err() == nil {
		at, ok, err := s.phones.desk.Next()
		if err != nil {
			return err
		}
		if !ok || at.After(target) {
			break
		}
		if at.After(s.clock) {
			s.clock = at
		}
		if err := s.settle(); err != nil {
			return err
		}
	}
	if ctx.Err() == nil && target.After(s.clock) {
		s.clock = target
	}
	return s.settle()
}

// settle does all there is to do at this moment: what came in, what is due, and
// what is owed.
func (s *simulation) settle() error {
	for busy := true; busy; {
		worked, err := s.phones.desk.Work(s.clock)
		if err != nil {
			return err
		}
		if worked {
			continue
		}
		due, err := s.phones.desk.Due(s.clock)
		if err != nil {
			return err
		}
		busy = due > 0
	}
	at, ok, err := s.phones.desk.Next()
	switch {
	case err != nil:
		return err
	case ok && !at.After(s.clock): // going on would turn for ever
		return fmt.Errorf("the agenda does not get past %s", at.Format(time.RFC3339Nano))
	}
	return s.bringOut()
}

// bringOut delivers what is owed, in order.
func (s *simulation) bringOut() error {
	owed, err := s.phones.desk.Owed(s.clock)
	if err != nil {
		return err
	}
	for _, o := range owed {
		o, ok, err := s.phones.desk.Fill(o, s.clock)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		name, err := s.phones.deliver(s.clock, o)
		if err != nil {
			return err
		}
		if err := s.phones.desk.Settled(o.Name, name, s.clock); err != nil {
			return err
		}
	}
	return s.phones.keepClock(s.clock)
}
