package bot

import (
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/parse"
	"skyslate/storage"
)

// The life of a log against a plain model: random messages, edits, replies, taps,
// undos, heaps and restarts, and after every step the log and the model say the
// same. A failure prints the seed that repeats it.
//
// The model is a table of contacts in the order of their making. Every message
// is a list of lines; an edit lets the lines that stood there keep their
// contacts, gives the others those of the lines that are gone, in order, and
// drops what is left over. Undo restores the table as it was before the newest
// step that is not taken back.

// A worked contact of the model; an empty state is none (dropped).
type worked struct{ call, grid, state string }

func (w worked) String() string { return w.call + " " + w.grid + " " + w.state }

type modelLine struct {
	text    string
	contact int // index into the table
}

type modelStep struct {
	table []worked
	of    int64 // the message edited, 0 for none
	lines []modelLine
}

type life struct {
	*field
	r     *rapid.T
	dir   string
	sky   *Sky
	next  int // calls used so far
	table []worked
	texts map[int64]string      // as last sent
	lines map[int64][]modelLine // what is in force
	steps []modelStep
}

var lifeGrids = []string{"JO43", "JO22", "JO59", "KP20", "JP40", "JO31"}

// lifeLine draws a line of a station that was never heard before: with a grid,
// without, or with an unusual call.
func (l *life) lifeLine() (string, worked) {
	n := l.next
	l.next++
	grid := rapid.SampledFrom(lifeGrids).Draw(l.r, "grid")
	call := fmt.Sprintf("DI4Z%c%c", "ABCDFGHJKLMN"[n/10%12], "BCDFGHJKLM"[n%10])
	switch rapid.SampledFrom([]string{"whole", "whole", "bare", "unusual"}).Draw(l.r, "kind") {
	case "bare":
		return call, worked{call, "", "incomplete"}
	case "unusual":
		call = fmt.Sprintf("K1%dQ%c%c", n%10, "ABCDFGHJKLMN"[n/10%12], 'X')
		return call + " " + grid, worked{call, grid, "doubtful"}
	}
	return call + " " + grid, worked{call, grid, "certain"}
}

func (l *life) step(of int64) {
	l.steps = append(l.steps, modelStep{slices.Clone(l.table), of, slices.Clone(l.lines[of])})
}

func (l *life) message() {
	l.step(0)
	var texts []string
	var lines []modelLine
	for range rapid.IntRange(1, 3).Draw(l.r, "lines") {
		text, w := l.lifeLine()
		lines = append(lines, modelLine{text, len(l.table)})
		l.table, texts = append(l.table, w), append(texts, text)
	}
	m := l.say(strings.Join(texts, "\n"))
	l.texts[m], l.lines[m] = strings.Join(texts, "\n"), lines
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
	made := map[string]worked{}
	k := rapid.IntRange(0, len(texts)-1).Draw(l.r, "line")
	switch how := rapid.SampledFrom([]string{"replace", "add", "remove", "move"}).Draw(l.r, "how"); {
	case how == "remove" && len(texts) > 1:
		texts = slices.Delete(texts, k, k+1)
	case how == "move":
		text := texts[k]
		texts = append(slices.Delete(texts, k, k+1), text)
	default:
		text, w := l.lifeLine()
		made[text] = w
		if how == "add" {
			texts = slices.Insert(texts, k, text)
		} else {
			texts[k] = text
		}
	}
	if strings.Join(texts, "\n") == l.texts[m] {
		return
	}
	before := slices.Clone(l.table)
	l.step(m)
	l.apply(m, texts, made)
	if slices.Equal(before, l.table) {
		l.steps = l.steps[:len(l.steps)-1]
	}
	l.texts[m] = strings.Join(texts, "\n")
	l.event(Event{Kind: Edited, Message: m, Text: l.texts[m], ID: l.id()})
}

// apply is the rule of edits.
func (l *life) apply(m int64, texts []string, made map[string]worked) {
	rest := slices.Clone(l.lines[m])
	lines := make([]modelLine, len(texts))
	var open []int
	for i, text := range texts {
		j := slices.IndexFunc(rest, func(o modelLine) bool { return o.text == text })
		if j < 0 {
			open = append(open, i)
			continue
		}
		lines[i] = rest[j]
		rest = slices.Delete(rest, j, j+1)
	}
	for _, i := range open {
		w, ok := made[texts[i]]
		if !ok {
			w = l.readAgain(texts[i])
		}
		if len(rest) > 0 {
			lines[i] = modelLine{texts[i], rest[0].contact}
			rest = rest[1:]
			l.table[lines[i].contact] = w
			continue
		}
		lines[i] = modelLine{texts[i], len(l.table)}
		l.table = append(l.table, w)
	}
	for _, o := range rest {
		l.table[o.contact].state = ""
	}
	l.lines[m] = lines
}

// readAgain is what a line says that was sent before: an undone edit brings it
// up again.
func (l *life) readAgain(text string) worked {
	call, grid, _ := strings.Cut(text, " ")
	switch {
	case strings.HasPrefix(call, "K1"):
		return worked{call, grid, "doubtful"}
	case grid == "":
		return worked{call, "", "incomplete"}
	}
	return worked{call, grid, "certain"}
}

// reply gives the contact of a message of one line its grid, or another.
func (l *life) reply() {
	m, ok := l.anyMessage()
	if !ok || len(l.lines[m]) != 1 {
		return
	}
	w := &l.table[l.lines[m][0].contact]
	if w.state != "incomplete" && w.state != "certain" {
		return
	}
	grid := rapid.SampledFrom(lifeGrids).Draw(l.r, "grid")
	l.step(0)
	w.grid, w.state = grid, "certain"
	l.sent++
	l.event(Event{Kind: Said, Message: l.sent, ReplyTo: m, Text: grid, ID: l.id()})
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
	verb := rapid.SampledFrom([]string{tapKeep, tapDrop, tapHeard}).Draw(l.r, "button")
	old := rapid.Bool().Draw(l.r, "old button")
	version := c.Version
	if old {
		version--
	} else {
		l.step(0)
		l.table[i].state = map[string]string{tapKeep: "certain", tapDrop: "", tapHeard: "heard"}[verb]
	}
	l.event(Event{Kind: Tapped, Data: fmt.Sprintf("%s:%d:%d", verb, c.ID, version), ID: l.id()})
}

func (l *life) contactNow(i int) (c storage.Contact) {
	l.must(l.store.View(func(v *storage.View) (err error) {
		c, _, err = v.Contact("7", uint64(i+1))
		return err
	}))
	return c
}

func (l *life) undo() {
	l.say("/undo")
	if len(l.steps) == 0 {
		return
	}
	s := l.steps[len(l.steps)-1]
	l.steps = l.steps[:len(l.steps)-1]
	for i := range l.table {
		if i < len(s.table) {
			l.table[i] = s.table[i]
		} else {
			l.table[i].state = ""
		}
	}
	if s.of != 0 {
		l.lines[s.of] = s.lines
	}
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

func (l *life) check(pass storage.PassID) {
	var got, want []string
	for _, c := range l.contacts() {
		if c.State != storage.Dropped {
			grids := make([]string, len(c.Grids))
			for i, g := range c.Grids {
				grids[i] = g.String()
			}
			got = append(got, fmt.Sprintf("%03d %s", c.ID, worked{c.Call.String(), strings.Join(grids, " "), string(c.State)}))
			if c.Pass != pass {
				l.r.Fatalf("%s is under pass %q, want %q", c.Call, c.Pass, pass)
			}
		}
	}
	slices.Sort(got)
	for i, w := range l.table {
		if w.state != "" {
			want = append(want, fmt.Sprintf("%03d %s", i+1, w))
		}
	}
	if !slices.Equal(got, want) {
		l.r.Fatalf("the log is\n  %s\nand should be\n  %s", strings.Join(got, "\n  "), strings.Join(want, "\n  "))
	}
}

func TestLifeOfALog(t *testing.T) {
	sky := inventedSky(t)
	rapid.Check(t, func(r *rapid.T) {
		dir, err := os.MkdirTemp(t.TempDir(), "life")
		if err != nil {
			r.Fatal(err)
		}
		l := &life{
			field: &field{t: t, now: utc("2026-09-01T13:13:30Z")}, // OCHRE-1 is up
			r:     r, dir: dir, sky: sky, texts: map[int64]string{}, lines: map[int64][]modelLine{},
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
			Place: placeAt("JO62"), Remind: DefaultRemind(),
		}, l.now))
		l.until(l.now)
		l.say("on air")
		m, pass := l.sent, storage.PassID("")
		l.must(l.store.View(func(v *storage.View) error {
			msg, _, err := v.Message("7", m)
			pass = msg.Pass
			return err
		}))
		steps := []func(){l.message, l.message, l.edit, l.edit, l.reply, l.tap, l.undo, l.heap, l.restart}
		for range rapid.IntRange(1, 14).Draw(r, "steps") {
			l.until(l.now.Add(time.Duration(rapid.IntRange(0, 25).Draw(r, "seconds")) * time.Second))
			steps[rapid.IntRange(0, len(steps)-1).Draw(r, "step")]()
			l.check(pass)
		}
	})
}
