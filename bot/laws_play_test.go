package bot

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/event"
	"skyslate/bot/sky"
	"skyslate/bot/watch"
	"skyslate/parse"
	"skyslate/storage"
)

// A player plays histories on a desk of its own.
type player struct {
	*field
	dir    string
	sky    *sky.Sky
	events int
	asked  []string          // by tap: what was asked
	taps   []string          // the data of the buttons tapped so far
	echoes map[string]string // as they read when they were looked at last, by name
	told   map[uint64]int    // by contact: how late a line made or changed it, when the screen was checked last
	// everyPass: every pass of every bird is stored.
	everyPass bool
	// peers: the operator lets the log be compared, and so does a station of the histories.
	peers bool
}

// play plays a history; OCHRE-1 is up from 13:12:55 to 13:23:46 (passes.csv), then
// again from 14:49:39.
func play(t *testing.T, h history) *player {
	p := newPlayer(t)
	p.play(h)
	return p
}

func newPlayer(t *testing.T) *player {
	dir, err := os.MkdirTemp(fastDir(), "laws")
	if err != nil {
		t.Fatal(err)
	}
	return &player{
		field: &field{t: t, now: utc("2026-09-01T13:13:30Z")}, dir: dir, sky: lawSky(t),
		echoes: map[string]string{}, told: map[uint64]int{},
	}
}

func (p *player) play(h history) {
	p.open()
	place := placeAt("JO62")
	place.Zone = "Europe/Berlin"
	op := storage.Operator{
		ID: "7", Joined: p.now, Cautioned: p.now, Heard: p.now.Add(-time.Hour), Call: parse.MustParseCallsign("HX7KZQ"),
		Place: place, Remind: storage.DefaultRemind(),
	}
	if p.peers {
		op.Agreeing = storage.Agreeing{Call: op.Call, Since: p.now}
		peer := op
		peer.ID, peer.Call, peer.Place = "8", parse.MustParseCallsign("DI4ZAB"), placeAt("JO43")
		peer.Agreeing.Call = peer.Call
		p.must(p.desk.SetUp(peer, p.now))
	}
	p.must(p.desk.SetUp(op, p.now))
	p.until(p.now)
	p.field.sent = 1000
	for _, a := range h {
		p.act(a)
	}
}

func (p *player) close() {
	p.must(p.store.Close())
	p.must(os.RemoveAll(p.dir))
}

// fastDir is where stores of a moment may lie: in memory, where the system has that.
func fastDir() string {
	if info, err := os.Stat("/dev/shm"); err == nil && info.IsDir() {
		return "/dev/shm"
	}
	return ""
}

var sharedLawSky *sky.Sky

func lawSky(t *testing.T) *sky.Sky {
	if sharedLawSky == nil {
		sharedLawSky = inventedSky(t)
	}
	return sharedLawSky
}

func (p *player) open() {
	store, err := storage.Open(p.dir)
	p.must(err)
	p.store, p.desk = store, New(Config{Store: store, Sky: p.sky, Version: "test"})
	p.desk.everyPass = p.everyPass
	p.desk.newCode = func(string) string { return lawCode }
}

func (p *player) act(a act) {
	p.until(p.now.Add(a.wait))
	p.events++
	id := fmt.Sprint("law", p.events)
	switch a.kind {
	case "say", "command":
		p.event(event.Event{Kind: event.Said, Message: a.id, Text: a.text, ID: id})
	case "relay":
		p.event(event.Event{Kind: event.Said, Message: a.id, Text: a.text, ID: id, Forwarded: true})
	case "number": // what is named depends on all that was sent before
		p.event(event.Event{Kind: event.Said, Message: a.id, Text: a.text, ID: id})
		p.asked = append(p.asked, p.numbered(a))
	case "undo":
		p.event(event.Event{Kind: event.Said, Message: a.id, Text: "/undo", ID: id})
	case "edit":
		p.event(event.Event{Kind: event.Edited, Message: a.on, Text: a.text, ID: id})
	case "reply":
		p.event(event.Event{Kind: event.Said, Message: a.id, ReplyTo: a.on, Text: a.text, ID: id})
	case "answer":
		post, ok := p.postNamed(fmt.Sprintf("7/ack/%d", a.on))
		p.asked = append(p.asked, fmt.Sprint(ok))
		if ok {
			p.event(event.Event{Kind: event.Said, Message: a.id, ReplyTo: post.AppID, Text: a.text, ID: id})
		}
	case "voice":
		p.event(event.Event{Kind: event.Spoken, Message: a.id, Voice: "sound", Length: 3 * time.Minute, ID: id})
	case "typed":
		p.replyToQuestion(a, id)
	case "again":
		if a.n <= len(p.taps) {
			p.press(p.taps[len(p.taps)-a.n], id)
		}
	case "correct":
		from := len(p.said)
		p.event(event.Event{Kind: event.Said, Message: a.id, Text: a.text, ID: id})
		offer := ""
		for _, o := range p.said[from:] {
			if len(o.Buttons) > 0 && strings.HasPrefix(o.Buttons[0][0].Data, tapBulk+":") {
				offer = o.Text
				p.press(o.Buttons[0][0].Data, id+"yes")
			}
		}
		p.asked = append(p.asked, offer)
	case "tap":
		p.tap(a, id)
	case "which":
		p.tapWhich(a, id)
	case "restart":
		p.must(p.store.Close())
		p.open()
	}
}

// numbered says which contacts a message named by their numbers, and how they read: a number
// that was shown stays with its contact, so after edits it may be another line's than in a
// message that was sent so.
func (p *player) numbered(a act) string {
	var named []string
	p.must(p.store.View(func(v *storage.View) error {
		for id := v.LastSitting("7"); id > 0; id-- {
			s, _, err := v.Sitting("7", id)
			if err != nil {
				return err
			}
			for asked, key := range s.Frozen.Numbered {
				if strings.HasSuffix(asked, fmt.Sprint(" ", a.id)) {
					named = append(named, fmt.Sprint(asked, key, p.textsOf(key)))
				}
			}
			for _, ev := range s.Evidence {
				if ev.Event != fmt.Sprint("law", p.events) {
					continue
				}
				if ev.Change != nil {
					named = append(named, fmt.Sprint(ev.Change.Contacts))
				}
				if ev.Reply != nil {
					named = append(named, fmt.Sprint(s.ID, ev.Reply.Contacts))
				}
				if ev.Kind == storage.EvAnswer {
					named = append(named, fmt.Sprint(ev.Contact, ev.Asked))
				}
			}
		}
		return nil
	}))
	slices.Sort(named)
	return fmt.Sprint(named)
}

// textsOf is how the contacts of a line read.
func (p *player) textsOf(of storage.ContactKey) (texts []string) {
	for _, c := range p.contacts() {
		if c.Message == of.Message && c.Line == of.Line {
			texts = append(texts, c.Text)
		}
	}
	return texts
}

// undo takes back until it makes a difference to the log: where it makes none, that is
// said, and the next does.
func (p *player) undo(r fataler, undo func()) {
	before := p.offered()
	for range 100 {
		from := len(p.said)
		undo()
		if !slices.Equal(before, p.offered()) {
			return
		}
		told := func(o Outgoing) bool {
			return strings.HasPrefix(o.Text, "Nothing to take back: ") || strings.HasPrefix(o.Text, "Taken back: ")
		}
		if !slices.ContainsFunc(p.said[from:], told) {
			return
		}
	}
	r.Fatalf("undo never ends")
}

// press taps a button.
func (p *player) press(data, id string) {
	p.taps = append(p.taps, data)
	p.event(event.Event{Kind: event.Tapped, Data: data, ID: id})
}

// replyToQuestion types an answer to one of the last questions that stand, whatever
// they ask.
func (p *player) replyToQuestion(a act, id string) {
	var open []Outgoing
	for _, o := range p.said {
		asks := strings.HasPrefix(o.Name, "7/ask/") || strings.HasPrefix(o.Name, "7/which/") || strings.HasPrefix(o.Name, "7/slate/")
		if post, ok := p.postNamed(o.Name); ok && asks && o.Op == storage.Send && (len(post.Buttons) > 0 || strings.HasPrefix(o.Name, "7/slate/")) {
			open = append(open, o)
		}
	}
	if len(open) < a.n {
		p.asked = append(p.asked, "")
		return
	}
	o := open[len(open)-a.n]
	post, _ := p.postNamed(o.Name)
	p.asked = append(p.asked, o.Name+post.Text)
	p.event(event.Event{Kind: event.Said, Message: a.id, ReplyTo: post.AppID, Text: a.text, ID: id})
}

func (p *player) postNamed(name string) (post storage.Post, ok bool) {
	p.must(p.store.View(func(v *storage.View) (err error) {
		post, ok, err = v.Post(name)
		return err
	}))
	return post, ok && post.AppID != 0
}

// tap taps a button of the question about the n-th contact of a message.
func (p *player) tap(a act, id string) {
	for _, c := range p.contacts() {
		if c.Message != a.on {
			continue
		}
		if a.n -= 8; a.n >= 0 {
			continue
		}
		post, ok := p.postNamed(fmt.Sprintf("7/ask/%d", c.ID))
		var buttons []storage.Button
		for _, row := range post.Buttons {
			buttons = append(buttons, row...)
		}
		if i := a.n + 8; ok && i < len(buttons) {
			p.asked = append(p.asked, contact.Asked(c)+buttons[i].Label)
			p.taps = append(p.taps, buttons[i].Data)
			p.event(event.Event{Kind: event.Tapped, Post: post.AppID, Data: buttons[i].Data, ID: id})
			return
		}
		break
	}
	p.asked = append(p.asked, "")
}

// tapWhich answers the newest open question which pass is meant.
func (p *player) tapWhich(a act, id string) {
	for _, c := range slices.Backward(p.contacts()) {
		if c.Why != contact.WhyPass || c.State != storage.Doubtful || a.n >= len(c.Rivals) {
			continue
		}
		p.asked = append(p.asked, fmt.Sprint(c.Rivals, a.n))
		p.press(watch.TapPass+":"+string(c.Rivals[a.n]), id)
		return
	}
	p.asked = append(p.asked, "")
}

// log is the log as the operator knows it: no numbers, no versions.
func (p *player) log() []string {
	var all []string
	for _, c := range p.contacts() {
		if c.State != storage.Dropped {
			all = append(all, fmt.Sprintf("m%d %s", c.Message, logged(c)))
		}
	}
	slices.Sort(all)
	return all
}

// offered is the log with the passes that are offered for what is asked.
func (p *player) offered() []string {
	all := p.log()
	for _, c := range p.contacts() {
		if c.State != storage.Dropped && len(c.Rivals) > 0 {
			all = append(all, fmt.Sprintf("m%d %d %s: %v", c.Message, c.Line, c.Call, c.Rivals))
		}
	}
	slices.Sort(all)
	return all
}

func logged(c storage.Contact) string {
	offset := ""
	if c.Mark != nil {
		offset = " +" + c.Mark.Offset.String()
	}
	return fmt.Sprintf("%s %v %s %s %s%s %s %s %s by %s %v %s %s: %s", c.Call, c.Grids, c.State, c.Why, c.Time.UTC().Format("2 15:04:05"), offset,
		c.TimeSource, c.Clock, c.Pass, c.OwnCall, c.OwnGrids, c.Name, c.Report, c.Text)
}
