package bot

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"runtime/debug"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/exchange"
	"skyslate/bot/say"
	"skyslate/bot/second"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/parse/memo"
	"skyslate/storage"
)

// Config is what a Desk works with. Store and Sky are needed.
type Config struct {
	Store *storage.Store
	Sky   *sky.Sky
	Log   *slog.Logger // nil: none
	// Decode makes an event of what came in. nil: that of package event.
	Decode  event.Decoder
	Version string // named in the files handed over
	// NewCode makes the code that lets a second phone in, for an event: nobody may guess
	// it. nil: of chance.
	NewCode func(event string) string
}

// A Desk is the conversation with every operator. Accept, Take and Settled may
// be called from any goroutine; Work, Moment and Due from one at a time, because
// they are the only writers of operators' data.
type Desk struct {
	store   *storage.Store
	skies   *sky.Skies
	log     *slog.Logger
	decode  event.Decoder
	maker   exchange.Maker
	leaving []Leaving
	handled string        // the last moment that was handled, by its event
	memo    memo.Readings // of lines read
	newCode func(event string) string
	// everyPass: every pass of every bird is stored, to compare.
	everyPass bool
}

// New returns a Desk.
func New(c Config) *Desk {
	d := &Desk{store: c.Store, log: cmp.Or(c.Log, slog.New(slog.DiscardHandler)), decode: c.Decode, newCode: c.NewCode}
	d.skies = sky.NewSkies(c.Sky, d.log)
	d.maker = exchange.Maker{Store: c.Store, Skies: d.skies, Version: c.Version}
	if d.decode == nil {
		d.decode = event.Decode
	}
	if d.newCode == nil {
		d.newCode = second.NewCode
	}
	return d
}

// Accept puts what a transport received into the inbox, and the transport's
// own small values beside it, in one transaction: durable when it returns.
// What was accepted before is passed over.
func (d *Desk) Accept(keep map[string][]byte, raws ...storage.Raw) error {
	return d.store.Accept(keep, raws...)
}

// Kept returns a small value that a transport kept with Accept, nil if there is
// none.
func (d *Desk) Kept(key string) ([]byte, error) { return d.store.Kept(key) }

// KeptUnder returns the values that a transport kept under keys that begin with
// prefix.
func (d *Desk) KeptUnder(prefix string) (map[string][]byte, error) { return d.store.KeptUnder(prefix) }

// Knows reports whether a message that the messaging app names came in, or is ours.
func (d *Desk) Knows(op storage.OperatorID, name string) (known bool, err error) {
	err = d.store.View(func(v *storage.View) error {
		known = v.Number(op, name) != 0
		return nil
	})
	return known, err
}

// KeepDocument keeps the document of an event that is about to be accepted, and
// returns how large it is; DropDocument removes it if the event isn't after all.
func (d *Desk) KeepDocument(event string, body io.Reader, most int64) (int64, error) {
	return d.store.KeepDocument(event, body, most)
}

// DropDocument removes a document whose event is not accepted after all.
func (d *Desk) DropDocument(event string) error { return d.store.DropDocument(event) }

// SetUp puts an operator who is set up already, for a demo or a test.
func (d *Desk) SetUp(op storage.Operator, at time.Time) error {
	event := "setup/" + string(op.ID)
	return d.store.Commit(event, at, storage.Changes{
		Operator: &op,
		Agenda:   []storage.Item{tx.PlanItem(op.ID, at, event)},
	})
}

// Replan puts the planning of every operator's passes on the agenda, from now on,
// one after the other: fresher elements have come.
func (d *Desk) Replan(now time.Time) error {
	event := watch.MomentEverybody + "/" + stamp(now)
	return d.store.Commit(event, now, storage.Changes{Agenda: []storage.Item{watch.Everybody(now, event)}})
}

// replanNext puts the planning of the next operators on the agenda.
func (d *Desk) replanNext(ev event.Event) error {
	var ch storage.Changes
	err := d.store.View(func(v *storage.View) (err error) {
		ch, err = watch.NextOfEverybody(v, ev)
		return err
	})
	if err != nil {
		return err
	}
	return refused(d.store.Commit(ev.ID, ev.Now, ch))
}

// Work handles an event of the inbox, the oldest of the operator whose turn it
// is, as of the moment it was stamped: it plans, then commits once. It reports
// whether there was one. An event that can't be handled is set aside and holds
// nothing up; an error means that the store failed and the event is still there.
func (d *Desk) Work(now time.Time) (bool, error) {
	raw, ok, err := d.store.Oldest()
	if err != nil || !ok {
		return false, err
	}
	var ev, heard event.Event
	var unreadable error
	err = d.store.View(func(v *storage.View) error {
		if ev, unreadable = d.read(v, raw); unreadable == nil {
			heard = second.Whose(v, raw, ev)
		}
		return nil
	})
	if err != nil {
		return false, err
	}
	if unreadable != nil {
		d.log.Error("event set aside: not readable", "event", raw.ID, "err", unreadable)
		return true, d.setAside(raw, ev, unreadable, now)
	}
	heard.ID, heard.Now = raw.ID, now
	err = d.handle(heard)
	var broken *brokenError
	if !errors.As(err, &broken) {
		return err == nil, err
	}
	d.log.Error("event set aside: handling it failed", "event", ev.ID, "err", broken, "stack", broken.stack)
	return true, d.setAside(raw, ev, broken, now)
}

// setAside keeps apart what can't be worked, and tells the operator, if it is
// known whose it is, that it is kept.
func (d *Desk) setAside(raw storage.Raw, ev event.Event, why error, now time.Time) error {
	ev.ID, ev.Now = raw.ID, now
	if err := d.store.SetAside(raw.ID, why.Error(), now); err != nil {
		return err
	}
	if ev.Operator == "" {
		return nil
	}
	err := d.store.Commit("sorry/"+ev.ID, now, storage.Changes{Posts: []storage.Post{{
		Name: string(ev.Operator) + "/sorry/" + ev.ID, Operator: ev.Operator, Made: now,
		Op: storage.Send, ReplyTo: ev.Message, Text: say.Broken, Silent: true,
	}}})
	if errors.Is(err, storage.ErrRefused) {
		return nil // nobody can be told: it is kept apart all the same
	}
	return err
}

// read decodes a raw update; a decoder that panics can't read it.
func (d *Desk) read(v *storage.View, raw storage.Raw) (ev event.Event, err error) {
	defer catch(&err)
	return d.decode(v, raw)
}

// Due handles every item of the agenda that is due at now, in order, and
// returns how many there were.
func (d *Desk) Due(now time.Time) (n int, err error) {
	for {
		worked, err := d.Moment(now)
		if err != nil || !worked {
			return n, err
		}
		n++
	}
}

// Moment handles the first item of the agenda that is due at now, and reports
// whether there was one. One that was handled just before and is still there is
// taken off: its event counts as seen, in a store that was mended for instance,
// and would be passed over for ever.
func (d *Desk) Moment(now time.Time) (worked bool, err error) {
	due, err := d.store.Due(now, 1)
	if err != nil || len(due) == 0 {
		return false, err
	}
	return true, d.moment(due[0], now)
}

// moment handles one item.
func (d *Desk) moment(it storage.Item, now time.Time) error {
	ev := event.Event{
		ID: it.Event(), Operator: it.Operator, At: it.At,
		Kind: event.Moment, Item: it, Now: now,
	}
	if now.Before(it.At) {
		ev.At = now
	}
	if ev.ID == d.handled {
		d.log.Error("agenda item taken off: handling it changed nothing", "item", it.Key, "at", it.At)
		return d.store.Cancel(it.Key)
	}
	work := d.handle
	if it.Kind == watch.MomentEverybody {
		work = d.replanNext
	}
	err := work(ev)
	if err == nil {
		d.handled = ev.ID
	}
	var broken *brokenError
	if errors.As(err, &broken) {
		d.log.Error("agenda item dropped: handling it failed", "item", it.Key, "err", broken, "stack", broken.stack)
		return d.store.Cancel(it.Key)
	}
	return err
}

// Next returns the next moment on the agenda.
func (d *Desk) Next() (time.Time, bool, error) { return d.store.Next() }

// handle plans an event over one view of the store, closes the view and commits.
func (d *Desk) handle(ev event.Event) error {
	p, err := d.plan(ev)
	if err != nil {
		return err
	}
	if p.forgotten {
		farewell, err := d.forget(ev)
		if err != nil {
			return err
		}
		return d.store.Commit(ev.ID, ev.Now, storage.Changes{Posts: []storage.Post{farewell}})
	}
	return refused(d.store.Commit(ev.ID, ev.Now, p.changes()))
}

// refused makes a broken event of one whose changes the store's rules refuse: tried
// again they would be refused again, and hold everybody up.
func refused(err error) error {
	if errors.Is(err, storage.ErrRefused) {
		return &brokenError{cause: err}
	}
	return err
}

func (d *Desk) plan(ev event.Event) (p *plan, err error) {
	defer catch(&err)
	err = d.store.View(func(v *storage.View) error {
		p = newPlan(d, v, ev)
		p.run()
		if p.forgotten {
			return p.Err
		}
		p.RefreshCards()
		p.AskThere()
		p.finish()
		return p.Err
	})
	return p, err
}

// brokenError is a panic while planning, or changes that the store refuses: a fault
// of ours.
type brokenError struct {
	cause any
	stack string
}

func (e *brokenError) Error() string { return fmt.Sprintf("planning failed: %v", e.cause) }

// catch makes an error of a panic: defer it.
func catch(err *error) {
	if r := recover(); r != nil {
		*err = &brokenError{cause: r, stack: string(debug.Stack())}
	}
}

// stamp writes a moment for use in names: sortable, to the millisecond.
func stamp(t time.Time) string { return t.UTC().Format("20060102T150405.000Z") }
