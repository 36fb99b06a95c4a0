package bot

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/say"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// A field is a desk with one operator who is set up, and the messaging app that
// they write in. All calls are invented.
type field struct {
	t     testing.TB
	desk  *Desk
	store *storage.Store
	now   time.Time
	sent  int64 // the operator's messages
	out   int64 // ours
	said  []Outgoing
	calls int                // stations made up so far
	held  bool               // the service takes nothing: what is owed stays so
	who   storage.OperatorID // whose phone is at hand; empty: the operator's
}

func newField(t testing.TB, now string) *field {
	t.Helper()
	f := &field{t: t, store: storagetest.Open(t), now: utc(now)}
	f.desk = New(Config{Store: f.store, Sky: inventedSky(t), Version: "test"})
	op := storage.Operator{
		ID: "7", Joined: f.now, Cautioned: f.now, Call: parse.MustParseCallsign("HX7KZQ"),
		Place: placeAt("JO62"), Remind: storage.DefaultRemind(),
	}
	f.must(f.desk.SetUp(op, f.now))
	f.until(f.now)
	return f
}

func (f *field) must(err error) {
	f.t.Helper()
	if err != nil {
		f.t.Fatal(err)
	}
}

// until moves the clock, visiting each moment of the agenda on the way.
func (f *field) until(t time.Time) {
	f.t.Helper()
	for {
		next, ok, err := f.desk.Next()
		f.must(err)
		if !ok || next.After(t) {
			break
		}
		if next.After(f.now) {
			f.now = next
		}
		_, err = f.desk.Due(f.now)
		f.must(err)
		f.deliver()
	}
	f.now = t
}

// event sends an event and works it.
func (f *field) event(e event.Event) {
	f.t.Helper()
	e.Operator, e.At = cmp.Or(f.who, "7"), f.now
	if e.ID == "" {
		e.ID = fmt.Sprintf("u%d-%d", f.now.Unix(), f.sent)
	}
	raw, err := event.Encode(e)
	f.must(err)
	f.must(f.desk.Accept(nil, raw))
	f.work()
}

func (f *field) work() {
	f.t.Helper()
	for {
		worked, err := f.desk.Work(f.now)
		f.must(err)
		if !worked {
			break
		}
	}
	f.deliver()
}

func (f *field) deliver() {
	f.t.Helper()
	if f.held {
		return
	}
	owed, err := f.desk.Owed(f.now)
	f.must(err)
	for _, o := range owed {
		o, ok, err := f.desk.Fill(o, f.now)
		f.must(err)
		if !ok {
			continue
		}
		f.out--
		f.must(f.desk.Settled(o.Name, fmt.Sprint(f.out), f.now))
		f.said = append(f.said, o)
	}
}

func (f *field) say(text string) int64 {
	f.t.Helper()
	f.sent++
	f.event(event.Event{Kind: event.Said, Message: f.sent, Text: text})
	return f.sent
}

func (f *field) operator() storage.Operator {
	f.t.Helper()
	var op storage.Operator
	f.must(f.store.View(func(v *storage.View) (err error) {
		op, _, err = v.Operator("7")
		return err
	}))
	return op
}

// contacts returns the latest versions of all contacts.
func (f *field) contacts() []storage.Contact {
	f.t.Helper()
	var all []storage.Contact
	f.must(f.store.View(func(v *storage.View) (err error) {
		all, err = v.Contacts("7", time.Time{}, f.now.Add(48*time.Hour))
		return err
	}))
	return all
}

func TestEventCountsOnce(t *testing.T) {
	f := newField(t, "2026-09-01T13:14:00Z") // OCHRE-1 is up, 13:12:55 to 13:23:46 in passes.csv
	e := event.Event{ID: "u1", Kind: event.Said, Message: 1, Text: "di4zab jo43"}
	f.event(e)
	f.event(e)
	if all := f.contacts(); len(all) != 1 || all[0].Version != 1 {
		t.Fatalf("the same event twice made %+v", all)
	}
}

func TestBrokenEventHoldsNothingUp(t *testing.T) {
	f := newField(t, "2026-09-01T13:14:00Z")
	f.must(f.desk.Accept(nil, storage.Raw{ID: "poison", At: f.now, Body: []byte("{")}))
	f.say("di4zab jo43")
	if all := f.contacts(); len(all) != 1 {
		t.Fatalf("after an unreadable event there are %d contacts, want 1", len(all))
	}
}

func TestPanicIsSetAsideAndTold(t *testing.T) {
	f := newField(t, "2026-09-01T13:14:00Z")
	shared := f.desk.skies.Shared
	f.desk.skies.Shared = nil // planning passes without a sky panics
	f.said = nil
	f.event(event.Event{ID: "u1", Kind: event.Placed, Message: 1, Spot: &event.Spot{LatDeg: 53, LonDeg: 9}})
	if len(f.said) != 1 || f.said[0].Text != say.Broken || f.said[0].ReplyTo != "1" {
		t.Errorf("after a panic the operator is told %+v, want %q", f.said, say.Broken)
	}
	if grids := f.operator().Place.Grids; len(grids) != 1 || grids[0] != parse.MustParseGrid("JO62") {
		t.Errorf("an event that panicked changed the place to %v", grids)
	}
	f.desk.skies.Shared = shared
	f.say("di4zab jo43")
	if all := f.contacts(); len(all) != 1 {
		t.Fatalf("after a panic there are %d contacts, want 1", len(all))
	}
}

func TestEventRoundTrip(t *testing.T) {
	e := event.Event{
		ID: "u1", Operator: "7", At: utc("2026-09-01T13:14:00Z"), Kind: event.Handed, Message: 3, Text: "caption",
		File: &event.Document{Name: "x.tle", Body: []byte{0, 1, 255}},
	}
	raw, err := event.Encode(e)
	if err != nil {
		t.Fatal(err)
	}
	got, err := event.Decode(nil, raw)
	if err != nil {
		t.Fatal(err)
	}
	a, _ := json.Marshal(e)
	b, _ := json.Marshal(got)
	if string(a) != string(b) {
		t.Errorf("got %s, want %s", b, a)
	}
}

// TestPictureGoneIsDropped: what a recipe needs may be gone when it is rendered;
// then the post is dropped and nothing is held up.
func TestPictureGoneIsDropped(t *testing.T) {
	f := newField(t, "2026-09-01T13:00:00Z")
	r := storage.Recipe{Kind: storage.RecipeSky, FileName: "x.png", Pass: "20260901T000000Z-1"}
	for name, recipe := range map[string]*storage.Recipe{"7/a": &r, "7/b": nil, "7/c": {Kind: "statue"}, "7/d": {Kind: storage.RecipeCalendar}} {
		f.must(f.store.Commit(name, f.now, storage.Changes{Posts: []storage.Post{{Name: name, Operator: "7", Op: storage.File, Made: f.now, Recipe: recipe}}}))
	}
	f.said = nil
	f.say("/look")
	if len(f.said) != 1 || f.said[0].Op != storage.File || !bytes.HasPrefix(f.said[0].Body, []byte("\x89PNG")) {
		t.Errorf("sent: %d posts", len(f.said))
	}
	owed, err := f.desk.Owed(f.now)
	if err != nil || len(owed) != 0 {
		t.Errorf("still owed: %v, %v", owed, err)
	}
}
