// Package terminal is an operator's phone in a terminal, or several: the whole bot
// without an account and without a network.
//
// # What is typed
//
// A line is a message to the bot. In it \n breaks the message's line, \\n is a
// backslash followed by an n, and every other backslash stays what it is. Blank
// lines are passed over. A line that begins with ~ moves the clock or does
// something on the phone:
//
//	~ 90s                     the clock goes on by that much (10m, 1h30m)
//	~ until TIME              ... up to TIME (RFC 3339)
//	~ edit N TEXT             changes message N that was sent
//	~ reply N TEXT            answers message N: m3 or 3, or the bot's b7
//	~ relay TEXT              forwards a text that somebody else wrote
//	~ tap POST BUTTON         taps a button under post b7: its label or its number
//	~ place LAT,LON[,ACCURACY_M] [live]   shares a location
//	~ file PATH               sends a document
//	~ voice SECONDS           sends a voice message
//	~ offline                 the phone loses its network
//	~ online                  ... and gets it back
//
// While the phone is offline it holds what the operator does. At ~ online it
// first gets the posts it missed, then everything it held is delivered, stamped
// with that moment, as a messaging app does. A live location moves: further
// live places within eight hours change the one that was shared, they are no
// new message.
//
// A line that begins with @NAME and a blank is said by an operator of that name, who
// has a phone of their own, with its own numbers and its own network:
//
//	@anna DI4ZAB JO43
//	@anna ~ edit m1 DI4ZAB JO44
//
// The bot's posts to that phone are shown with the name before them: anna < b1. A
// name is a letter, and then letters, figures, - and _.
//
// # The clock
//
// With a simulated clock the moments come from here: when standard input is a
// terminal the clock runs, at a chosen speed; otherwise it stands still but for
// the ~ lines. Either way it stops at each moment of the agenda on its way, so
// that everything happens in order and at the very moment it is due. Without a
// simulated clock package run's loops do the work in real time.
//
// # Numbers
//
// The operator's messages are m1, m2, ... and the bot's posts b1, b2, ... To the
// bot, as the messaging app's ids, m3 is 3 and b7 is -7. What has to outlive the
// program (the numbers, the clock, what is held, the buttons under the latest
// posts) is one value beside the inbox, written in the same transaction.
package terminal

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"strings"
	"time"

	"golang.org/x/term"

	"skyslate/bot"
	"skyslate/bot/run"
	"skyslate/storage"
)

// Operator is who says a line that begins with nobody's name.
const Operator storage.OperatorID = "local"

// Config says how a terminal is used.
type Config struct {
	Desk *bot.Desk
	In   io.Reader
	Out  io.Writer
	JSON bool         // one object for each thing that the bot does
	Dir  string       // the data directory; files from the bot go to sent/ in it
	Log  *slog.Logger // nil: none

	// From starts a simulated clock there, or later if the clock kept in the
	// store is later. Zero: the real clock.
	From time.Time
	// Speed is how many simulated seconds pass in a real one while standard
	// input is a terminal; 0 means 1.
	Speed float64
}

// Run is the conversation, up to the end of the input or of ctx. Nothing is
// lost by ending it. A line that begins with ~ and can't be followed is answered with
// what is wrong where somebody types, and ends a script with a *LineError.
func Run(ctx context.Context, c Config) error {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	screen, restore, err := newScreen(c)
	if err != nil {
		return err
	}
	defer restore()
	ps := newPhones(c, screen)
	if c.From.IsZero() {
		l := &live{phones: ps, screen: screen}
		loops := run.New(c.Desk, l, c.Log)
		ps.accept = loops.Accept
		return loops.Run(ctx)
	}
	s := &simulation{phones: ps, screen: screen, speed: c.Speed}
	if s.speed == 0 {
		s.speed = 1
	}
	return s.run(ctx, c.From)
}

// screen is where lines come from and where everything is written.
type screen struct {
	lines    func() (string, error) // io.EOF at the end
	out      io.Writer
	terminal bool // input is a terminal: somebody is typing
}

// maxLine is the longest line taken, in bytes: beyond it something else than a
// message is being piped in.
const maxLine = 1 << 20

// newScreen prepares input and output; the returned function undoes it.
func newScreen(c Config) (*screen, func(), error) {
	nothing := func() {}
	in, out := asTerminal(c.In), asTerminal(c.Out)
	s := &screen{out: c.Out, terminal: in != nil}
	if in == nil || out == nil || c.JSON {
		r := bufio.NewReaderSize(c.In, maxLine)
		s.lines = func() (string, error) { return readLine(r) }
		return s, nothing, nil
	}
	before, err := term.MakeRaw(int(in.Fd()))
	if err != nil {
		return nil, nothing, fmt.Errorf("preparing the terminal: %w", err)
	}
	t := term.NewTerminal(readWriter{in, out}, "> ")
	s.out = t
	s.lines = func() (string, error) {
		if w, h, err := term.GetSize(int(out.Fd())); err == nil && w > 0 {
			_ = t.SetSize(w, h) // a wrong width only wraps the line badly
		}
		text, err := t.ReadLine()
		if errors.Is(err, term.ErrPasteIndicator) {
			err = nil
		}
		return text, err
	}
	return s, func() { _ = term.Restore(int(in.Fd()), before) }, nil
}

type readWriter struct {
	io.Reader
	io.Writer
}

// asTerminal returns f's file if it is a terminal.
func asTerminal(f any) *os.File {
	if file, ok := f.(*os.File); ok && term.IsTerminal(int(file.Fd())) {
		return file
	}
	return nil
}

// readLine reads a line without its end. A last line without an end counts.
func readLine(r *bufio.Reader) (string, error) {
	b, err := r.ReadSlice('\n')
	switch {
	case errors.Is(err, bufio.ErrBufferFull):
		return "", fmt.Errorf("a line of more than %d bytes, expected a message", maxLine)
	case err != nil && (len(b) == 0 || !errors.Is(err, io.EOF)):
		return "", err
	}
	return strings.TrimRight(string(b), "\r\n"), nil
}

// input is one line as it came in, or the reason why there are no more.
type input struct {
	number int
	text   string
	err    error // io.EOF at the end
}

// follow does what a line says, if it says anything. An error about the line is told
// to who types, and to others returned with its number.
func (s *screen) follow(in input, do func(line string) error) error {
	if in.err != nil {
		return fmt.Errorf("line %d: %w", in.number, in.err)
	}
	if strings.TrimSpace(in.text) == "" {
		return nil
	}
	err := do(strings.ToValidUTF8(in.text, "\uFFFD"))
	var le *LineError
	switch {
	case !errors.As(err, &le):
	case s.terminal:
		_, err = fmt.Fprintf(s.out, notFollowed, le.Found, le.Expected)
	default:
		le.Line = in.number
	}
	return err
}

// read hands lines over one at a time, so that none is taken that is not
// worked on; it ends with the input or, when nobody takes them any more, with
// ctx.
func (s *screen) read(ctx context.Context) <-chan input {
	ch := make(chan input)
	go func() {
		defer close(ch)
		for n := 1; ; n++ {
			text, err := s.lines()
			select {
			case ch <- input{n, text, err}:
			case <-ctx.Done():
				return
			}
			if err != nil {
				return
			}
		}
	}()
	return ch
}
