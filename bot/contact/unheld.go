package contact

import (
	"slices"

	"skyslate/parse"
	"skyslate/storage"
)

// Unheld is a time on a line of its own that doesn't hold, and for which pass it was
// told; no pass: no bird was up then.
type Unheld struct {
	Clock parse.Clock
	Pass  storage.PassID
}

// carry takes a time on a line of its own. One at which no bird was up holds for
// nothing in later messages.
func (d *derivation) carry(l *line) {
	d.carried = &carry{clock: l.look.Clock, line: l}
	fits := func(p storage.Pass) bool { return Within(l.look.Clock, p) }
	if pass := l.match.Pass; !slices.ContainsFunc(l.match.Rivals, fits) && (pass.ID == "" || !fits(pass)) {
		d.unheld[l.message.said.Message] = Unheld{Clock: l.look.Clock}
		d.carried = nil
	}
}

// lapses notes that a time told alone, which no contact came with, doesn't hold for
// one because another pass began since.
func (d *derivation) lapses(l *line) {
	if !d.carried.used && len(l.look.Contacts) > 0 {
		d.carried.used = true
		d.unheld[l.message.said.Message] = Unheld{Clock: d.carried.clock, Pass: d.carried.line.match.Pass.ID}
	}
}
