package bot

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/bot/contact"
	"skyslate/bot/event"
	"skyslate/bot/exchange"
	"skyslate/bot/phrase"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/parse/adif"
	"skyslate/storage"
)

// The life of a log: random messages, edits, replies, taps, undos, heaps, imports
// and restarts; laws_test.go says what the log must be, this what a hand-over must
// bring of it: what belongs in a log and is not what it was when it last went out,
// and the names of what has to be deleted elsewhere. A failure prints the seed that
// repeats it.

// A worked contact of the model; an empty state is none (dropped). Own is who
// worked it, and from where; what came of a file has none.
type worked struct{ call, grid, state, own string }

func (w worked) logged() bool { return w.state == "certain" || w.state == "incomplete" }

type life struct {
	*field
	r     *rapid.T
	dir   string
	sky   *sky.Sky
	next  int              // calls used so far
	table []worked         // by ID - 1: the log as it is
	texts map[int64]string // as last sent
	out   map[int]string   // by index: as the contact last went out
}

var lifeGrids = []string{"JO43", "JO22", "JO59", "KP20", "JP40", "JO31"}

// lifeLine draws a line of a station that was never heard before: with a grid,
// without, or with an unusual call.
func (l *life) lifeLine() string {
	n := l.next
	l.next++
	grid := rapid.SampledFrom(lifeGrids).Draw(l.r, "grid")
	call := fmt.Sprintf("DI4Z%c%c", "ABCDFGHJKLMN"[n/10%12], "BCDFGHJKLM"[n%10])
	switch rapid.SampledFrom([]string{"whole", "whole", "bare", "unusual"}).Draw(l.r, "kind") {
	case "bare":
		return call
	case "unusual":
		call = fmt.Sprintf("K1%dQ%cX", n%10, "ABCDFGHJKLMN"[n/10%12])
	}
	return call + " " + grid
}

func (l *life) message() {
	var texts []string
	for range rapid.IntRange(1, 3).Draw(l.r, "lines") {
		texts = append(texts, l.lifeLine())
	}
	l.texts[l.say(strings.Join(texts, "\n"))] = strings.Join(texts, "\n")
}

// heap sends several messages in one moment.
func (l *life) heap() {
	for range rapid.IntRange(2, 5).Draw(l.r, "messages") {
		l.message()
	}
}

func (l *life) anyMessage() (int64, bool) {
	if len(l.texts) == 0 {
		return 0, false
	}
	return rapid.SampledFrom(slices.Sorted(maps.Keys(l.texts))).Draw(l.r, "message"), true
}

func (l *life) edit() {
	m, ok := l.anyMessage()
	if !ok {
		return
	}
	texts := strings.Split(l.texts[m], "\n")
	k := rapid.IntRange(0, len(texts)-1).Draw(l.r, "line")
	switch how := rapid.SampledFrom([]string{"replace", "add", "remove", "move"}).Draw(l.r, "how"); {
	case how == "remove" && len(texts) > 1:
		texts = slices.Delete(texts, k, k+1)
	case how == "move":
		text := texts[k]
		texts = append(slices.Delete(texts, k, k+1), text)
	case how == "add":
		texts = slices.Insert(texts, k, l.lifeLine())
	default:
		texts[k] = l.lifeLine()
	}
	l.texts[m] = strings.Join(texts, "\n")
	l.event(event.Event{Kind: event.Edited, Message: m, Text: l.texts[m], ID: l.id()})
}

// reply gives the contact of a message its grid, or another.
func (l *life) reply() {
	if m, ok := l.anyMessage(); ok {
		l.sent++
		l.event(event.Event{Kind: event.Said, Message: l.sent, ReplyTo: m, Text: rapid.SampledFrom(lifeGrids).Draw(l.r, "grid"), ID: l.id()})
	}
}

// tap answers a doubt, by the button of now or by an old one.
func (l *life) tap() {
	var open []int
	for i, w := range l.table {
		if w.state == "doubtful" {
			open = append(open, i)
		}
	}
	if len(open) == 0 {
		return
	}
	i := rapid.SampledFrom(open).Draw(l.r, "doubt")
	c := l.contactNow(i)
	verb := rapid.SampledFrom([]string{contact.Keep, contact.Drop, contact.Heard}).Draw(l.r, "button")
	old := rapid.Bool().Draw(l.r, "old button")
	version := c.Version
	if old {
		version--
	}
	l.event(event.Event{Kind: event.Tapped, Data: fmt.Sprintf("%s:%d:%d", verb, c.ID, version), ID: l.id()})
}

func (l *life) contactNow(i int) (c storage.Contact) {
	l.must(l.store.View(func(v *storage.View) (err error) {
		c, _, err = v.Contact("7", uint64(i+1))
		return err
	}))
	return c
}

func (l *life) undo() { l.say("/undo") }

// bulk changes the own side of some contacts, or takes back that it would.
func (l *life) bulk() {
	if len(l.table) == 0 {
		return
	}
	first := rapid.IntRange(1, len(l.table)).Draw(l.r, "first")
	last := rapid.IntRange(first, len(l.table)).Draw(l.r, "last")
	field := rapid.SampledFrom([]string{"mycall HX7KZQ/P", "mycall HX7KZQ", "mygrid JO62", "mygrid JO61"}).Draw(l.r, "change")
	yes := rapid.SampledFrom([]int{1, 1, 0}).Draw(l.r, "yes")
	m := l.say(fmt.Sprintf("/correct %d-%d %s", first, last, field))
	l.event(event.Event{Kind: event.Tapped, Data: fmt.Sprintf("%s:%d:%d", tapBulk, m, yes), ID: l.id()})
}

// imports sends a log of stations never heard before, and perhaps puts them into
// the log.
func (l *life) imports() {
	var text strings.Builder
	text.WriteString("An invented log\n<EOH>\n")
	state := rapid.SampledFrom([]string{"remembered", "certain"}).Draw(l.r, "into")
	for range rapid.IntRange(1, 3).Draw(l.r, "records") {
		l.next++
		call := fmt.Sprintf("OX%d%c%cZ", l.next/100%10, 'A'+l.next/10%10, 'A'+l.next%10)
		fmt.Fprintf(&text, "<CALL:%d>%s<QSO_DATE:8>20260101<TIME_ON:4>0102<GRIDSQUARE:4>JO33<SAT_NAME:7>OCHRE-1<EOR>\n", len(call), call)
	}
	l.sent++
	m := l.sent
	l.event(event.Event{Kind: event.Handed, Message: m, File: &event.Document{Name: "log.adi", Body: []byte(text.String())}, ID: l.id()})
	l.until(l.now.Add(time.Second))
	if state == "certain" {
		l.event(event.Event{Kind: event.Tapped, Data: fmt.Sprintf("%s:%d", exchange.TapIntoLog, m), ID: l.id()})
		l.until(l.now.Add(time.Second))
	}
}

// sked arranges a contact, which is no contact yet.
func (l *life) sked() {
	l.say("/sked " + rapid.SampledFrom([]string{"ox9qzt jo33", "ox9qzt jo33 tomorrow", "di4zab jo43 ochre-1"}).Draw(l.r, "sked"))
}

// handOver asks for what is new and holds the files, and what is to be deleted
// elsewhere, against the model.
func (l *life) handOver() {
	times := map[uint64]string{}
	for _, c := range l.contacts() {
		times[c.ID] = c.Time.UTC().Format("150405")
	}
	var want, gone []string
	for i, w := range l.table {
		before, was := l.out[i]
		now := fmt.Sprintf("%s %s %s %s", w.call, w.grid, w.own, times[uint64(i+1)])
		switch {
		case w.own == "":
			continue
		case w.logged() && before != now:
			want = append(want, now)
			l.out[i] = now
		case !w.logged() && was:
			delete(l.out, i)
		default:
			continue
		}
		if was {
			call, _, _ := strings.Cut(before, " ")
			gone = append(gone, call)
		}
	}
	from := len(l.said)
	l.say("/adif")
	var got []string
	var told strings.Builder
	for _, o := range l.said[from:] {
		if o.FileName == "" {
			told.WriteString(o.Text + "\n")
		}
		got = append(got, l.records(o.Body)...)
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		l.r.Fatalf("handed over\n  %s\nwant\n  %s", strings.Join(got, "\n  "), strings.Join(want, "\n  "))
	}
	for _, call := range gone {
		if !strings.Contains(told.String(), "- "+call) {
			l.r.Fatalf("%s is to be deleted elsewhere, and only this is told:\n%s", call, told.String())
		}
	}
	if n := strings.Count(told.String(), "\n- "); len(gone) == 0 && n > 0 {
		l.r.Fatalf("nothing is to be deleted elsewhere, but told is:\n%s", told.String())
	}
}

// records are those of a file, in the words of the model.
func (l *life) records(file []byte) []string {
	var all []string
	r := adif.NewReader(bytes.NewReader(file))
	for len(file) > 0 {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		l.must(err)
		get := func(name string) string { v, _ := rec.Get(name); return v }
		all = append(all, fmt.Sprintf("%s %s %s %s %s", get("CALL"), get("GRIDSQUARE"), get("STATION_CALLSIGN"), get("MY_GRIDSQUARE"), get("TIME_ON")))
	}
	return all
}

func (l *life) restart() {
	l.must(l.store.Close())
	l.open()
}

func (l *life) open() {
	store, err := storage.Open(l.dir)
	l.must(err)
	l.store, l.desk = store, New(Config{Store: store, Sky: l.sky, Version: "test"})
}

var lifeEvents int

// id names an event; the moments alone are not enough.
func (l *life) id() string {
	lifeEvents++
	return fmt.Sprint("life", lifeEvents)
}

// look takes the log as it is into the table.
func (l *life) look(pass storage.PassID) {
	l.table = nil
	for _, c := range l.contacts() {
		for uint64(len(l.table)) < c.ID {
			l.table = append(l.table, worked{})
		}
		if c.State != storage.Dropped && c.Pass != pass && !tx.Imported(c) {
			l.r.Fatalf("%s is under pass %q, want %q", c.Call, c.Pass, pass)
		}
		grids := make([]string, len(c.Grids))
		for i, g := range c.Grids {
			grids[i] = g.String()
		}
		w := worked{c.Call.String(), strings.Join(grids, " "), string(c.State), ""}
		if !tx.Imported(c) {
			w.own = c.OwnCall.String() + " " + phrase.Grids(c.OwnGrids)
		}
		l.table[c.ID-1] = w
	}
}

func TestLifeOfALog(t *testing.T) {
	birds := inventedSky(t)
	rapid.Check(t, func(r *rapid.T) {
		dir, err := os.MkdirTemp(t.TempDir(), "life")
		if err != nil {
			r.Fatal(err)
		}
		l := &life{
			field: &field{t: t, now: utc("2026-09-01T13:13:30Z")}, // OCHRE-1 is up
			r:     r, dir: dir, sky: birds, texts: map[int64]string{}, out: map[int]string{},
		}
		l.open()
		defer func() {
			l.must(l.store.Close())
			if _, err := storage.Verify(dir); err != nil {
				r.Errorf("the store does not verify: %v", err)
			}
		}()
		l.must(l.desk.SetUp(storage.Operator{
			ID: "7", Joined: l.now, Cautioned: l.now, Heard: l.now, Call: parse.MustParseCallsign("HX7KZQ"),
			Place: placeAt("JO62"), Remind: storage.DefaultRemind(),
		}, l.now))
		l.until(l.now)
		l.say("on air")
		m, pass := l.sent, storage.PassID("")
		l.must(l.store.View(func(v *storage.View) error {
			msg, _, err := v.Message("7", m)
			pass = msg.Pass
			return err
		}))
		steps := []func(){l.message, l.message, l.edit, l.edit, l.reply, l.tap, l.undo, l.heap, l.restart, l.bulk, l.handOver, l.handOver, l.imports, l.sked}
		for range rapid.IntRange(1, 14).Draw(r, "steps") {
			l.until(l.now.Add(time.Duration(rapid.IntRange(0, 25).Draw(r, "seconds")) * time.Second))
			steps[rapid.IntRange(0, len(steps)-1).Draw(r, "step")]()
			l.look(pass)
		}
	})
}
