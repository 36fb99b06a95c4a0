// Package apps makes one of several messaging apps, so that one process serves them all
// over one store.
//
// Each operator belongs to the app that knows the form of their ID, and so does each
// thing that came in, by the beginning of its ID. An app that can't go on ends alone:
// what is owed on it waits for the next start, and the others go on. The whole ends
// when each has ended.
//
// A messaging app is a package with a decoder and a [run.Transport]. What an app lacks
// is its package's matter: a post says what is wanted (buttons, a pin, silence, a place
// shared), never how.
package apps

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/bot/run"
	"skyslate/storage"
)

// Decoders are the decoders of apps, by what the IDs of all that comes in from them
// begin with, up to a slash.
type Decoders map[string]event.Decoder

// Decode makes an event of what came in from any of them: an [event.Decoder].
func (d Decoders) Decode(v *storage.View, raw storage.Raw) (event.Event, error) {
	prefix, _, _ := strings.Cut(raw.ID, "/")
	if decode := d[prefix]; decode != nil {
		return decode(v, raw)
	}
	return event.Event{Operator: raw.From}, fmt.Errorf("%s came from no messaging app that is known", raw.ID)
}

// App is a messaging app.
type App struct {
	Name   string                        // as it stands in the log
	Serves func(storage.OperatorID) bool // whether an ID is of the form that the app gives
	// Transport is nil where the app is not set up: what is owed on it waits.
	Transport run.Transport
}

// again is when a post is tried again whose app is not connected. A start brings it out
// at once.
const again = time.Hour

var errNotSetUp = errors.New("this messaging app is not set up")

// All are several apps as one: a [run.Transport].
type All struct {
	apps []connected
	log  *slog.Logger
}

// connected is an app with its end, which has a cause.
type connected struct {
	App
	over context.Context
	end  context.CancelCauseFunc
}

// Join makes one of several apps; log may be nil.
func Join(log *slog.Logger, apps ...App) *All {
	if log == nil {
		log = slog.New(slog.DiscardHandler)
	}
	a := &All{log: log}
	for _, app := range apps {
		c := connected{App: app}
		c.over, c.end = context.WithCancelCause(context.Background())
		if app.Transport == nil {
			c.end(errNotSetUp)
		}
		a.apps = append(a.apps, c)
	}
	return a
}

// Receive lets all apps receive until each has ended. They have caught up when each
// has, or has ended before.
func (a *All) Receive(ctx context.Context, in run.Intake) error {
	var receiving sync.WaitGroup
	set := slices.DeleteFunc(slices.Clone(a.apps), func(c connected) bool { return c.Transport == nil })
	errs := make([]error, len(set))
	behind := new(atomic.Int32)
	behind.Store(int32(len(set)))
	for i, c := range set {
		receiving.Go(func() {
			p := &part{Intake: in, behind: behind}
			errs[i] = c.receive(ctx, p)
			p.CaughtUp()
			if errs[i] != nil && ctx.Err() == nil {
				a.log.Error("a messaging app can't go on; what is owed on it is kept", "app", c.Name, "err", errs[i])
			}
		})
	}
	receiving.Wait()
	return errors.Join(errs...)
}

// receive lets an app receive until its end.
func (c connected) receive(ctx context.Context, in run.Intake) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	defer context.AfterFunc(c.over, func() { cancel(context.Cause(c.over)) })()
	err := c.Transport.Receive(ctx, in)
	if err != nil {
		c.end(err)
	}
	return err
}

// part is the intake of one app.
type part struct {
	run.Intake
	behind *atomic.Int32 // apps that have not caught up
	once   sync.Once
}

// CaughtUp says that the app has; the last one says it for all.
func (p *part) CaughtUp() {
	p.once.Do(func() {
		if p.behind.Add(-1) == 0 {
			p.Intake.CaughtUp()
		}
	})
}

// Send brings a post out on its operator's app.
func (a *All) Send(ctx context.Context, o bot.Outgoing, away func()) (appName string, err error) {
	i := slices.IndexFunc(a.apps, func(c connected) bool { return c.Serves(o.Operator) })
	if i < 0 {
		return "", &run.SendError{Fate: run.Never, Err: fmt.Errorf("operator %q is nobody on any messaging app", o.Operator)}
	}
	c := a.apps[i]
	if c.over.Err() == nil {
		appName, err = c.Transport.Send(ctx, o, away)
		refused := new(run.SendError)
		if !errors.As(err, &refused) || refused.Fate != run.Stop {
			return appName, err
		}
		c.end(err)
	}
	return "", &run.SendError{Fate: run.Again, After: again, Err: context.Cause(c.over)}
}
