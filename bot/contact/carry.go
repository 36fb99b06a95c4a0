package contact

import (
	"slices"
	"time"

	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/storage"
)

// A carry is a time on a line of its own, for the lines after it.
type carry struct {
	clock parse.Clock
	line  *line
	used  bool // a contact was told with it, or it was said that it doesn't hold
}

// liveClock is how long such a time holds for later messages while its pass is up:
// by then their own stamps are better.
const liveClock = 2 * time.Minute

// carry takes a time on a line of its own. One at which no bird was up holds for
// nothing in later messages.
func (d *derivation) carry(l *line) {
	d.carried[l.message.phone()] = &carry{clock: l.look.Clock, line: l}
	fits := func(p storage.Pass) bool { return timing.Within(l.look.Clock, p) }
	if pass := l.match.Pass; !slices.ContainsFunc(l.match.Rivals, fits) && (pass.ID == "" || !fits(pass)) {
		l.message.outcome.Unheld = Unheld{Clock: l.look.Clock}
		delete(d.carried, l.message.phone())
	}
}

// stillHolds is the time told alone in an earlier message, if it holds for a line:
// within the same pass only. Where another pass began since, a contact that comes
// with it is told that it doesn't.
func (d *derivation) stillHolds(l *line) parse.Clock {
	carried := d.carried[l.message.phone()]
	if carried == nil {
		return parse.Clock{}
	}
	told, at := carried.line, l.at()
	pass := told.match.Pass
	same := d.match(l, parse.Clock{}).Pass.ID == pass.ID && pass.ID != ""
	long := at.Sub(told.at()) > LookBack || pass.Up(at) && at.Sub(told.at()) > liveClock
	since := slices.ContainsFunc(d.Passes(told.at(), at.Add(time.Second)), func(p storage.Pass) bool {
		return p.Followed() && p.AOS.After(told.at())
	})
	comes := l.tells()
	if since && pass.ID != "" && comes && !carried.used {
		carried.used = true
		l.message.outcome.Unheld = Unheld{Clock: carried.clock, Pass: pass.ID}
	}
	if !same || long || since {
		return parse.Clock{}
	}
	carried.used = carried.used || comes
	return carried.clock
}
