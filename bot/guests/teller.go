package guests

import (
	"context"
	"time"

	"skyslate/bot/beat"
)

// faultsEvery is how often it is looked whether the owner is to be told of what failed.
const faultsEvery = 10 * time.Minute

// Teller brings notices out on one messaging app.
type Teller struct {
	guests *Guests
	say    Say
	bell   beat.Bell
}

// Say says a notice on the app. One that the app can't bring out now is to be tried
// later; of one for somebody else's app, or for whom there is no room yet, neither holds.
type Say func(context.Context, Notice) (said, later bool)

// Teller returns what brings notices out, which is at work in [Teller.Run]. Call it
// before anything changes.
func (g *Guests) Teller(say Say) *Teller {
	t := &Teller{guests: g, say: say, bell: beat.NewBell()}
	g.OnNotice(t.bell.Ring)
	return t
}

// Wake makes it look again: somebody can be told now who could not before.
func (t *Teller) Wake() { t.bell.Ring() }

// Run says notices until ctx ends.
func (t *Teller) Run(ctx context.Context) {
	faults := time.NewTicker(faultsEvery)
	defer faults.Stop()
	for wait := time.Second; ctx.Err() == nil; {
		var retry <-chan time.Time
		if left := t.all(ctx); left {
			retry = time.After(wait)
			wait = min(2*wait, time.Minute)
		} else {
			wait = time.Second
		}
		select {
		case <-t.bell:
		case <-faults.C:
			if err := t.guests.TellOfFaults(time.Now().UTC().Round(0)); err != nil {
				t.guests.log.Warn("the owner could not be told of what failed", "err", err)
			}
		case <-retry:
		case <-ctx.Done():
		}
	}
}

// all says the notices that it can and reports whether something is left to be tried
// again.
func (t *Teller) all(ctx context.Context) (left bool) {
	for _, n := range t.guests.Notices() {
		said, later := t.say(ctx, n)
		if said {
			later = t.guests.alter(time.Now().UTC().Round(0), func(d *Draft) { d.Said(n.ID) }) != nil
		}
		left = left || later
	}
	return left
}
