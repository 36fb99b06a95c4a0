package main

import (
	"bytes"
	"context"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/bot/apps"
	"skyslate/bot/guests"
	"skyslate/bot/rehearsal"
	loops "skyslate/bot/run"
	"skyslate/bot/sky"
	"skyslate/storage"
)

// A handset is the operator's phone in the chat with the bot on a messaging app.
// Messages go by the names that the app has for them.
type handset interface {
	// operator is who has the phone, another somebody else's there; connect connects the app.
	operator() storage.OperatorID
	another(name string) handset
	connect(bot.Config, *bot.Desk, *guests.Guests) (loops.Transport, error)

	say(text string) string
	reply(to, text string) string
	relay(text string) string
	edit(name, text string)
	place(latDeg, lonDeg, accuracyM float64, live bool) string
	move(name string, latDeg, lonDeg float64) // a live place
	voice(length time.Duration) string
	file(name string, body []byte) string

	posts() []string // the bot's messages, in order
	buttons(post string) []string
	tap(post string, button int)
	// deeds are all that the bot did; number gives messages their numbers in the
	// conversation.
	deeds(number func(name string) string) []deed
}

// person is somebody with a phone, and what they did on it.
type person struct {
	handset

	name string   // empty: the operator of the conversation
	sent []string // the messages, by their number less one
	held []func() // done while offline
	off  bool
	live string
}

// stage is the bot on messaging apps, with the phones of those who talk to it: one acts
// at a time, the first unless a line of the script says who.
type stage struct {
	*person

	t      *testing.T
	dir    string
	people []*person
	clock  time.Time // of the script
	late   bool      // something was done, or fell due, while the clock was past the script's
	desk   *bot.Desk
	loops  *loops.Loops
	end    func()
}

// newStage is the bot in a directory, with the operator's phone.
func newStage(t *testing.T, dir string, first handset) *stage {
	operator := &person{handset: first}
	return &stage{t: t, dir: dir, person: operator, people: []*person{operator}}
}

// connectAll connects the apps of all phones.
func (s *stage) connectAll(c bot.Config, door *guests.Guests) (loops.Transport, error) {
	if len(s.people) == 1 {
		return s.connect(c, s.desk, door)
	}
	var all []apps.App
	for _, onMatrix := range []bool{false, true} {
		serves := func(op storage.OperatorID) bool { return strings.HasPrefix(string(op), "@") == onMatrix }
		i := slices.IndexFunc(s.people, func(p *person) bool { return serves(p.operator()) })
		if i < 0 {
			continue
		}
		app, err := s.people[i].connect(c, s.desk, door)
		if err != nil {
			return nil, err
		}
		all = append(all, apps.App{Name: fmt.Sprint("app ", len(all)+1), Serves: serves, Transport: app})
	}
	return apps.Join(c.Log, all...), nil
}

// open starts the bot with the arguments of chat; false if it can't start.
func (s *stage) open(args []string) bool {
	s.t.Helper()
	scene, fixed, err := sceneOf(args)
	if err != nil {
		return false
	}
	s.clock = later(s.clock, scene.From)
	time.Sleep(time.Until(s.clock))
	store, err := storage.Open(s.dir)
	if err != nil {
		s.t.Fatal(err)
	}
	log := slog.New(slog.DiscardHandler)
	c := bot.Config{
		Store: store, Sky: sky.New(scene.Birds, scene.Elements), Log: log, Decode: decoders.Decode, Version: version(),
		NewCode: func(string) string { return fmt.Sprintf("phone-local-%d", len(s.people[0].sent)) }, // as the terminal's
	}
	s.desk = bot.New(c)
	op := s.operator()
	if _, known := operatorIn(s.t, store, op); fixed && !known {
		scene.Operator.ID = op
		if err := s.desk.SetUp(scene.Operator, scene.From); err != nil {
			s.t.Fatal(err)
		}
	}
	door, err := guests.New(guests.Config{Desk: s.desk, Log: log, Open: true})
	if err != nil {
		s.t.Fatal(err)
	}
	app, err := s.connectAll(c, door)
	if err != nil {
		s.t.Fatal(err)
	}
	s.loops = loops.New(s.desk, app, log)
	ctx, cancel := context.WithCancel(context.Background())
	var wait sync.WaitGroup
	wait.Go(func() {
		if err := s.loops.Run(ctx); err != nil {
			s.t.Error(err)
		}
	})
	s.end = func() {
		cancel()
		wait.Wait()
		if err := store.Close(); err != nil {
			s.t.Error(err)
		}
	}
	s.quiet()
	return true
}

func (s *stage) close() { s.end() }

// sceneOf is what chat would start with; fixed says that its operator is set up
// already.
func sceneOf(args []string) (scene rehearsal.Scene, fixed bool, err error) {
	q, err := parseChat(args, stdio{nil, &bytes.Buffer{}, &bytes.Buffer{}})
	if err != nil {
		return scene, false, err
	}
	if q.rehearse {
		scene, err = rehearsal.Open("7")
		return scene, true, err
	}
	sets, err := chatElements(q.elements, &bytes.Buffer{})
	return rehearsal.Scene{Birds: q.birds, Elements: sets, From: q.from.Time}, false, err
}

func operatorIn(t *testing.T, store *storage.Store, id storage.OperatorID) (op storage.Operator, known bool) {
	t.Helper()
	err := store.View(func(v *storage.View) (err error) {
		op, known, err = v.Operator(id)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return op, known
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// quiet lets everything come to rest at this moment, or as soon after as the app's
// pace allows.
func (s *stage) quiet() {
	s.t.Helper()
	next, from := s.next(), time.Now()
	synctest.Wait()
	if err := s.loops.Quiet(s.t.Context()); err != nil {
		s.t.Fatal(err)
	}
	synctest.Wait()
	s.late = s.late || next.After(from) && !next.After(time.Now())
}

// next is the next moment of the agenda, zero if there is none.
func (s *stage) next() time.Time {
	s.t.Helper()
	at, _, err := s.desk.Next()
	if err != nil {
		s.t.Fatal(err)
	}
	return at
}

// until lets the time pass, and stops at each moment of the agenda on its way,
// as the terminal's clock does: the loops themselves look only now and then.
func (s *stage) until(target time.Time) {
	s.t.Helper()
	for {
		at := s.next()
		if at.IsZero() || at.After(target) {
			break
		}
		time.Sleep(time.Until(at))
		synctest.Wait()
		if _, err := s.desk.Due(time.Now().UTC()); err != nil { // the loops are at rest
			s.t.Fatal(err)
		}
		s.quiet()
	}
	s.clock = later(s.clock, target)
	time.Sleep(time.Until(target))
	s.quiet()
}

// behind notes that the app's pace has held the script up.
func (s *stage) behind() {
	s.late = s.late || time.Now().After(s.clock)
}

// follow does what a line of the script says, on the phone.
func (s *stage) follow(line string) {
	s.t.Helper()
	if name, rest, others := strings.Cut(line, " "); others && strings.HasPrefix(name, "@") {
		me := s.person
		defer func() { s.person = me }()
		s.person = s.people[slices.IndexFunc(s.people, func(p *person) bool { return "@"+p.name == name })]
		line = rest
	}
	tilde, ok := strings.CutPrefix(line, "~")
	if !ok {
		text := broken(line)
		s.do(true, func() string { return s.say(text) })
		s.quiet()
		return
	}
	verb, rest, _ := strings.Cut(strings.TrimSpace(tilde), " ")
	about, text, _ := strings.Cut(rest, " ")
	text = broken(text)
	switch verb {
	case "until":
		at, err := time.Parse(time.RFC3339, rest)
		if err != nil {
			s.t.Fatal(err)
		}
		s.until(at)
	case "edit":
		s.do(false, func() string { s.edit(s.id(about), text); return "" })
	case "reply":
		s.do(true, func() string { return s.reply(s.id(about), text) })
	case "relay":
		s.do(true, func() string { return s.relay(broken(rest)) })
	case "tap":
		s.do(false, func() string { s.press(s.id(about), text); return "" })
	case "place":
		s.share(rest)
	case "voice":
		seconds, err := strconv.ParseFloat(rest, 64)
		if err != nil {
			s.t.Fatal(err)
		}
		s.do(true, func() string { return s.voice(time.Duration(seconds * float64(time.Second))) })
	case "file":
		body, err := os.ReadFile(rest)
		if err != nil {
			s.t.Fatal(err)
		}
		s.do(true, func() string { return s.file(filepath.Base(rest), body) })
	case "offline":
		s.off = true
	case "online":
		s.off, s.late = false, true
		for _, do := range s.held {
			do()
		}
		s.held = nil
	default:
		d, err := time.ParseDuration(verb)
		if err != nil {
			s.t.Fatalf("can't follow %q", line)
		}
		s.until(s.clock.Add(d))
	}
	s.quiet()
}

// broken breaks a text's lines where the script has \n.
func broken(text string) string { return strings.ReplaceAll(text, `\n`, "\n") }

// do does something on the phone, now or when it is online again; fresh says
// that it makes a new message, whose number counts from when it was typed.
func (s *stage) do(fresh bool, act func() string) {
	who := s.person
	n := len(who.sent)
	if fresh {
		who.sent = append(who.sent, "")
	}
	do := func() {
		if name := act(); fresh {
			who.sent[n] = name
		}
	}
	s.behind()
	if s.off {
		s.held = append(s.held, do)
		return
	}
	do()
}

// share shares a location, or moves the live one.
func (s *stage) share(rest string) {
	where, live := strings.CutSuffix(rest, " live")
	var v [3]float64
	for i, part := range strings.Split(where, ",") {
		f, err := strconv.ParseFloat(part, 64)
		if err != nil {
			s.t.Fatal(err)
		}
		v[i] = f
	}
	if live && s.live != "" {
		s.do(false, func() string { s.move(s.live, v[0], v[1]); return "" })
		return
	}
	s.do(true, func() string {
		name := s.place(v[0], v[1], v[2], live)
		if live {
			s.live = name
		}
		return name
	})
}

// press taps a button by its label, in any case, or its number. While a heap is
// worked off, the app's pace decides which of its answers goes first: where the
// message of that number has no such button, the last one that has it is meant.
func (s *stage) press(post, label string) {
	s.t.Helper()
	posts := s.posts()
	slices.Reverse(posts)
	for _, name := range slices.Insert(posts, 0, post) {
		labels := s.buttons(name)
		i := slices.IndexFunc(labels, func(l string) bool { return strings.EqualFold(l, label) })
		if n, err := strconv.Atoi(label); i < 0 && err == nil {
			i = n - 1
		}
		if i >= 0 && i < len(labels) {
			s.tap(name, i)
			return
		}
	}
	s.t.Fatalf("no button %q under message %s nor elsewhere", label, post)
}

// id is the app's name of m3, of 3, or of b7.
func (s *stage) id(ref string) string {
	list := s.sent
	digits := strings.TrimPrefix(ref, "m")
	if rest, ok := strings.CutPrefix(ref, "b"); ok {
		digits, list = rest, s.posts()
	}
	n, err := strconv.Atoi(digits)
	if err != nil || n < 1 || n > len(list) {
		s.t.Fatalf("there is no message %q", ref)
	}
	return list[n-1]
}

// numbers is the inverse of id.
func (s *stage) numbers() func(name string) string {
	posts := s.posts()
	return func(name string) string {
		if i := slices.Index(s.sent, name); i >= 0 {
			return fmt.Sprintf("m%d", i+1)
		}
		return fmt.Sprintf("b%d", slices.Index(posts, name)+1)
	}
}
