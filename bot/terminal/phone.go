package terminal

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/storage"
)

// phone is the operator's phone: it does what the lines say and shows what the
// bot sends. Each of its methods is given the moment.
type phone struct {
	desk   *bot.Desk
	accept func(map[string][]byte, ...storage.Raw) error
	dir    string // where the bot's files go

	mu   sync.Mutex
	mem  memory
	show printer
	seen bool // somebody types the lines and sees them: they are not shown again
}

func newPhone(c Config, s *screen) (*phone, error) {
	kept, err := c.Desk.Kept(memoryKey)
	if err != nil {
		return nil, err
	}
	mem, err := readMemory(kept)
	if err != nil {
		return nil, err
	}
	p := &phone{
		desk: c.Desk, accept: c.Desk.Accept, dir: filepath.Join(c.Dir, "sent"),
		mem: mem, show: printer{out: s.out, json: c.JSON}, seen: s.terminal,
	}
	c.Desk.OnLeave(bot.Leaving{Before: func(storage.OperatorID) (string, error) { return p.forget() }})
	return p, nil
}

// forget drops what the phone remembers of the bot's posts, and says where files
// remain that the operator was given: taking the log along and then removing it
// here must not remove what was taken.
func (p *phone) forget() (remains string, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	mem := p.mem.clone()
	mem.Missed, mem.Buttons, mem.Pinned, mem.Live = nil, nil, nil, 0
	if files, err := os.ReadDir(p.dir); err == nil && len(files) > 0 {
		remains = textFilesStay
	}
	return remains, p.keep(mem)
}

// do does what a line says, as of now: all but moving the clock.
func (p *phone) do(now time.Time, line string, c command) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	mem := p.mem.clone()
	events, err := plan(&mem, now, c)
	if err != nil {
		return err
	}
	made := ""
	if mem.M > p.mem.M {
		made = appName(mem.M)
	}
	if err := p.echoed(now, line, made); err != nil {
		return err
	}
	if c.verb == online {
		return p.reconnect(now, mem)
	}
	if p.mem.Offline {
		mem.Held = append(mem.Held, events...)
		events = nil
	}
	return p.keep(mem, events...)
}

// plan is what a line does: the memory after it, and the events it makes.
func plan(mem *memory, now time.Time, c command) ([]event.Event, error) {
	var e event.Event
	switch c.verb {
	case say, reply:
		if err := mem.known(c.ref); err != nil {
			return nil, err
		}
		e = mem.message(event.Said, now)
		e.Text, e.ReplyTo = c.text, c.ref.id()
	case edit:
		if err := mem.known(c.ref); err != nil {
			return nil, err
		}
		e = mem.event(event.Edited, now)
		e.Text, e.Message = c.text, c.ref.id()
	case tap:
		b, err := mem.button(c.ref, c.text)
		if err != nil {
			return nil, err
		}
		e = mem.event(event.Tapped, now)
		e.Post, e.Data = c.ref.id(), b.Data
	case place:
		e = mem.place(now, c.spot)
	case file:
		doc, err := readDocument(c.text)
		if err != nil {
			return nil, err
		}
		e = mem.message(event.Handed, now)
		e.File = &doc
	case voice:
		e = mem.message(event.Spoken, now)
		e.Length = c.length
	case offline:
		mem.Offline = true
		return nil, nil
	case online:
		return nil, nil
	}
	return []event.Event{e}, nil
}

// known refuses the number of a message that there is none of on the phone.
func (m *memory) known(r ref) error {
	last, whose := m.M, "the operator's"
	if r.bot {
		last, whose = m.B, "the bot's"
		for _, missed := range m.Missed {
			if missed.Post != nil && *missed.Post == r.String() && missed.Op != storage.Edit {
				return expected(r.String(), "a message on the phone: %s comes when it is online again", r)
			}
		}
	}
	if r.n <= last {
		return nil
	}
	if last == 0 {
		return expected(r.String(), "one of %s messages: there is none yet", whose)
	}
	return expected(r.String(), "one of %s messages: the last one is %s", whose, ref{r.bot, last})
}

// button finds a button under a post by its label, in any case, or its number.
func (m *memory) button(r ref, label string) (storage.Button, error) {
	if err := m.known(r); err != nil {
		return storage.Button{}, err
	}
	buttons := m.Buttons[r.n]
	if len(buttons) == 0 {
		return storage.Button{}, expected(label, "a post with buttons: %s has none", r)
	}
	var found []storage.Button
	labels := make([]string, len(buttons))
	for i, b := range buttons {
		labels[i] = strconv.Quote(b.Label)
		if strings.EqualFold(b.Label, label) {
			found = append(found, b)
		}
	}
	if len(found) == 1 {
		return found[0], nil
	}
	if n, err := strconv.Atoi(label); err == nil && n >= 1 && n <= len(buttons) && len(found) == 0 {
		return buttons[n-1], nil
	}
	return storage.Button{}, expected(label, "a button of %s, by its number from 1 to %d or its label: %s",
		r, len(buttons), strings.Join(labels, ", "))
}

// place shares a location, or moves the live one.
func (m *memory) place(now time.Time, spot event.Spot) event.Event {
	if spot.Live && m.Live != 0 && now.Sub(m.LiveSince) < liveFor {
		e := m.event(event.Placed, now)
		e.Message, e.Spot = m.Live, &spot
		return e
	}
	e := m.message(event.Placed, now)
	e.Spot = &spot
	if spot.Live {
		m.Live, m.LiveSince = e.Message, now
	}
	return e
}

// readDocument reads a file that the operator sends.
func readDocument(path string) (event.Document, error) {
	f, err := os.Open(path)
	var body []byte
	if err == nil {
		defer f.Close()
		body, err = io.ReadAll(io.LimitReader(f, event.MaxDocument+1))
	}
	var at *os.PathError
	switch {
	case errors.As(err, &at): // the path is shown beside it
		return event.Document{}, expected(path, "a file that can be read: %v", at.Err)
	case err != nil:
		return event.Document{}, expected(path, "a file that can be read: %v", err)
	case len(body) == 0:
		return event.Document{}, expected(path, "a file that is not empty")
	case len(body) > event.MaxDocument:
		return event.Document{}, expected(path, "a file of at most %d bytes", event.MaxDocument)
	}
	return event.Document{Name: filepath.Base(path), Body: body}, nil
}

// reconnect shows what the phone missed and delivers what it held, stamped now.
func (p *phone) reconnect(now time.Time, mem memory) error {
	for _, r := range mem.Missed {
		if err := p.show.show(r); err != nil {
			return err
		}
	}
	held := mem.Held
	for i := range held {
		held[i].At = now
	}
	mem.Offline, mem.Missed, mem.Held = false, nil, nil
	return p.keep(mem, held...)
}

// keep makes mem the memory and puts events into the inbox, in one transaction.
func (p *phone) keep(mem memory, events ...event.Event) error {
	raws := make([]storage.Raw, len(events))
	for i, e := range events {
		r, err := event.Encode(e)
		if err != nil {
			return err
		}
		raws[i] = r
	}
	kept, err := mem.encode()
	if err != nil {
		return err
	}
	if err := p.accept(kept, raws...); err != nil {
		return err
	}
	p.mem = mem
	return nil
}

// echoed shows the operator's line, with the name of the message that it made.
func (p *phone) echoed(now time.Time, line, name string) error {
	switch {
	case !p.seen:
		return p.show.echo(now, name, line)
	case name != "":
		return p.show.echo(now, name, "")
	}
	return nil
}

// deliver brings a post to the phone and returns its id. The numbers are on
// disk before anything is shown, so that none is ever given twice.
func (p *phone) deliver(now time.Time, o bot.Outgoing) (int64, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	mem := p.mem.clone()
	r, id, err := p.record(&mem, now, o)
	if err != nil {
		return 0, err
	}
	if mem.Offline {
		mem.Missed = append(mem.Missed, r)
		return id, p.keep(mem)
	}
	if err := p.keep(mem); err != nil {
		return 0, err
	}
	return id, p.show.show(r)
}

// record is a post as it is shown, with the messaging app's id of it.
func (p *phone) record(mem *memory, now time.Time, o bot.Outgoing) (record, int64, error) {
	r := record{At: moment{now}, Op: o.Op, Text: o.Text, Silent: o.Silent, Buttons: []string{}}
	for _, b := range slices.Concat(o.Buttons...) {
		r.Buttons = append(r.Buttons, b.Label)
	}
	if o.ReplyTo != 0 {
		r.To = new(appName(o.ReplyTo))
	}
	switch o.Op {
	case storage.React:
		return r, 0, nil
	case storage.Edit:
		name := appName(o.Edits)
		r.Post, r.To = &name, &name
		mem.setButtons(-o.Edits, o.Buttons)
		if before, pinned := mem.setPinned(-o.Edits, o); pinned {
			r.changed = newLines(o.Text, before)
			mem.forgetMissed(name)
		}
		return r, o.Edits, nil
	case storage.File:
		path, err := writeFile(p.dir, o.FileName, o.Body)
		if err != nil {
			return r, 0, fmt.Errorf("writing the file %s: %w", o.FileName, err)
		}
		r.Path = &path
	}
	mem.B++
	r.Post = new(appName(-mem.B))
	mem.setButtons(mem.B, o.Buttons)
	mem.setPinned(mem.B, o)
	r.pinned = o.Pin == storage.PinOn
	return r, -mem.B, nil
}

// forgetMissed leaves out the edits of a pinned post that a newer one makes
// pointless: a phone that comes online shows the last one alone.
func (m *memory) forgetMissed(post string) {
	m.Missed = slices.DeleteFunc(m.Missed, func(r record) bool { return r.Op == storage.Edit && *r.Post == post })
}

// moves echoes a line that moves the clock.
func (p *phone) moves(now time.Time, line string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.echoed(now, line, "")
}

// keepClock writes down where the simulated clock stands, if that is news.
func (p *phone) keepClock(now time.Time) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.mem.Clock.Equal(now) {
		return nil
	}
	mem := p.mem.clone()
	mem.Clock = now
	return p.keep(mem)
}
