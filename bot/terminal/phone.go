package terminal

import (
	"encoding/json"
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

// common is what all phones here share.
type common struct {
	desk   *bot.Desk
	accept func(map[string][]byte, ...storage.Raw) error
	dir    string // where the bot's files go
	show   printer
}

// phones are the phones of everybody who speaks here.
type phones struct {
	common
	mu  sync.Mutex
	all map[storage.OperatorID]*phone
}

func newPhones(c Config, s *screen) *phones {
	ps := &phones{
		common: common{
			desk: c.Desk, accept: c.Desk.Accept, dir: filepath.Join(c.Dir, "sent"),
			show: printer{out: s.out, json: c.JSON, typed: s.terminal},
		},
		all: map[storage.OperatorID]*phone{},
	}
	c.Desk.OnLeave(bot.Leaving{Before: func(who storage.OperatorID) (string, error) {
		p, err := ps.of(who)
		if err != nil {
			return "", err
		}
		return p.forget()
	}})
	return ps
}

// of is somebody's phone, with what it remembers.
func (ps *phones) of(who storage.OperatorID) (*phone, error) {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	if p := ps.all[who]; p != nil {
		return p, nil
	}
	p := &phone{common: &ps.common, who: who}
	kept, err := ps.desk.Kept(p.memoryKey())
	if err == nil && len(kept) > 0 {
		err = json.Unmarshal(kept, &p.mem)
	}
	if err != nil {
		return nil, fmt.Errorf("what the phone of %s remembers: %w", who, err)
	}
	ps.all[who] = p
	return p, nil
}

// do does what a line says, as of now: all but moving the clock.
func (ps *phones) do(now time.Time, who storage.OperatorID, said string, c command) error {
	p, err := ps.of(who)
	if err != nil {
		return err
	}
	return p.do(now, said, c)
}

// deliver brings a post to the phone that it is for, and returns its name.
func (ps *phones) deliver(now time.Time, o bot.Outgoing) (name string, err error) {
	p, err := ps.of(o.Operator)
	if err != nil {
		return "", err
	}
	return p.deliver(now, o)
}

// clock is where the simulated clock stood last: the usual operator's phone has it.
func (ps *phones) clock() (time.Time, error) {
	p, err := ps.of(Operator)
	if err != nil {
		return time.Time{}, err
	}
	return p.mem.Clock, nil
}

// keepClock writes down where the simulated clock stands, if that is news.
func (ps *phones) keepClock(now time.Time) error {
	p, err := ps.of(Operator)
	if err != nil || p.mem.Clock.Equal(now) {
		return err
	}
	return p.change(func(mem *memory) ([]event.Event, error) {
		mem.Clock = now
		return nil, nil
	})
}

// phone is somebody's phone: it does what their lines say and shows what the bot
// sends. Each of its methods is given the moment.
type phone struct {
	*common
	who storage.OperatorID

	mu  sync.Mutex
	mem memory
}

// forget drops what the phone remembers of the bot's posts, and says where files
// remain that the operator was given: taking the log along and then removing it
// here must not remove what was taken.
func (p *phone) forget() (remains string, err error) {
	if files, err := os.ReadDir(p.dir); err == nil && len(files) > 0 {
		remains = textFilesStay
	}
	return remains, p.change(func(mem *memory) ([]event.Event, error) {
		mem.Missed, mem.Buttons, mem.Pinned, mem.Live = nil, nil, nil, 0
		return nil, nil
	})
}

// change lets do change the memory: it is kept with the events that do makes, in
// one transaction, or nothing has changed.
func (p *phone) change(do func(mem *memory) ([]event.Event, error)) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	mem := p.mem.clone()
	events, err := do(&mem)
	if err != nil {
		return err
	}
	raws := make([]storage.Raw, len(events))
	for i, e := range events {
		if raws[i], err = event.Encode(e); err != nil {
			return err
		}
	}
	kept, err := json.Marshal(mem)
	if err != nil {
		return err
	}
	if err := p.accept(map[string][]byte{p.memoryKey(): kept}, raws...); err != nil {
		return err
	}
	p.mem = mem
	return nil
}

// do does what a line says, as of now: all but moving the clock.
func (p *phone) do(now time.Time, said string, c command) error {
	return p.change(func(mem *memory) ([]event.Event, error) {
		events, err := p.plan(mem, now, c)
		if err != nil {
			return nil, err
		}
		made := ""
		if mem.M > p.mem.M {
			made = appName(mem.M)
		}
		if err := p.show.echo(now, p.who, made, said); err != nil {
			return nil, err
		}
		switch {
		case c.verb == online:
			return p.reconnect(mem, now)
		case mem.Offline:
			mem.Held = append(mem.Held, events...)
			return nil, nil
		}
		return events, nil
	})
}

// reconnect shows what the phone missed and delivers what it held, stamped now.
func (p *phone) reconnect(mem *memory, now time.Time) ([]event.Event, error) {
	for _, r := range mem.Missed {
		if err := p.show.show(r); err != nil {
			return nil, err
		}
	}
	held := mem.Held
	for i := range held {
		held[i].At = now
	}
	mem.Offline, mem.Missed, mem.Held = false, nil, nil
	return held, nil
}

// plan is what a line does: the memory after it, and the events it makes.
func (p *phone) plan(mem *memory, now time.Time, c command) ([]event.Event, error) {
	if c.about != 0 {
		if err := mem.known(c.about); err != nil {
			return nil, err
		}
	}
	var e event.Event
	switch c.verb {
	case say, reply, relay:
		e = p.message(mem, event.Said, now)
		e.Text, e.ReplyTo, e.Forwarded = c.text, c.about, c.verb == relay
	case edit:
		e = p.event(mem, event.Edited, now)
		e.Text, e.Message = c.text, c.about
	case tap:
		b, err := mem.button(c.about, c.text)
		if err != nil {
			return nil, err
		}
		e = p.event(mem, event.Tapped, now)
		e.Post, e.Data = c.about, b.Data
	case place:
		e = p.place(mem, now, c.spot)
	case file:
		doc, err := readDocument(c.text)
		if err != nil {
			return nil, err
		}
		e = p.message(mem, event.Handed, now)
		e.File = &doc
	case voice:
		e = p.message(mem, event.Spoken, now)
		e.Length = c.length
	case offline:
		mem.Offline = true
		return nil, nil
	case online:
		return nil, nil
	}
	return []event.Event{e}, nil
}

// known refuses the id of a message that there is none of on the phone.
func (m *memory) known(id int64) error {
	name, last, whose := appName(id), m.M, "the operator's"
	if id < 0 {
		last, whose = -m.B, "the bot's"
		for _, missed := range m.Missed {
			if missed.Post != nil && *missed.Post == name && missed.Op != storage.Edit {
				return expected(name, "a message on the phone: %s comes when it is online again", name)
			}
		}
	}
	switch {
	case last == 0:
		return expected(name, "one of %s messages: there is none yet", whose)
	case max(id, -id) > max(last, -last):
		return expected(name, "one of %s messages: the last one is %s", whose, appName(last))
	}
	return nil
}

// button finds a button under a post by its label, in any case, or its number.
func (m *memory) button(post int64, label string) (storage.Button, error) {
	buttons := m.Buttons[-post]
	if len(buttons) == 0 {
		return storage.Button{}, expected(label, "a post with buttons: %s has none", appName(post))
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
		appName(post), len(buttons), strings.Join(labels, ", "))
}

// place shares a location, or moves the live one.
func (p *phone) place(m *memory, now time.Time, spot event.Spot) event.Event {
	if spot.Live && m.Live != 0 && now.Sub(m.LiveSince) < liveFor {
		e := p.event(m, event.Placed, now)
		e.Message, e.Spot = m.Live, &spot
		return e
	}
	e := p.message(m, event.Placed, now)
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
	if errors.As(err, &at) {
		err = at.Err // the path is shown beside it
	}
	switch {
	case err != nil:
		return event.Document{}, expected(path, "a file that can be read: %v", err)
	case len(body) == 0:
		return event.Document{}, expected(path, "a file that is not empty")
	case len(body) > event.MaxDocument:
		return event.Document{}, expected(path, "a file of at most %d bytes", event.MaxDocument)
	}
	return event.Document{Name: filepath.Base(path), Body: body}, nil
}

// deliver brings a post to the phone and returns its name. The numbers are on
// disk before anything is shown, so that none is ever given twice.
func (p *phone) deliver(now time.Time, o bot.Outgoing) (name string, err error) {
	var r record
	var missed bool
	err = p.change(func(mem *memory) (_ []event.Event, err error) {
		r, name, err = p.record(mem, now, o)
		if missed = mem.Offline; missed {
			mem.Missed = append(mem.Missed, r)
		}
		return nil, err
	})
	if err != nil || missed {
		return name, err
	}
	return name, p.show.show(r)
}

// record is a post as it is shown, with its name: its number.
func (p *phone) record(mem *memory, now time.Time, o bot.Outgoing) (record, string, error) {
	r := record{At: moment{now}, Op: o.Op, Text: o.Text, spans: o.Spans, Silent: o.Silent, Buttons: []string{}}
	for _, b := range slices.Concat(o.Buttons...) {
		r.Buttons = append(r.Buttons, b.Label)
	}
	if p.who != Operator {
		r.Operator = p.who
	}
	if o.ReplyTo != "" {
		r.To = new(appName(number(o.ReplyTo)))
	}
	switch o.Op {
	case storage.React:
		return r, "", nil
	case storage.Edit:
		name := appName(number(o.Edits))
		r.Post, r.To = &name, &name
		n := -number(o.Edits)
		mem.setButtons(n, o.Buttons)
		if before, pinned := mem.setPinned(n, o); pinned {
			r.changed = newLines(o.Text, o.Spans, before)
			// A phone that comes online shows the last edit of a pinned post alone.
			mem.Missed = slices.DeleteFunc(mem.Missed, func(r record) bool {
				return r.Op == storage.Edit && *r.Post == name
			})
		}
		return r, o.Edits, nil
	case storage.File:
		path, err := writeFile(p.dir, o.FileName, o.Body)
		if err != nil {
			return r, "", fmt.Errorf("writing the file %s: %w", o.FileName, err)
		}
		r.Path = &path
	}
	mem.B++
	r.Post = new(appName(-mem.B))
	mem.setButtons(mem.B, o.Buttons)
	mem.setPinned(mem.B, o)
	r.pinned = o.Pin == storage.PinOn
	return r, strconv.FormatInt(-mem.B, 10), nil
}
