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

// fate is what can be done about the answer to a call.
type fate int

const (
	done      fate = iota // it is as it should be
	again                 // try again, after a while
	hopeless              // it can never work
	otherwise             // this can't be done in this way, perhaps in another
	blocked               // the person wants no messages
	lost                  // nothing works any more
)

// verdict is a fate with its reasons.
type verdict struct {
	fate  fate
	after time.Duration // again: not before
	err   error
}

// errToken ends the program.
var errToken = errors.New("the messaging service does not know this token: it was withdrawn, or mistyped")

// judge sorts what the library returned. An answer that was lost on the way is
// no different from one that never came: the call is made again, which does no
// harm beyond a message twice.
func judge(err error) verdict {
	var many *tg.TooManyRequestsError
	var moved *tg.MigrateError
	switch {
	case err == nil:
		return verdict{fate: done}
	case errors.As(err, &many):
		return verdict{again, time.Duration(max(many.RetryAfter, 1)) * time.Second, err}
	case errors.As(err, &moved):
		return verdict{fate: hopeless, err: err} // groups move; no operator is a group
	case errors.Is(err, tg.ErrorForbidden):
		return verdict{fate: blocked, err: err}
	case errors.Is(err, tg.ErrorUnauthorized):
		return verdict{fate: lost, err: errToken}
	case errors.Is(err, tg.ErrorBadRequest):
		return judgeRequest(err)
	case strings.Contains(err.Error(), ", 413 "):
		return verdict{fate: hopeless, err: err}
	}
	return verdict{fate: again, err: err}
}

// judgeRequest sorts by the service's words, which is all it gives.
func judgeRequest(err error) verdict {
	text := strings.ToLower(err.Error())
	has := func(s string) bool { return strings.Contains(text, s) }
	switch {
	case has("message is not modified"):
		return verdict{fate: done} // an edit that got through before
	case has("query is too old"):
		return verdict{fate: done} // a tap that was answered before
	case has("message to edit not found"), has("message can't be edited"), has("message_id_invalid"),
		has("reaction_invalid"), has("reactions_too_many"), has("reactions are not"):
		return verdict{fate: otherwise, err: err}
	}
	return verdict{fate: hopeless, err: err}
}

// sendError tells the loops.
func (t *Transport) sendError(ctx context.Context, v verdict) error {
	if v.fate == done {
		return nil
	}
	if ctx.Err() != nil && v.fate == again && v.after == 0 && errors.Is(context.Cause(ctx), context.Canceled) {
		return ctx.Err()
	}
	e := &run.SendError{Err: errors.New(t.token.mask(v.err.Error()))}
	switch v.fate {
	case again:
		e.Fate, e.After = run.Again, v.after
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
