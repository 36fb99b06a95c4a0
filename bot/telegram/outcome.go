package telegram

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"

	"skyslate/bot/run"
)

// disposition is the way in which to go on after a call.
type disposition int

const (
	done      disposition = iota // it is as it should be
	again                        // try again, after a while
	hopeless                     // it can never work
	otherwise                    // this can't be done in this way, perhaps in another
	blocked                      // the person wants no messages
	lost                         // nothing works any more
)

// outcome is a disposition with its reasons.
type outcome struct {
	disposition disposition
	after       time.Duration // again: not before
	err         error
}

// errToken ends the program.
var errToken = errors.New("the messaging service does not know this token: it was withdrawn, or mistyped")

// outcomeOf sorts the error that the library returned. An answer that was lost on the way is
// no different from one that never came: the call is made again, which does no
// harm beyond a message twice.
func outcomeOf(err error) outcome {
	out := outcome{disposition: dispositionOf(err), err: err}
	var many *tg.TooManyRequestsError
	if errors.As(err, &many) {
		out.after = time.Duration(max(many.RetryAfter, 1)) * time.Second
	}
	if out.disposition == lost {
		out.err = errToken
	}
	return out
}

func dispositionOf(err error) disposition {
	var moved *tg.MigrateError
	switch {
	case err == nil:
		return done
	case errors.As(err, &moved):
		return hopeless // groups move; no operator is a group
	case errors.Is(err, tg.ErrorForbidden):
		return blocked
	case errors.Is(err, tg.ErrorUnauthorized):
		return lost
	case errors.Is(err, tg.ErrorBadRequest):
		return dispositionOfRequest(err)
	case strings.Contains(err.Error(), ", 413 "):
		return hopeless
	}
	return again
}

// dispositionOfRequest sorts by the service's words, which is all it gives.
func dispositionOfRequest(err error) disposition {
	text := strings.ToLower(err.Error())
	has := func(s string) bool { return strings.Contains(text, s) }
	switch {
	case has("message is not modified"):
		return done // an edit that got through before
	case has("query is too old"):
		return done // a tap that was answered before
	case has("message to edit not found"), has("message can't be edited"), has("message_id_invalid"),
		has("reaction_invalid"), has("reactions_too_many"), has("reactions are not"):
		return otherwise
	}
	return hopeless
}

// sendError tells the loops.
func (t *Transport) sendError(ctx context.Context, out outcome) error {
	if out.disposition == done {
		return nil
	}
	if ctx.Err() != nil && out.disposition == again && out.after == 0 && errors.Is(context.Cause(ctx), context.Canceled) {
		return ctx.Err()
	}
	e := &run.SendError{Err: errors.New(t.token.mask(out.err.Error()))}
	switch out.disposition {
	case again:
		e.Fate, e.After = run.Again, out.after
	case lost:
		e.Fate = run.Stop
	case blocked:
		e.Fate = run.Unwanted
	default:
		e.Fate = run.Never
	}
	return e
}

// unwanted is an error of a post whose operator wants none, or may not have any.
func unwanted(why string) error {
	return &run.SendError{Fate: run.Unwanted, Err: errors.New(why)}
}

// never is an error of a post that can't go out for a reason of our own.
func never(format string, args ...any) error {
	return &run.SendError{Fate: run.Never, Err: fmt.Errorf(format, args...)}
}
