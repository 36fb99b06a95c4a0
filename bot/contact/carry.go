package contact

import (
	"slices"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/storage"
)

// A carry is a time on a line of its own, for the lines after it.
type carry struct {
	clock parse.Clock
	line  *filing.Line
	used  bool // a contact was told with it, or it was said that it doesn't hold
}

// liveClock is how long such a time holds for later messages while its pass is up:
// by then their own stamps are better.
const liveClock = 2 * time.Minute

// carry takes a time on a line of its own. One at which no bird was up holds for
// nothing in later messages.
func (d *derivation) carry(l *filing.Line) {
	d.carried[l.Message.Phone()] = &carry{clock: l.Look.Clock, line: l}
	fits := func(p storage.Pass) bool { return timing.Within(l.Look.Clock, p) }
	if pass := l.Match.Pass; !slices.ContainsFunc(l.Match.Rivals, fits) && (pass.ID == "" || !fits(pass)) {
		l.Message.Outcome.Unheld = filing.Unheld{Clock: l.Look.Clock}
		delete(d.carried, l.Message.Phone())
	}
}

// stillHolds is the time told alone in an earlier message, if it holds for a line:
// within the same pass only. Where another pass began since, a contact that comes
// with it is told that it doesn't.
func (d *derivation) stillHolds(l *filing.Line) parse.Clock {
	carried := d.carried[l.Message.Phone()]
	if carried == nil {
		return parse.Clock{}
	}
	told, at := carried.line, l.At()
	pass := told.Match.Pass
	same := d.Match(l, parse.Clock{}).Pass.ID == pass.ID && pass.ID != ""
	long := at.Sub(told.At()) > filing.LookBack || pass.Up(at) && at.Sub(told.At()) > liveClock
	since := slices.ContainsFunc(d.Passes(told.At(), at.Add(time.Second)), func(p storage.Pass) bool {
		return p.Followed() && p.AOS.After(told.At())
	})
	comes := l.Tells()
	if since && pass.ID != "" && comes && !carried.used {
		carried.used = true
		l.Message.Outcome.Unheld = filing.Unheld{Clock: carried.clock, Pass: pass.ID}
	}
	if !same || long || since {
		return parse.Clock{}
	}
	carried.used = carried.used || comes
	return carried.clock
}
