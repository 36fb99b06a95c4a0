package terminal

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/bot/rehearsal"
	"skyslate/bot/sky"
	"skyslate/storage"
)

// phoneTest is a phone over a store that outlives it, and what the desk got.
type phoneTest struct {
	t     *testing.T
	dir   string
	scene rehearsal.Scene

	events []event.Event
	broken bool // the store fails as soon as something comes in
}

func newPhoneTest(t *testing.T) *phoneTest {
	t.Helper()
	scene, err := rehearsal.Open(Operator)
	if err != nil {
		t.Fatal(err)
	}
	scene.Operator.Cautioned = scene.From // the tests are about the phone, not about that post
	return &phoneTest{t: t, dir: t.TempDir(), scene: scene}
}

// open opens the store and sets a desk up over it.
func (pt *phoneTest) open() (*bot.Desk, func()) {
	pt.t.Helper()
	store, err := storage.Open(filepath.Join(pt.dir, "data"))
	if err != nil {
		pt.t.Fatal(err)
	}
	desk := bot.New(bot.Config{
		Store: store, Sky: sky.New(pt.scene.Birds, pt.scene.Elements),
		Decode: func(v *storage.View, r storage.Raw) (event.Event, error) {
			if pt.broken { // the store is read here: it closes right after that
				go func() {
					if err := store.Close(); err != nil {
						pt.t.Error(err)
					}
				}()
				for range 100 {
					runtime.Gosched()
				}
			}
			e, err := event.Decode(v, r)
			pt.events = append(pt.events, e)
			return e, err
		},
	})
	if err := desk.SetUp(pt.scene.Operator, pt.scene.From); err != nil {
		pt.t.Fatal(err)
	}
	return desk, func() {
		if err := store.Close(); err != nil {
			pt.t.Error(err)
		}
	}
}

// try runs the lines and returns what was printed as JSON, and the error.
func (pt *phoneTest) try(from time.Time, lines ...string) ([]shown, error) {
	pt.t.Helper()
	desk, closed := pt.open()
	defer closed()
	var out bytes.Buffer
	err := Run(pt.t.Context(), Config{
		Desk: desk, In: strings.NewReader(strings.Join(lines, "\n")), Out: &out, JSON: true,
		Dir: filepath.Join(pt.dir, "data"), From: from,
	})
	var all []shown
	for d := json.NewDecoder(&out); d.More(); {
		var s shown
		if err := d.Decode(&s); err != nil {
			pt.t.Fatal(err)
		}
		all = append(all, s)
	}
	return all, err
}

// run is try for lines that can be followed.
func (pt *phoneTest) run(from time.Time, lines ...string) []shown {
	pt.t.Helper()
	all, err := pt.try(from, lines...)
	if err != nil {
		pt.t.Fatal(err)
	}
	return all
}

// shown is what -json prints, as another program would read it.
type shown struct {
	At      time.Time `json:"at"`
	Post    *string   `json:"post"`
	Op      string    `json:"op"`
	To      *string   `json:"to"`
	Text    string    `json:"text"`
	Silent  bool      `json:"silent"`
	Buttons []string  `json:"buttons"`
	Path    *string   `json:"path"`

	Operator storage.OperatorID `json:"operator"`
}

func rings(all []shown) []shown {
	return slices.DeleteFunc(slices.Clone(all), func(s shown) bool { return s.Silent || s.Op != "send" })
}

func posts(all []shown) []string {
	var names []string
	for _, s := range all {
		if s.Post != nil && s.Op != "edit" {
			names = append(names, *s.Post)
		}
	}
	return names
}

// A moment of the agenda is visited where it lies, not where the move ends.
func TestClockVisitsEachMoment(t *testing.T) {
	pt := newPhoneTest(t)
	all := pt.run(pt.scene.From, "~ 5m")
	if len(all) != 1 || all[0].Silent {
		t.Fatalf("got %+v, want one reminder", all)
	}
	if late := all[0].At.Sub(pt.scene.From.Add(2 * time.Minute)); late.Abs() > time.Second {
		t.Errorf("the reminder is stamped %s, want two minutes after the start", all[0].At)
	}
	if *all[0].Post != "b1" || all[0].To != nil || len(all[0].Buttons) == 0 {
		t.Errorf("got %+v", all[0])
	}
}

func TestStampsAndNumbersGoOnAfterRestart(t *testing.T) {
	pt := newPhoneTest(t)
	pt.run(pt.scene.From, "/help", "~ 90s", "/help")
	pt.run(pt.scene.From, "/help")
	pt.run(pt.scene.From.Add(-time.Hour), "/help")
	all := pt.run(pt.scene.From.Add(time.Hour), "/help", "~ until 2027-05-23T13:31:00+01:00", "/help")
	var messages []int64
	var stamps []time.Duration
	for _, e := range pt.events {
		messages = append(messages, e.Message)
		stamps = append(stamps, e.At.Sub(pt.scene.From))
	}
	if want := []int64{1, 2, 3, 4, 5, 6}; !slices.Equal(messages, want) {
		t.Errorf("messages %v, want %v", messages, want)
	}
	const later = 90 * time.Second
	want := []time.Duration{0, later, later, later, time.Hour, 2*time.Hour + time.Minute}
	if !slices.Equal(stamps, want) {
		t.Errorf("stamped %v after the start, want %v", stamps, want)
	}
	last := posts(all)
	if len(last) == 0 || last[0] == "b1" {
		t.Errorf("posts %v after three restarts: the numbers did not go on", last)
	}
}

func TestPhoneLinesMakeEvents(t *testing.T) {
	pt := newPhoneTest(t)
	doc := filepath.Join(pt.dir, "my log.adi")
	if err := os.WriteFile(doc, []byte("<eoh>"), 0o600); err != nil {
		t.Fatal(err)
	}
	pt.run(pt.scene.From,
		`/help\nthere\nis`, "", "   ", "~ edit 1 changed", "~ reply m1 more", "~ reply b1 thanks",
		"~ place 62.5,-7,30", "~ place 62.5,-7 live", "~ 1m", "~ place 62.6,-7 live", "~ file "+doc, "~ voice 4", "/log\r")
	type received struct {
		kind           event.Kind
		message, reply int64
		text           string
	}
	var got []received
	ids := make(map[string]bool)
	for _, e := range pt.events {
		if ids[e.ID] {
			t.Errorf("the ID %s is given twice", e.ID)
		}
		ids[e.ID] = true
		got = append(got, received{e.Kind, e.Message, e.ReplyTo, e.Text})
	}
	want := []received{
		{event.Said, 1, 0, "/help\nthere\nis"},
		{event.Edited, 1, 0, "changed"},
		{event.Said, 2, 1, "more"},
		{event.Said, 3, -1, "thanks"},
		{event.Placed, 4, 0, ""},
		{event.Placed, 5, 0, ""},
		{event.Placed, 5, 0, ""}, // the live one has moved
		{event.Handed, 6, 0, ""},
		{event.Spoken, 7, 0, ""},
		{event.Said, 8, 0, "/log"},
	}
	if !slices.Equal(got, want) {
		t.Errorf("events\n%v\nwant\n%v", got, want)
	}
	if e := pt.events[4]; e.Spot == nil || *e.Spot != (event.Spot{LatDeg: 62.5, LonDeg: -7, AccuracyM: 30}) {
		t.Errorf("place %+v", e.Spot)
	}
	if e := pt.events[7]; e.File == nil || e.File.Name != "my log.adi" || string(e.File.Body) != "<eoh>" {
		t.Errorf("file %+v", e.File)
	}
	if e := pt.events[8]; e.Length != 4*time.Second {
		t.Errorf("voice of %s", e.Length)
	}
}

// Each operator has a phone of their own: numbers, network, buttons; a restart
// changes nothing about that.
func TestPhonesAreApart(t *testing.T) {
	pt := newPhoneTest(t)
	pt.run(pt.scene.From, "/help", "@anna /start", "@anna /help", "@anna ~ offline")
	all := pt.run(pt.scene.From, "@anna ~ edit 1 /log", "/log", "@anna /log", "~ 1m", "@anna ~ online")
	type received struct {
		who     storage.OperatorID
		kind    event.Kind
		message int64
		after   time.Duration
	}
	var got []received
	for _, e := range pt.events {
		got = append(got, received{e.Operator, e.Kind, e.Message, e.At.Sub(pt.scene.From)})
	}
	want := []received{
		{Operator, event.Said, 1, 0},
		{"anna", event.Said, 1, 0},
		{"anna", event.Said, 2, 0},
		{Operator, event.Said, 2, 0},
		{"anna", event.Edited, 1, time.Minute},
		{"anna", event.Said, 3, time.Minute},
	}
	if !slices.Equal(got, want) {
		t.Errorf("events\n%v\nwant\n%v", got, want)
	}
	for _, s := range all {
		if hers := s.Operator == "anna"; hers != s.At.After(pt.scene.From) {
			t.Errorf("to %q at %s: %q", s.Operator, s.At, s.Text)
		}
	}
}

func TestTap(t *testing.T) {
	for _, button := range []string{"%", "1", "lower"} {
		pt := newPhoneTest(t)
		label := pt.run(pt.scene.From, "~ 2m")[0].Buttons[0]
		switch button {
		case "%":
			button = label
		case "lower":
			button = strings.ToLower(label)
		}
		pt.run(pt.scene.From, "~ tap b1 "+button)
		e := pt.events[len(pt.events)-1]
		if e.Kind != event.Tapped || e.Post != -1 || e.Data == "" {
			t.Errorf("tapping %q: event %+v", button, e)
		}
	}
}

// After an edit the buttons are the newest ones; without buttons there is
// nothing to tap.
func TestButtonsAreTheNewest(t *testing.T) {
	m := (&memory{B: 7}).clone()
	m.setButtons(7, [][]storage.Button{{{Label: "Yes", Data: "y"}, {Label: "No", Data: "n"}}, {{Label: "3", Data: "three"}}})
	tap := func(label string) string {
		b, err := m.button(-7, label)
		if err != nil {
			return err.Error()
		}
		return b.Data
	}
	for label, want := range map[string]string{"no": "n", "2": "n", "3": "three", "1": "y"} {
		if got := tap(label); got != want {
			t.Errorf("tapping %q: %q, want %q", label, got, want)
		}
	}
	m.setButtons(7, [][]storage.Button{{{Label: "Undo", Data: "u"}}})
	if got := tap("1"); got != "u" {
		t.Errorf("after an edit: %q, want u", got)
	}
	if got := tap("Yes"); !strings.Contains(got, `"Undo"`) {
		t.Errorf("the error does not name the buttons there are: %s", got)
	}
	m.setButtons(7, nil)
	if got := tap("1"); !strings.Contains(got, "b7 has none") {
		t.Errorf("a post without buttons: %s", got)
	}
	for n := range int64(2 * buttonsKept) {
		m.setButtons(n+8, [][]storage.Button{{{Label: "x", Data: "x"}}})
	}
	if len(m.Buttons) != buttonsKept {
		t.Errorf("the buttons of %d posts are kept, want %d", len(m.Buttons), buttonsKept)
	}
}

func TestOffline(t *testing.T) {
	pt := newPhoneTest(t)
	pt.run(pt.scene.From, "/help", "~ offline", "/log", "~ 5m", "~ edit 1 /help me")
	if n := len(pt.events); n != 1 {
		t.Fatalf("%d events came through while offline", n)
	}
	// A restart changes nothing about that.
	_, err := pt.try(pt.scene.From, "~ tap b2 1")
	if err == nil || !strings.Contains(err.Error(), "online again") {
		t.Errorf("a button that the phone has not got yet: error %v", err)
	}
	all := pt.run(pt.scene.From, "~ 1m", "/passes", "~ online")
	if len(all) == 0 || len(rings(all)) != 1 || all[0].Silent {
		t.Fatalf("got %+v, want the reminder first that was missed", all)
	}
	if at := all[0].At.Sub(pt.scene.From); (at - 2*time.Minute).Abs() > time.Second {
		t.Errorf("the reminder that was missed is stamped %s after the start", at)
	}
	if len(pt.events) != 4 {
		t.Fatalf("%d events, want 4", len(pt.events))
	}
	for i, kind := range []event.Kind{event.Said, event.Edited, event.Said} {
		e := pt.events[i+1]
		if e.Kind != kind || !e.At.Equal(pt.scene.From.Add(6*time.Minute)) {
			t.Errorf("held event %d is %s at %s, want %s at the moment of ~ online", i, e.Kind, e.At, kind)
		}
	}
	if pt.events[1].Message != 2 || pt.events[3].Message != 3 {
		t.Errorf("messages %d and %d, want 2 and 3", pt.events[1].Message, pt.events[3].Message)
	}
	if again := pt.run(pt.scene.From, "~ online"); len(again) > 0 {
		t.Errorf("going online again shows %+v", again)
	}
}

func TestBadLineEndsAndLosesNothing(t *testing.T) {
	pt := newPhoneTest(t)
	big := filepath.Join(pt.dir, "big")
	if err := os.WriteFile(big, make([]byte, event.MaxDocument+1), 0o600); err != nil {
		t.Fatal(err)
	}
	empty := filepath.Join(pt.dir, "empty")
	if err := os.WriteFile(empty, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for line, hint := range map[string]string{
		"~ fly":                             "expected one of",
		"~ until 1999-01-01T00:00:00Z":      "the clock does not go back",
		"~ until 9999-12-31T23:59:59-10:00": "before the year 10000",
		"~ edit 99 x":                       "the last one is m",
		"~ reply b99 x":                     "the bot's messages",
		"~ tap b99 1":                       "the bot's messages",
		"~ file /no/such/file":              "no such file",
		"~ file " + pt.dir:                  "a file that can be read",
		"~ file " + big:                     "at most 20971520 bytes",
		"~ file " + empty:                   "not empty",
	} {
		before := len(pt.events)
		_, err := pt.try(pt.scene.From, "/help", line, "/log")
		var le *LineError
		if !errors.As(err, &le) || le.Line != 2 || !strings.Contains(err.Error(), hint) {
			t.Errorf("%s: error %v, want line 2 and %q", line, err, hint)
		}
		if got := len(pt.events) - before; got != 1 {
			t.Errorf("%s: %d events came through, want the one before it", line, got)
		}
	}
}

func TestLongLines(t *testing.T) {
	pt := newPhoneTest(t)
	pt.run(pt.scene.From, strings.Repeat("x", 100_000))
	if n := len(pt.events[0].Text); n != 100_000 {
		t.Errorf("%d bytes came through", n)
	}
	if _, err := pt.try(pt.scene.From, strings.Repeat("x", 2*maxLine)); err == nil || !strings.Contains(err.Error(), "line 1") {
		t.Errorf("a line of %d bytes: error %v", 2*maxLine, err)
	}
	pt.run(pt.scene.From, "caf\xe9")
	if got := pt.events[len(pt.events)-1].Text; got != "caf\uFFFD" {
		t.Errorf("a line that is not UTF-8 came through as %q", got)
	}
}

// What the operator typed is not shown again on a terminal, only its number.
func TestEchoOnTerminal(t *testing.T) {
	var out bytes.Buffer
	p := printer{out: &out, typed: true}
	at := time.Date(2027, 5, 23, 10, 30, 0, 0, time.UTC)
	if err := errors.Join(p.echo(at, Operator, "m3", "/help"), p.echo(at, Operator, "", "~ 10m")); err != nil {
		t.Fatal(err)
	}
	if want := "2027-05-23 UTC\n10:30:00 m3\n"; out.String() != want {
		t.Errorf("got %q, want %q", out.String(), want)
	}
}
