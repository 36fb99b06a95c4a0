package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"skyslate/bot"
	"skyslate/bot/rehearsal"
	"skyslate/bot/sky"
	"skyslate/bot/terminal"
	"skyslate/predict"
	"skyslate/storage"
)

const aboutChat = `The whole bot in this terminal: no account, no network. A line is a message to
the bot; \n in it breaks the line. A line that begins with @NAME is said by another
operator, on a phone of their own. Lines that begin with ~ are the phone and the
clock:

  ~ 90s   ~ 10m   ~ 1h30m   ~ until TIME
  ~ edit N TEXT   ~ reply N TEXT   ~ relay TEXT   ~ tap POST BUTTON
  ~ place LAT,LON[,ACCURACY_M] [live]   ~ file PATH   ~ voice SECONDS
  ~ offline   ~ online

N is the number of a message: m3 (or 3) of yours, b7 of the bot's. What is
relayed is a message that somebody else wrote. Times are
UTC, as 2026-11-24T17:30:00Z. The first thing to try: skyslate chat -rehearse`

// chatQuery is what the arguments of chat ask for.
type chatQuery struct {
	data     string
	fresh    bool // data is made for this time
	elements words
	birds    []predict.Bird
	from     moment
	rehearse bool
	speed    float64
	json     bool
}

// fastest bounds -speed: about a day in a second.
const fastest = 1e5

func parseChat(args []string, std stdio) (q chatQuery, err error) {
	fs := newFlags("chat", "[-rehearse] [more]", aboutChat)
	fs.StringVar(&q.data, "data", "skyslate-data", "`DIR`ectory of the log, and of the files that the bot sends")
	fs.Var(&q.elements, "elements", "element sets in a `FILE` (repeatable)")
	birdsFlag(fs, &q.birds)
	fs.Var(&q.from, "from", "start a simulated clock at this `TIME`, or resume it if it is past that; without it the clock is the real one")
	fs.BoolVar(&q.rehearse, "rehearse", false, "an invented scene, twelve minutes before a pass, with an operator who is set up already")
	fs.Float64Var(&q.speed, "speed", 1, "how many times as fast a simulated clock runs while somebody is typing")
	fs.BoolVar(&q.json, "json", false, "one JSON object for each thing that the bot does")
	if err := parseFlags(fs, args, std); err != nil {
		return q, err
	}
	q.fresh = q.rehearse && !given(fs, "data")
	switch {
	case q.data == "":
		return q, usagef("-data is empty")
	case q.rehearse && (given(fs, "from") || given(fs, "elements") || given(fs, "birds")):
		return q, usagef("-rehearse brings its own -from, -elements and -birds: leave them out")
	case !(q.speed > 0 && q.speed <= fastest):
		return q, usagef("-speed %g: expected more than 0 and at most %g", q.speed, fastest)
	case given(fs, "speed") && !given(fs, "from") && !q.rehearse:
		return q, usagef("-speed is for a simulated clock: give -from or -rehearse as well")
	case given(fs, "from") && q.from.IsZero():
		return q, usagef("-from %s: expected a time of this age", q.from.String())
	}
	return q, nil
}

func runChat(args []string, std stdio) error {
	q, err := parseChat(args, std)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	scene, err := q.scene(std)
	if err != nil {
		return err
	}
	if q.fresh {
		if q.data, err = os.MkdirTemp("", "skyslate-rehearsal-"); err != nil {
			return err
		}
	}
	store, err := storage.Open(q.data)
	if err != nil {
		return err
	}
	return errors.Join(q.talk(ctx, store, scene, std), store.Close())
}

// talk is the conversation, over an open store.
func (q chatQuery) talk(ctx context.Context, store *storage.Store, scene rehearsal.Scene, std stdio) error {
	log := slog.New(slog.NewTextHandler(std.err, &slog.HandlerOptions{Level: slog.LevelWarn}))
	tellNotices(store, log)
	desk := bot.New(bot.Config{
		Store: store, Sky: sky.New(scene.Birds, scene.Elements), Log: log, Version: version(),
		NewCode: func(event string) string { return "phone-" + strings.ReplaceAll(event, "/", "-") }, // nobody is to be kept out
	})
	remarks := std.out
	if q.json {
		remarks = std.err // no part of the conversation
	}
	if err := q.open(store, desk, scene, remarks); err != nil {
		return err
	}
	return terminal.Run(ctx, terminal.Config{
		Desk: desk, In: std.in, Out: std.out, JSON: q.json, Dir: q.data, Log: log, From: scene.From, Speed: q.speed,
	})
}

// scene is the rehearsal's, or the real birds with the elements that were given.
func (q chatQuery) scene(std stdio) (rehearsal.Scene, error) {
	if q.rehearse {
		return rehearsal.Open(terminal.Operator)
	}
	sets, err := chatElements(q.elements, std.err)
	return rehearsal.Scene{Birds: q.birds, Elements: sets, From: q.from.Time}, err
}

// open sets up the rehearsal's operator, who is known when it is resumed.
func (q chatQuery) open(store *storage.Store, desk *bot.Desk, scene rehearsal.Scene, out io.Writer) error {
	if !q.rehearse {
		return nil
	}
	var known bool
	err := store.View(func(v *storage.View) (err error) {
		_, known, err = v.Operator(terminal.Operator)
		return err
	})
	if err != nil || known {
		return err
	}
	if _, err := io.WriteString(out, scene.Opening); err != nil {
		return err
	}
	if q.fresh {
		fmt.Fprintf(out, "The log is in %s; -data with that path goes on with it later.\n\n", q.data)
	}
	return desk.SetUp(scene.Operator, scene.From)
}

// chatElements reads element files. A set that is passed over is told on
// errOut; only a file without a single good one is an error.
func chatElements(files []string, errOut io.Writer) ([]predict.Elements, error) {
	var all []predict.Elements
	for _, name := range files {
		sets, problems, err := readElementsFile(name)
		if err != nil {
			return nil, err
		}
		for _, p := range problems {
			fmt.Fprintf(errOut, "left out: %v\n", p)
		}
		if len(sets) == 0 {
			return nil, fmt.Errorf("%s: no usable element set in it", name)
		}
		all = append(all, sets...)
	}
	return all, nil
}

func readElementsFile(name string) ([]predict.Elements, []*predict.InputError, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, nil, fmt.Errorf("elements: %s", strings.TrimPrefix(err.Error(), "open "))
	}
	defer f.Close()
	return predict.ReadElements(f, name)
}
