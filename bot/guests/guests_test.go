package guests

import (
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/bot/sky"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// house is a store and who is let in over it, without an app.
type house struct {
	t      *testing.T
	dir    string
	config Config
	store  *storage.Store
	door   *Guests
	now    time.Time
	woken  int // how often somebody was asked to say notices
}

func newHouse(t *testing.T, c Config) *house {
	t.Helper()
	h := &house{t: t, dir: t.TempDir(), config: c, now: time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)}
	h.store = storagetest.OpenDir(t, h.dir)
	h.open()
	return h
}

// owned is a house with a code for its owner.
func owned(t *testing.T) *house {
	t.Helper()
	return newHouse(t, Config{CodeFile: "owner-code"})
}

// open reads who is let in anew, as a start of the program does.
func (h *house) open() {
	h.t.Helper()
	c := h.config
	c.Desk = bot.New(bot.Config{Store: h.store, Sky: sky.New(nil, nil), Decode: event.Decode, Log: slog.New(slog.DiscardHandler)})
	if c.CodeFile != "" {
		c.CodeFile = filepath.Join(h.dir, c.CodeFile)
	}
	var err error
	if h.door, err = New(c); err != nil {
		h.t.Fatal(err)
	}
	h.door.OnNotice(func() { h.woken++ })
}

// change changes the book alone.
func (h *house) change(do func(*Draft)) {
	h.t.Helper()
	if err := h.door.alter(h.now, do); err != nil {
		h.t.Fatal(err)
	}
}

// hears lets somebody write and returns what it comes to.
func (h *house) hears(op storage.OperatorID, text string) (heard Hearing) {
	h.t.Helper()
	h.now = h.now.Add(time.Minute)
	h.change(func(d *Draft) {
		heard = d.Hear(op, text, func(code string) string { return "https://app.example/" + code })
	})
	return heard
}

// asked is hears with what is then said to them beside the conversation.
func (h *house) asked(op storage.OperatorID, text string) string {
	h.t.Helper()
	h.said(op)
	h.hears(op, text)
	return h.said(op)
}

// said says what is owed to somebody.
func (h *house) said(op storage.OperatorID) string {
	h.t.Helper()
	var all []string
	h.change(func(d *Draft) {
		for _, n := range h.noticesTo(d, op) {
			all = append(all, n.Text)
			d.Said(n.ID)
		}
	})
	return strings.Join(all, "\n")
}

func (h *house) noticesTo(d *Draft, op storage.OperatorID) (all []Notice) {
	for _, n := range d.book.Notices {
		if n.To == op {
			all = append(all, n)
		}
	}
	return all
}

// ownersCode is the code that lets the owner in.
func (h *house) ownersCode() string {
	h.t.Helper()
	code, err := os.ReadFile(h.door.Awaits())
	if err != nil {
		h.t.Fatal(err)
	}
	return strings.TrimSpace(string(code))
}

// let lets the owner in.
func (h *house) let(op storage.OperatorID) {
	h.t.Helper()
	if heard := h.hears(op, "/start "+h.ownersCode()); heard != Starts {
		h.t.Fatalf("the owner's code comes to %d", heard)
	}
	h.said(op)
}

// invitation makes one and returns what a guest has to send.
func (h *house) invitation(boss storage.OperatorID) string {
	h.t.Helper()
	text := h.asked(boss, "/invite")
	_, code, ok := strings.Cut(text, "https://app.example/")
	if !ok || len(code) != 26 {
		h.t.Fatalf("the invitation is %q", text)
	}
	return "/start " + code
}

// holdsNot looks for a text in every byte of every file but the owner's code.
func (h *house) holdsNot(word string) {
	h.t.Helper()
	err := filepath.WalkDir(h.dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || d.Name() == "owner-code" {
			return err
		}
		body, err := os.ReadFile(path)
		if strings.Contains(string(body), word) {
			h.t.Errorf("%s holds %q", d.Name(), word)
		}
		return err
	})
	if err != nil {
		h.t.Error(err)
	}
}

func TestStrangersAndTheOwner(t *testing.T) {
	h := owned(t)
	path := h.door.Awaits()
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Fatalf("the code's file: %v, %v", info, err)
	}
	code := h.ownersCode()
	if heard, told := h.hears("8", "ox9abc jo33"), h.said("8"); heard != Ends || told != textStranger || h.woken != 1 {
		t.Errorf("a stranger comes to %d and is told %q; %d calls to say it", heard, told, h.woken)
	}
	for _, text := range []string{"ox9abc jo33", "", "/start", "/start " + newCode()} {
		if heard, told := h.hears("8", text), h.said("8"); heard != Ends || told != "" {
			t.Errorf("a stranger's %q comes to %d and is told %q", text, heard, told)
		}
	}
	if heard, told := h.hears("9", "/start phone-abcdefghij"), h.said("9"); heard != Ends || told != textCode {
		t.Errorf("a code for a second phone that lets nobody in comes to %d and is told %q", heard, told)
	}
	if h.door.HasOwner() || h.door.Admits("8") || h.door.Admits("") {
		t.Error("a stranger is in")
	}
	if heard, told := h.hears("7", code), h.said("7"); heard != Starts || told != textOwner {
		t.Errorf("the code comes to %d, %q", heard, told)
	}
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) || h.door.Awaits() != "" || !h.door.HasOwner() {
		t.Errorf("the code's file is still there: %v", err)
	}
	if heard := h.hears("8", code); heard != Ends {
		t.Errorf("the code works twice: %d", heard)
	}
	h.open()
	if !h.door.Admits("7") || h.hears("7", "ox9abc jo33") != Passes {
		t.Error("after a restart the owner is not in")
	}
}

// Somebody may be named as an app likes it.
func TestNamesOfAnotherApp(t *testing.T) {
	h := owned(t)
	h.let("@inga:example.org")
	h.hears("@ole:example.org", h.invitation("@inga:example.org"))
	if got := h.asked("@inga:example.org", "/invite list"); !strings.Contains(got, "1  @ole:example.org, in since") {
		t.Errorf("the list: %s", got)
	}
	if h.door.Admits("@ole:example.com") {
		t.Error("somebody else is let in")
	}
}

func TestOpenAndAllowed(t *testing.T) {
	h := newHouse(t, Config{Allow: []storage.OperatorID{"9"}})
	if !h.door.Admits("9") || h.door.Admits("8") || h.hears("9", "/invite") != Ends || h.said("9") != textNotYours {
		t.Error("who is allowed is not let in as they should be")
	}
	if h.door.Awaits() != "" {
		t.Error("an owner is awaited without a file for the code")
	}
	if h := newHouse(t, Config{Open: true}); !h.door.Admits("8") || h.hears("8", "x") != Passes {
		t.Error("the door is not open")
	}
}

// If the disk refuses, nothing has changed, and nothing is said.
func TestChangeFails(t *testing.T) {
	h := owned(t)
	code := h.ownersCode()
	refuses := func(map[string][]byte, ...storage.Raw) error { return errors.New("no room") }
	err := h.door.Change(h.now, refuses, func(d *Draft) (map[string][]byte, []storage.Raw, error) {
		d.Hear("7", code, nil)
		return nil, nil, nil
	})
	if err == nil || h.door.HasOwner() || h.woken != 0 || h.door.Awaits() == "" || h.ownersCode() != code {
		t.Errorf("%v, and yet something has changed", err)
	}
	h.let("7")
}

// What an app keeps reaches the disk together with the book.
func TestChangeKeepsTogether(t *testing.T) {
	h := owned(t)
	values := map[string][]byte{"app": []byte("1")}
	for range 2 {
		err := h.door.Change(h.now, h.store.Accept, func(d *Draft) (map[string][]byte, []storage.Raw, error) {
			d.TurnAway("room")
			return values, []storage.Raw{{ID: "x/1", At: h.now, Body: []byte("{}")}}, nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	app, err := h.store.Kept("app")
	raw, there, err2 := h.store.Oldest()
	if string(app) != "1" || raw.ID != "x/1" || !there || err != nil || err2 != nil || len(values) != 1 {
		t.Errorf("kept %q, %v, %v, %v", app, raw.ID, err, err2)
	}
	if n := h.door.Notices(); len(n) != 1 || n[0] != (Notice{ID: 1, To: "room", Text: textGroup, Leave: true}) {
		t.Errorf("owed: %+v", n)
	}
	h.open()
	if n := h.door.Notices(); len(n) != 1 {
		t.Errorf("owed after a restart: %+v", n)
	}
	h.change(func(d *Draft) { d.Parted("room"); d.TurnAway("room") })
	if n := h.door.Notices(); len(n) != 2 {
		t.Errorf("owed to a group that asks again: %+v", n)
	}
}

func TestBlocked(t *testing.T) {
	h := newHouse(t, Config{Allow: []storage.OperatorID{"7"}})
	h.change(func(d *Draft) { d.Blocked("7"); d.Blocked("8") })
	h.open()
	if !h.door.Gone("7") || h.door.Gone("8") {
		t.Error("who has blocked the bot is not remembered, or a stranger is")
	}
	h.hears("7", "")
	if h.door.Gone("7") {
		t.Error("who writes again is gone")
	}
	h.change(func(d *Draft) { d.Blocked("7") })
	h.change(func(d *Draft) { d.Back("7") })
	if h.door.Gone("7") {
		t.Error("who is back is gone")
	}
}

// An owner who lost their account: an empty file in the code's place asks for
// another one. The former owner is out.
func TestOwnerIsReplaced(t *testing.T) {
	h := owned(t)
	h.let("7")
	h.open()
	if h.door.Awaits() != "" {
		t.Fatal("an owner is awaited though nobody asked for one")
	}
	if err := os.WriteFile(filepath.Join(h.dir, "owner-code"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	h.open()
	path := h.door.Awaits()
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Fatalf("the code's file: %v, %v", info, err)
	}
	if got := h.asked("7", "/invite list"); got != textNoInvites {
		t.Errorf("until the new one comes, the owner gets %q", got)
	}
	h.open() // the code asked for outlives a restart
	code := h.ownersCode()
	h.let("8")
	if got := h.asked("8", "/invite list"); got != textNoInvites {
		t.Errorf("the new owner gets %q", got)
	}
	if got := h.said("7"); got != textReplaced {
		t.Errorf("the former owner hears %q", got)
	}
	for i, text := range []string{"/invite", "ox9abc jo33", code} {
		want := ""
		if i == 0 {
			want = textStranger
		}
		if heard, got := h.hears("7", text), h.said("7"); heard != Ends || got != want {
			t.Errorf("the former owner's %q comes to %d, %q", text, heard, got)
		}
	}
	// The used code back in its place, as from a copy of the directory.
	if err := os.WriteFile(path, []byte(code), 0o600); err != nil {
		t.Fatal(err)
	}
	h.open()
	if got := h.asked("7", code); got != "" || h.door.Awaits() != "" || exists(path) {
		t.Errorf("a code that was used gets %q", got)
	}
}

// An owner who is forgotten leaves a bot that waits for another one, and of a
// guest nothing is left.
func TestForgotten(t *testing.T) {
	h := owned(t)
	h.let("7")
	h.hears("70008", h.invitation("7"))
	h.change(func(d *Draft) { d.Blocked("70008"); d.Tell("70008", "x") })
	for _, op := range []storage.OperatorID{"70008", "7", "7"} { // again, as after a crash
		if _, err := h.door.forget(op); err != nil {
			t.Fatal(err)
		}
	}
	for _, key := range []string{bookKey, personKey("70008"), guestKey(1)} {
		kept, err := h.store.Kept(key)
		if err != nil || strings.Contains(string(kept), "70008") || key != bookKey && kept != nil {
			t.Errorf("%s: %s, %v", key, kept, err)
		}
	}
	if got := h.asked("7", "/invite"); got != textStranger || h.door.HasOwner() {
		t.Errorf("afterwards the owner gets %q", got)
	}
	h.let("8")
	if got := h.asked("8", "/invite list"); got != textNoInvites {
		t.Errorf("the next owner gets %q", got)
	}
}

// The owner is told of what failed once a day.
func TestFaultsAreTold(t *testing.T) {
	h := owned(t)
	fail := func() {
		h.now = h.now.Add(time.Minute)
		raw := storage.Raw{ID: fmt.Sprint("x/", h.now.Unix()), At: h.now, Body: []byte("{}")}
		if err := errors.Join(h.store.Accept(nil, raw), h.store.SetAside(raw.ID, "why", h.now)); err != nil {
			t.Fatal(err)
		}
	}
	told := func() string {
		if err := h.door.TellOfFaults(h.now); err != nil {
			t.Fatal(err)
		}
		return h.said("7")
	}
	fail()
	if h.let("7"); !strings.Contains(told(), "read: 1 (kept)") {
		t.Error("the owner is not told")
	}
	fail()
	if got := told(); got != "" {
		t.Errorf("told twice on one day: %q", got)
	}
	if h.now = h.now.Add(faultsAgain); !strings.Contains(told(), "read: 1 (kept)") {
		t.Error("the owner is not told the next day")
	}
	if h.now = h.now.Add(3 * faultsAgain); told() != "" {
		t.Error("told of nothing")
	}
}

// However many people are in, a message of one of them writes no more.
func TestChangeWritesWhatChanged(t *testing.T) {
	h := owned(t)
	h.let("7")
	h.asked("7", "/invite list") // so that nothing is owed
	for n := range 30 {
		h.hears(storage.OperatorID(fmt.Sprint(70000+n)), h.invitation("7"))
	}
	for what, c := range map[string]struct {
		do   func(*Draft)
		want []string
	}{
		"a line":      {func(d *Draft) { d.Hear("70001", "ox9abc jo33", nil) }, nil},
		"a block":     {func(d *Draft) { d.Blocked("70002") }, []string{personKey("70002")}},
		"a back":      {func(d *Draft) { d.Back("70003") }, nil},
		"putting out": {func(d *Draft) { d.takeBack(5) }, []string{bookKey, guestKey(5), personKey("70004"), saidKey}},
	} {
		err := h.door.Change(h.now, func(keep map[string][]byte, _ ...storage.Raw) error {
			if got := slices.Sorted(maps.Keys(keep)); !slices.Equal(got, c.want) {
				t.Errorf("%s writes %q, want %q", what, got, c.want)
			}
			return errors.New("not written")
		}, func(d *Draft) (map[string][]byte, []storage.Raw, error) {
			c.do(d)
			return nil, nil, nil
		})
		if err == nil {
			t.Errorf("%s was not asked for", what)
		}
	}
	if got := h.asked("7", "/invite list 4"); !strings.Contains(got, "1  no. 70000") || !strings.Contains(got, "3  no. 70002") {
		t.Errorf("the last page of the list: %s", got)
	}
}

func TestStrangersAreBounded(t *testing.T) {
	b := book{}.clone()
	now := time.Date(2026, 5, 1, 0, 0, 0, 0, time.UTC)
	for i := range 2 * mostTold {
		b.tellOnce(Notice{To: storage.OperatorID(fmt.Sprint(i)), Text: textStranger}, now)
	}
	if len(b.Told) != mostTold || len(b.Notices) != mostTold {
		t.Errorf("%d told, %d notices", len(b.Told), len(b.Notices))
	}
	b.tellOnce(Notice{To: "1", Text: textStranger}, now.Add(toldFor+time.Hour))
	if len(b.Told) != 1 {
		t.Errorf("%d told after a month", len(b.Told))
	}
}

// operator gives somebody a call.
func (h *house) operator(op storage.OperatorID, call string) {
	h.t.Helper()
	err := h.door.desk.SetUp(storage.Operator{
		ID: op, Joined: h.now, Cautioned: h.now, Call: parse.MustParseCallsign(call), Remind: storage.DefaultRemind(),
	}, h.now)
	if err != nil {
		h.t.Fatal(err)
	}
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}
