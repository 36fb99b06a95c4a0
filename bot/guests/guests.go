package guests

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"os"
	"slices"
	"sync"
	"time"

	"skyslate/bot"
	"skyslate/storage"
)

// Config says who is let in. Desk is needed.
type Config struct {
	Desk *bot.Desk
	Log  *slog.Logger // nil: none

	// Allow are people who are let in without an invitation, Open lets everybody
	// in.
	Allow []storage.OperatorID
	Open  bool
	// Owners own the bot without a code, beside the one who came in by it.
	Owners []storage.OperatorID
	// CodeFile is where the code lies that lets the owner in, while there is none.
	// Empty: there will be no owner.
	CodeFile string

	// Older names the value beside the inbox that an older program kept all this
	// in: it is read while there is none of today's form.
	Older string
}

// Guests is who is let in. Safe for concurrent use.
type Guests struct {
	desk     *bot.Desk
	log      *slog.Logger
	allow    []storage.OperatorID
	open     bool
	named    []storage.OperatorID // owners
	codeFile string

	mu       sync.Mutex
	book     book     // as it is on disk; nobody changes what it refers to
	code     string   // of the owner to come; empty: none is awaited
	onNotice []func() // wake those who say notices
	reach    []Reach
}

// New reads who is let in and, if nobody owns the bot yet, prepares the file with
// the owner's code.
func New(c Config) (*Guests, error) {
	g := &Guests{desk: c.Desk, log: c.Log, allow: c.Allow, open: c.Open, named: c.Owners, codeFile: c.CodeFile}
	if g.log == nil {
		g.log = slog.New(slog.DiscardHandler)
	}
	var err error
	if g.book, err = readBook(g.desk, c.Older); err != nil {
		return nil, err
	}
	if err := g.prepareCode(); err != nil {
		return nil, err
	}
	if err := g.tellOfDamage(); err != nil {
		return nil, err
	}
	c.Desk.OnLeave(bot.Leaving{Before: g.forget})
	return g, nil
}

// tellOfDamage owes the owner that the store was damaged and who is let in may be out
// of date.
func (g *Guests) tellOfDamage() error {
	kept, err := g.desk.Kept(storage.MendedKey)
	if err != nil || kept == nil || len(g.owners(&g.book)) == 0 {
		return err
	}
	var lost storage.Losses
	if err := json.Unmarshal(kept, &lost); err != nil {
		return fmt.Errorf("what damage has taken: %w", err)
	}
	accept := g.desk.Accept
	return g.Change(time.Time{}, accept, func(d *Draft) (map[string][]byte, []storage.Raw, error) {
		d.TellOwner(damageText(lost.Since))
		return map[string][]byte{storage.MendedKey: nil}, nil, nil
	})
}

// Accept puts events and small values on disk, all or nothing: [bot.Desk.Accept],
// or the loops'.
type Accept func(keep map[string][]byte, raws ...storage.Raw) error

// Change lets do change who is let in. The values and the events that do returns
// are put on disk by accept in the same transaction; if that fails, or do does,
// nothing has changed.
func (g *Guests) Change(now time.Time, accept Accept, do func(*Draft) (map[string][]byte, []storage.Raw, error)) error {
	g.mu.Lock()
	defer g.mu.Unlock()
	d := &Draft{Now: now, guests: g, book: g.book, values: map[string][]byte{}}
	values, raws, err := do(d)
	if d.edited {
		d.putBook(d.book)
	}
	if err := cmp.Or(err, d.err); err != nil {
		return err
	}
	maps.Copy(d.values, values)
	if err := accept(d.values, raws...); err != nil {
		return err
	}
	before := g.book
	g.book = d.book
	if g.book.Used != before.Used { // a code works once
		if err := os.Remove(g.codeFile); err != nil && !errors.Is(err, os.ErrNotExist) {
			g.log.Warn("the owner's code is used, but its file could not be removed", "err", err)
		}
	}
	if g.book.Count != before.Count {
		for _, wake := range g.onNotice {
			wake()
		}
	}
	return nil
}

// alter changes the book alone.
func (g *Guests) alter(now time.Time, do func(*Draft)) error {
	return g.Change(now, g.desk.Accept, func(d *Draft) (map[string][]byte, []storage.Raw, error) {
		do(d)
		return nil, nil, nil
	})
}

// OnNotice names a function that is called whenever notices have come to be owed;
// it must return at once, without a look at them. Call OnNotice before anything
// changes.
func (g *Guests) OnNotice(wake func()) { g.onNotice = append(g.onNotice, wake) }

// Reach is how an app writes to somebody first: it returns whom an address of its own
// names, and what it keeps so that it will. Not ok: it is no address of the app's.
type Reach func(address string) (op storage.OperatorID, keep map[string][]byte, ok bool)

// OnInvite adds an app that can write to people first: they are invited by their
// addresses, and need no code. Call OnInvite before anything changes.
func (g *Guests) OnInvite(reach Reach) { g.reach = append(g.reach, reach) }

// current is the book as it stands; nobody changes its maps.
func (g *Guests) current() book {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.book
}

// Admits reports whether somebody is let in, or may be: a store that can't be read
// turns nobody away to whom a post is owed. So does a time in another's log, also when
// it is over: that is still to be said.
func (g *Guests) Admits(op storage.OperatorID) bool {
	b := g.current()
	if g.admits(&b, op) {
		return true
	}
	p, err := g.person(op)
	if err != nil {
		g.log.Error("whether an operator is let in could not be read", "operator", string(op), "err", err)
	}
	return err != nil || !p.In.IsZero() || g.desk.HasSeat(op)
}

// admits reports whether somebody is let in without an invitation.
func (g *Guests) admits(b *book, op storage.OperatorID) bool {
	return g.open || slices.Contains(g.owners(b), op) || slices.Contains(g.allow, op)
}

// owners are those who own the bot.
func (g *Guests) owners(b *book) []storage.OperatorID {
	if b.Owner == "" {
		return g.named
	}
	return append(slices.Clip(g.named), b.Owner)
}

// Gone reports whether somebody has blocked the bot and not written since, as far
// as that can be read.
func (g *Guests) Gone(op storage.OperatorID) bool {
	p, err := g.person(op)
	return err == nil && !p.Gone.IsZero()
}

// HasOwner reports whether somebody owns the bot.
func (g *Guests) HasOwner() bool {
	b := g.current()
	return len(g.owners(&b)) > 0
}

// Notices are the sentences that are owed, in their order. Whoever has said one
// tells [Draft.Said].
func (g *Guests) Notices() []Notice { return slices.Clone(g.current().Notices) }

// Awaits returns the file with the code that lets the owner in; empty if none is
// to come.
func (g *Guests) Awaits() string {
	g.mu.Lock()
	defer g.mu.Unlock()
	if !g.awaits(&g.book) {
		return ""
	}
	return g.codeFile
}

// faultsAgain is the time between two notices of failures, at the least.
const faultsAgain = 24 * time.Hour

// TellOfFaults owes the owner how much has failed since the last time, once a
// day.
func (g *Guests) TellOfFaults(now time.Time) error {
	b := g.current()
	if len(g.owners(&b)) == 0 || now.Sub(b.Faults).Abs() < faultsAgain {
		return nil
	}
	all, err := g.desk.Faults(b.Faults)
	if err != nil || len(all) == 0 {
		return err
	}
	return g.alter(now, func(d *Draft) {
		if d.book.Faults.Equal(b.Faults) { // nobody told meanwhile
			d.edit().Faults = now
			d.TellOwner(faultsText(all))
		}
	})
}

// forget removes somebody who is to be forgotten: they are a stranger from here
// on. An owner leaves a bot without one: the code for the next is written anew.
func (g *Guests) forget(op storage.OperatorID) (remains string, err error) {
	var wasOwner bool
	err = g.alter(time.Time{}, func(d *Draft) {
		wasOwner = d.book.Owner == op
		d.forget(op)
	})
	if err != nil {
		return "", fmt.Errorf("forget an operator: %w", err)
	}
	if !wasOwner {
		return "", nil
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	if err := g.prepareCode(); err != nil {
		g.log.Error("the bot has no owner any more, and no code for the next one could be written; it is tried again at the next start", "err", err)
	} else if g.codeFile != "" {
		g.log.Warn("the owner is forgotten: whoever sends the code that stands in this file is the next one", "file", g.codeFile)
	}
	return "", nil
}
