package storage

import (
	"bytes"
	"crypto/rand"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"skyslate/parse"
	"skyslate/storage/block"
	"skyslate/storage/keys"
	"skyslate/storage/salvage"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// A commit whose outcome the library doesn't know is in the file or it isn't:
// the transaction that saw the event tells.
func TestAskSeen(t *testing.T) {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var id int
	err = s.update(func(t *tx) {
		id = t.ID()
		t.takeEvent("e", time.Time{})
	})
	if err != nil {
		t.Fatal(err)
	}
	cause := os.ErrDeadlineExceeded
	for what, c := range map[string]struct {
		event string
		id    int
		want  error
	}{
		"it is there":         {"e", id, nil},
		"an earlier one is":   {"e", id + 1, cause},
		"nothing is":          {"f", id, cause},
		"none began":          {"f", 0, cause},
		"another transaction": {"e", id - 1, cause},
	} {
		if got := s.askSeen(c.event, c.id, cause); got != c.want {
			t.Errorf("%s: %v", what, got)
		}
	}
}

// The file is taken away under the store: the commit fails, the store opens
// it again, and the next try goes through, once.
func TestReopensAfterAFailure(t *testing.T) {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	changes := Changes{Operator: &Operator{ID: "70012"}, Contacts: []Contact{{Operator: "70012", ID: 1, Version: 1}}}
	if err := libraryOf(t, s).Close(); err != nil {
		t.Fatal(err)
	}
	if err := s.Commit("e", time.Time{}, changes); err == nil {
		t.Fatal("a commit went into a closed file")
	}
	for range 2 {
		if err := s.Commit("e", time.Time{}, changes); err != nil {
			t.Fatal(err)
		}
	}
	h, err := historyOf(s, "70012", 1)
	if err != nil || len(h) != 1 {
		t.Errorf("history: %v %v", h, err)
	}
}

// libraryOf is the database of a store as the library knows it.
func libraryOf(t *testing.T, s *Store) (db *bolt.DB) {
	t.Helper()
	if err := s.read(func(t *tx) { db = t.DB() }); err != nil {
		t.Fatal(err)
	}
	return db
}

func historyOf(s *Store, op OperatorID, id uint64) (h []Contact, err error) {
	err = s.View(func(v *View) error {
		h, err = v.History(op, id)
		return err
	})
	return h, err
}

// A panic of the caller's own passes through a view and leaves the store sound.
func TestPanicInAViewPasses(t *testing.T) {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	func() {
		defer func() {
			if r := recover(); r != "mine" {
				t.Errorf("recovered %v", r)
			}
		}()
		_ = s.View(func(*View) error { panic("mine") })
	}()
	if err := s.Accept(nil, Raw{ID: "e"}); err != nil {
		t.Error(err)
	}
}

// The file is cut short while it is open: an error, not the end of the process.
func TestCutShortWhileOpen(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for n := range 50 {
		if err := s.Accept(nil, Raw{ID: strings.Repeat("x", n+1), Body: make([]byte, 3000)}); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Truncate(filepath.Join(dir, databaseName), 2*4096); err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.Oldest(); err == nil {
		t.Error("it was read")
	}
}

// With no room a commit changes nothing and says so; with room again it goes
// through.
func TestNoSpace(t *testing.T) {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	big := Raw{ID: "big", Body: make([]byte, 1<<20)}
	_, _ = rand.Read(big.Body) // which can't be packed
	info, err := os.Stat(s.path)
	if err != nil {
		t.Fatal(err)
	}
	db := libraryOf(t, s)
	db.MaxSize = int(info.Size())
	if err := s.Accept(nil, big); !errors.Is(err, ErrNoSpace) {
		t.Errorf("accept: %v", err)
	}
	if _, ok, err := s.Oldest(); ok || err != nil {
		t.Errorf("the inbox holds something: %v %v", ok, err)
	}
	db.MaxSize = 0
	if err := s.Accept(nil, big); err != nil {
		t.Errorf("accept with room: %v", err)
	}
}

// Of a bucket that is only partly salvaged, the older copy fills the gaps; what
// was worked since doesn't come back.
func TestTakeOverJoinsWhatIsIncomplete(t *testing.T) {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	posts := func(names ...string) (c Changes) {
		for _, n := range names {
			c.Posts = append(c.Posts, Post{Name: n, Operator: "70012", Op: Send})
		}
		return c
	}
	err = errors.Join(
		s.Accept(nil, Raw{ID: "worked since"}, Raw{ID: "waits"}),
		s.Commit("e", time.Time{}, posts("old", "older")),
	)
	if err != nil {
		t.Fatal(err)
	}
	g := salvage.New(schema.SalvageRules())
	add := func(name string, key []byte, v any) {
		payload, err := table.Encode(v)
		if err != nil {
			t.Fatal(err)
		}
		g.Take(key, block.Seal(name, key, payload), true)
	}
	add(schema.Seen, keys.Text("worked since"), sighting{})
	add(schema.Posts, keys.Text("new"), outPost{Post: Post{Name: "new", Operator: "70012", Op: Send}, Seq: 2})
	if err := errors.Join(s.update(func(t *tx) { mender{t}.takeOver(g) }), s.learn()); err != nil {
		t.Fatal(err)
	}
	if r, _, err := s.Oldest(); r.ID != "waits" || err != nil {
		t.Errorf("head of the inbox: %q %v", r.ID, err)
	}
	owed, err := s.Owed(time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	var names strings.Builder
	for _, p := range owed {
		names.WriteString(p.Name + " ")
	}
	if names.String() != "old new older " {
		t.Errorf("owed: %s", names.String())
	}
}

// Every field of an operator is a setting, which the journal keeps and gives back, or
// belongs to the conversation, which the database alone knows.
func TestSettingsAreKept(t *testing.T) {
	conversation := []string{
		"Asking", "Chosen", "Listed", "Decided", "Own", "Bulks", "Heard", "Delivery", "Silent", "Planned", "Cautioned", "Advised", "Evened",
		"Outings", "Missed", "Flow", "Stored", "Former", "Agenda", "Tidied", "Differed", "Differs", "Phones", "Offer", "Question",
	}
	place := Place{LatDeg: 62.5}
	all := Operator{
		ID: "7", Joined: time.Unix(1, 0), Call: parse.MustParseCallsign("HX7KZQ"), Place: place, Home: place,
		Remind: DefaultRemind(), Radio: Radio{StepKHz: 5}, Wanted: []parse.Grid{parse.MustParseGrid("JO33")}, Given: 9, Phoned: 2, Question: "7/ask/1",
		Agreeing: Agreeing{Call: parse.MustParseCallsign("HX7KZQ"), Since: time.Unix(2, 0)},
	}
	kept := reflect.ValueOf(settingsOf(all))
	for i, field := range reflect.VisibleFields(kept.Type()) {
		if lost := kept.Field(i).IsZero(); lost != slices.Contains(conversation, field.Name) {
			t.Errorf("%s is lost with the database: %v", field.Name, lost)
		}
	}
}

// Whatever is left of an operator makes the operator known again: contacts that
// steps alone name are lost ones of somebody.
func TestMendAdoptsWhoeverIsLeft(t *testing.T) {
	for what, left := range map[string]Changes{
		"a step":    {Steps: []Step{{Operator: "7", Seq: 1, Moves: []Move{{Contact: 3, To: 2}}}}},
		"a sitting": {Sittings: []Sitting{{Operator: "7", ID: 1}}},
		"a message": {Messages: []Message{{Operator: "7", ID: 1}}},
	} {
		s, err := Open(t.TempDir())
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Commit("e", time.Time{}, left); err != nil {
			t.Fatal(err)
		}
		err = s.update(func(t *tx) { mender{t}.unhook(); mender{t}.mend(mending{}) })
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		err = s.read(func(tx *tx) {
			if !tx.holds(recordName{op: "7"}) {
				t.Errorf("%s is of an unknown operator", what)
			}
			if c, known := tx.latest("7", 3); known != (what == "a step") || known && c.Cause.Kind != causeLost {
				t.Errorf("%s: contact 3 is %+v", what, c)
			}
		})
		if err := errors.Join(err, s.Close()); err != nil {
			t.Error(err)
		}
	}
}

// A run of the agenda, of posts or of events holds entries of several operators: where
// one is lost all are told; where it was one operator's, that one alone is.
func TestMendTellsWhoeverMayMissSomething(t *testing.T) {
	for what, tt := range map[string]struct {
		hurt []byte
		told []OperatorID
	}{
		"a run of the agenda":     {keys.Text("import/7/log"), []OperatorID{"7", "8"}},
		"one operator's messages": {opKey("7", keys.Int(3)), []OperatorID{"7"}},
		"an index by moment":      {keys.Time(time.Unix(1_800_000_000, 0)), nil},
		"an index by number":      {keys.Uint(1), nil},
	} {
		s, err := Open(t.TempDir())
		if err != nil {
			t.Fatal(err)
		}
		for _, op := range []OperatorID{"7", "8"} {
			if err := s.Commit("join/"+string(op), time.Time{}, Changes{Operator: &Operator{ID: op}}); err != nil {
				t.Fatal(err)
			}
		}
		err = s.update(func(t *tx) { mender{t}.mend(mending{Losses: Losses{All: true}, Hurt: [][]byte{tt.hurt}}) })
		var told []OperatorID
		for _, op := range []OperatorID{"7", "8"} {
			err := s.read(func(tx *tx) {
				if tx.In(schema.Kept).Has(keys.Text(OwnKey(op, LostKey))) {
					told = append(told, op)
				}
			})
			if err != nil {
				t.Error(err)
			}
		}
		if !slices.Equal(told, tt.told) {
			t.Errorf("%s is lost: %q are told, not %q", what, told, tt.told)
		}
		if err := errors.Join(err, s.Close()); err != nil {
			t.Error(err)
		}
	}
}

// Of a message that waited and is damaged nobody knows whose it was: all are told.
func TestLostWhileItWaited(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	ops := []OperatorID{"7", "8"}
	for _, op := range ops {
		if err := s.Commit("join/"+string(op), time.Time{}, Changes{Operator: &Operator{ID: op}}); err != nil {
			t.Fatal(err)
		}
	}
	err = s.Accept(nil, Raw{ID: "7/waits", From: "7", Body: []byte("OX9QZT KP15")}, Raw{ID: "7/next", From: "7"})
	if err := errors.Join(err, s.Close()); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, databaseName)
	body, err := os.ReadFile(path)
	damaged := bytes.ReplaceAll(body, []byte(`{"id":"7/waits"`), []byte(`{"id":"5/waits"`))
	if err != nil || bytes.Equal(damaged, body) {
		t.Fatal("nothing is damaged", err)
	}
	if err := os.WriteFile(path, damaged, 0o600); err != nil {
		t.Fatal(err)
	}
	if s, err = Open(dir); err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.read(func(t2 *tx) {
		for _, op := range ops {
			if !t2.In(schema.Kept).Has(keys.Text(OwnKey(op, LostKey))) {
				t.Errorf("%s isn't told", op)
			}
		}
	})
	if err != nil {
		t.Error(err)
	}
	if r, ok, err := s.Oldest(); err != nil || !ok || r.ID != "7/next" {
		t.Errorf("the next to be worked is %q, %v, %v", r.ID, ok, err)
	}
}

// An event that holds an operator's name, in the middle or at its end, goes with
// the operator.
func TestNamesOperator(t *testing.T) {
	for event, want := range map[string]bool{
		"remind/7/20270523T104200Z-99901": true, "setup/7": true, "7": true,
		"setup/77": false, "remind/17/7x": false, "": false,
	} {
		if got := namesOperator(keys.Text(event), "7"); got != want {
			t.Errorf("%q: %v, want %v", event, got, want)
		}
	}
}

// The first error of a transaction is its outcome, whoever passes over it: a view
// returns it, and a commit changes nothing.
func TestFirstErrorStays(t *testing.T) {
	dir := someStore(t)
	tamper(t, dir, func(t *tx) { t.In(schema.Handed).Put(opKey("70012", keys.Uint(1)), []byte("no envelope")) })
	s := &Store{dir: dir, path: filepath.Join(dir, databaseName)}
	var err error
	if s.file, err = schema.Open(s.path, false); err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.View(func(v *View) error {
		if _, ok := v.HandedOver("70012", 1); ok {
			t.Error("what can't be read is handed over")
		}
		if _, _, err := v.Operator("70012"); !errors.Is(err, ErrDamaged) {
			t.Errorf("the next read: %v", err)
		}
		return nil
	})
	if !errors.Is(err, ErrDamaged) {
		t.Errorf("view: %v", err)
	}
	again := Changes{Operator: &Operator{ID: "70012"}, Handed: []ContactRef{{ID: 1, Version: 1}}, Cancel: []string{"k"}}
	if err := s.Commit("e", time.Time{}, again); !errors.Is(err, ErrDamaged) {
		t.Errorf("commit: %v", err)
	}
	if _, ok, err := s.Next(); !ok || err != nil {
		t.Errorf("the agenda after it: %v %v", ok, err)
	}
}

// Operators are found in keys as a whole, also where their names have slashes.
func TestNamesOperatorWhole(t *testing.T) {
	for _, c := range []struct {
		key   string
		op    OperatorID
		names bool
	}{
		{"remind/7/20270523T104200Z-99901", "7", true},
		{"remind/77/20270523T104200Z-99901", "7", false},
		{"setup/7\x00", "7", true},
		{"guests/person/@anna/field:example.org", "@anna/field:example.org", true},
		{"own/@anna/field:example.org/import/3", "@anna/field:example.org", true},
		{"guests/person/@anna/field:example.org", "@anna", true}, // one too many rather than one too few
		{"guests/person/@anna/fields:example.org", "@anna/field:example.org", false},
	} {
		if is := namesOperator([]byte(c.key), c.op); is != c.names {
			t.Errorf("%q names %s: %v", c.key, c.op, is)
		}
		if is := namesOneOf(strings.TrimSuffix(c.key, "\x00"), []string{"?", who(c.op)}); is != c.names {
			t.Errorf("%q names %s in the journal: %v", c.key, c.op, is)
		}
	}
}
