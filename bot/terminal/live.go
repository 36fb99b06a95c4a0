package terminal

import (
	"context"
	"errors"
	"io"
	"time"

	"skyslate/bot"
	"skyslate/bot/run"
)

// live is the phones in real time: one more transport for package run's loops.
type live struct {
	phones *phones
	screen *screen
}

// Receive follows the lines up to the end of the input. Before each one it
// waits until the bot has answered the ones before, unless somebody is typing:
// a pipe is faster than a bot, and its next line may be about the answer.
func (v *live) Receive(ctx context.Context, intake run.Intake) error {
	reading, stop := context.WithCancel(ctx)
	defer stop()
	lines := v.screen.read(reading)
	intake.CaughtUp()
	for {
		if !v.screen.terminal {
			if err := answered(ctx, intake); err != nil {
				return err
			}
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case in := <-lines:
			if errors.Is(in.err, io.EOF) {
				return answered(ctx, intake)
			}
			if err := v.screen.follow(in, v.follow); err != nil {
				return err
			}
		}
	}
}

// longestAnswer is how long the bot may take over what was sent.
const longestAnswer = time.Minute

// answered waits until everything sent so far is answered. A store that fails
// for long ends the program: it would be tried again for ever.
func answered(ctx context.Context, intake run.Intake) error {
	waiting, stop := context.WithTimeout(ctx, longestAnswer)
	defer stop()
	err := intake.Quiet(waiting)
	if err != nil && ctx.Err() == nil {
		return errors.New("the bot can't answer; what was sent is kept for the next start")
	}
	return err
}

func (v *live) follow(line string) error {
	who, said := speaker(line)
	c, err := parseLine(said)
	if err != nil {
		return err
	}
	if c.verb == pass || c.verb == until {
		return expected(line, "a line that does not move the clock: this is the real one (start with -from or -rehearse for one that can be moved)")
	}
	return v.phones.do(realTime(), who, said, c)
}

// Send shows a post. A screen that can't be written to any more ends the
// program.
func (v *live) Send(_ context.Context, o bot.Outgoing, _ func()) (string, error) {
	name, err := v.phones.deliver(realTime(), o)
	if err != nil {
		return "", &run.SendError{Fate: run.Stop, Err: err}
	}
	return name, nil
}

// realTime is the time, to the millisecond as it is shown.
func realTime() time.Time { return time.Now().UTC().Truncate(time.Millisecond) }
