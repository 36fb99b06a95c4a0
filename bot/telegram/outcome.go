package telegram

import (
	"context"
	"errors"
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

// fates are the dispositions as the loops know them.
var fates = map[disposition]run.Fate{
	again: run.Again, hopeless: run.Never, otherwise: run.Never, blocked: run.Unwanted, lost: run.Stop,
}

// outcome is a disposition with its reasons.
type outcome struct {
	disposition disposition
	after       time.Duration // again: not before
	err         error
}

// errToken ends the program.
var errToken = errors.New("the messaging service does not know this token: it was withdrawn, or mistyped")

// badRequests are refusals by the service's words, which is all it gives; any other
// is hopeless.
var badRequests = []struct {
	words       string
	disposition disposition
}{
	{"message is not modified", done}, // an edit that got through before
	{"query is too old", done},        // a tap that was answered before
	{"message to edit not found", otherwise},
	{"message can't be edited", otherwise},
	{"message_id_invalid", otherwise},
	{"reaction_invalid", otherwise},
	{"reactions_too_many", otherwise},
	{"reactions are not", otherwise},
}

// outcomeOf sorts the error that the library returned. An answer that was lost on
// the way is no different from one that never came: the call is made again, which
// does no harm beyond a message twice.
func outcomeOf(err error) outcome {
	var many *tg.TooManyRequestsError
	var moved *tg.MigrateError
	switch {
	case err == nil:
		return outcome{disposition: done}
	case errors.As(err, &many):
		return outcome{again, time.Duration(max(many.RetryAfter, 1)) * time.Second, err}
	case errors.As(err, &moved): // groups move; no operator is a group
		return outcome{disposition: hopeless, err: err}
	case errors.Is(err, tg.ErrorForbidden):
		return outcome{disposition: blocked, err: err}
	case errors.Is(err, tg.ErrorUnauthorized):
		return outcome{disposition: lost, err: errToken}
	case errors.Is(err, tg.ErrorBadRequest):
		for _, known := range badRequests {
			if strings.Contains(strings.ToLower(err.Error()), known.words) {
				return outcome{disposition: known.disposition, err: err}
			}
		}
		return outcome{disposition: hopeless, err: err}
	case strings.Contains(err.Error(), ", 413 "):
		return outcome{disposition: hopeless, err: err}
	}
	return outcome{disposition: again, err: err}
}

// sendError tells the loops.
func (t *Transport) sendError(ctx context.Context, out outcome) error {
	if out.disposition == done {
		return nil
	}
	if ctx.Err() != nil && out.disposition == again && out.after == 0 && errors.Is(context.Cause(ctx), context.Canceled) {
		return ctx.Err()
	}
	err := errors.New(t.token.mask(out.err.Error()))
	return &run.SendError{Fate: fates[out.disposition], After: out.after, Err: err}
}
