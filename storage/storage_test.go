package storage_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// All of these are invented.
const (
	op    storage.OperatorID = "70012"
	other storage.OperatorID = "7001" // a prefix of op: keys must not mix
)

var (
	t0   = time.Date(2026, 11, 24, 17, 42, 5, 0, time.UTC)
	mine = parse.MustParseCallsign("OX9QZT")
)

func operator(id storage.OperatorID) *storage.Operator {
	return &storage.Operator{ID: id, Joined: t0, Call: mine}
}

func pass(id storage.OperatorID, aos time.Time, long time.Duration) storage.Pass {
	return storage.Pass{
		ID:       storage.PassID(aos.UTC().Format("20060102T150405Z") + "-99001"),
		Operator: id, Bird: storage.BirdRef{Name: "LARK-1", LogName: "LARK-1", Catalog: 99001},
		AOS: aos, TCA: aos.Add(long / 2), LOS: aos.Add(long),
	}
}

func contact(id storage.OperatorID, n uint64, version int, call string) storage.Contact {
	c := storage.Contact{
		Operator: id, ID: n, Version: version, Made: t0, State: storage.Certain,
		Text: call, Time: t0.Add(time.Duration(n) * time.Minute), OwnCall: mine,
	}
	if call != "" {
		c.Call = parse.MustParseCallsign(call)
	}
	return c
}

func commit(t testing.TB, s *storage.Store, event string, c storage.Changes) {
	t.Helper()
	if err := s.Commit(event, t0, c); err != nil {
		t.Fatal(err)
	}
}

func view(t testing.TB, s *storage.Store, fn func(*storage.View) error) {
	t.Helper()
	if err := s.View(fn); err != nil {
		t.Fatal(err)
	}
}

func noError(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func same(t testing.TB, what string, got, want any) {
	t.Helper()
	if diff := cmp.Diff(want, got, cmpopts.EquateComparable(parse.Callsign{}, parse.Grid{}, parse.Clock{})); diff != "" {
		t.Errorf("%s (-want +got):\n%s", what, diff)
	}
}

// ids are the IDs and versions of contacts, for short comparisons.
func ids(cs []storage.Contact) string {
	var text strings.Builder
	for _, c := range cs {
		text.WriteString(fmt.Sprintf("%d.%d ", c.ID, c.Version))
	}
	return text.String()
}

func TestModesAndFiles(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	storagetest.OpenDir(t, dir)
	for name, want := range map[string]os.FileMode{
		".": 0o700 | os.ModeDir, "skyslate.db": 0o600, "contacts.journal": 0o600,
	} {
		info, err := os.Stat(filepath.Join(dir, name))
		noError(t, err)
		same(t, name, info.Mode(), want)
	}
}

func TestLeftoversAreSwept(t *testing.T) {
	dir := t.TempDir()
	noError(t, os.Mkdir(inDir(dir, "backups"), 0o700))
	for _, name := range []string{
		"skyslate.db.restored", "skyslate.db.restored.new", "skyslate.db.compact", "contacts.journal.new",
		"backups/skyslate-20261124T174205Z.db.partial", "notes.new", "skyslate.new.txt",
	} {
		noError(t, os.WriteFile(inDir(dir, name), []byte("half"), 0o600))
	}
	storagetest.OpenDir(t, dir)
	var left []string
	for _, p := range append(glob(t, dir, "*"), glob(t, dir, "backups/*")...) {
		left = append(left, filepath.Base(p))
	}
	same(t, "left", left, []string{"backups", "contacts.journal", "notes.new", "skyslate.db", "skyslate.new.txt"})
}

func TestInboxKeepsOrderAndForgetsRepeats(t *testing.T) {
	s := storagetest.Open(t)
	raw := func(id string) storage.Raw { return storage.Raw{ID: id, At: t0, Body: []byte("body of " + id)} }
	noError(t, s.Accept(map[string][]byte{"offset": []byte("5")}, raw("9"), raw("4"), raw("9")))
	noError(t, s.Accept(nil, raw("4"), raw("1")))

	var got []string
	for {
		r, ok, err := s.Oldest()
		noError(t, err)
		if !ok {
			break
		}
		got = append(got, r.ID)
		same(t, "body", string(r.Body), "body of "+r.ID)
		if r.ID == "4" {
			noError(t, s.SetAside("4", "it can't be read", t0))
			continue
		}
		commit(t, s, r.ID, storage.Changes{})
	}
	same(t, "order", got, []string{"9", "4", "1"})

	noError(t, s.Accept(nil, raw("9"), raw("4"), raw("1")))
	if _, ok, _ := s.Oldest(); ok {
		t.Error("what was worked or set aside was accepted again")
	}
	kept, err := s.Kept("offset")
	noError(t, err)
	same(t, "kept", string(kept), "5")
	kept, err = s.Kept("nothing")
	noError(t, err)
	same(t, "not kept", kept == nil, true)
}

func TestCommitIsOnce(t *testing.T) {
	s := storagetest.Open(t)
	noError(t, s.Accept(nil, storage.Raw{ID: "e", At: t0}))
	c := storage.Changes{
		Operator: operator(op), Contacts: []storage.Contact{contact(op, 1, 1, "OX9QZU")},
		Posts: []storage.Post{{Name: "ack/e", Operator: op, Op: storage.Send, Text: "1"}},
	}
	commit(t, s, "e", c)
	commit(t, s, "e", c)
	if _, ok, _ := s.Oldest(); ok {
		t.Error("the event is still in the inbox")
	}
	view(t, s, func(v *storage.View) error {
		cs, err := v.History(op, 1)
		same(t, "history", ids(cs), "1.1 ")
		same(t, "next contact", v.NextContact(op), uint64(2))
		same(t, "another's next contact", v.NextContact(other), uint64(1))
		return err
	})
	owed, err := s.Owed(t0)
	noError(t, err)
	same(t, "owed", len(owed), 1)
}

func TestCommitIsAllOrNothing(t *testing.T) {
	s := storagetest.Open(t)
	commit(t, s, "join", storage.Changes{Operator: operator(op)})
	noError(t, s.Accept(nil, storage.Raw{ID: "e", At: t0}))
	long := pass(op, t0, 25*time.Hour)
	unknown := contact(op, 1, 1, "OX9QZU")
	unknown.Pass = "nowhere"
	for name, c := range map[string]storage.Changes{
		"version 2 first":     {Contacts: []storage.Contact{contact(op, 1, 2, "OX9QZU")}},
		"no ID":               {Contacts: []storage.Contact{contact(op, 0, 1, "OX9QZU")}},
		"unknown operator":    {Contacts: []storage.Contact{contact(other, 1, 1, "OX9QZU")}},
		"unknown pass":        {Contacts: []storage.Contact{unknown}},
		"a pass over a day":   {Passes: []storage.Pass{long}},
		"a zero byte":         {Posts: []storage.Post{{Name: "a\x00b", Operator: op}}},
		"a post for nobody":   {Posts: []storage.Post{{Name: "a"}}},
		"a moment without":    {Agenda: []storage.Item{{At: t0}}},
		"a message of nobody": {Messages: []storage.Message{{ID: 1}}},
		"a step of nobody":    {Steps: []storage.Step{{Seq: 1}}},
	} {
		t.Run(name, func(t *testing.T) {
			c.Posts = append(c.Posts, storage.Post{Name: "note", Operator: op, Op: storage.Send})
			if err := s.Commit("e", t0, c); !errors.Is(err, storage.ErrRefused) {
				t.Errorf("committing it ends with %v, want a refusal", err)
			}
			if _, ok, _ := s.Oldest(); !ok {
				t.Error("the event has left the inbox")
			}
			if owed, _ := s.Owed(t0); len(owed) != 0 {
				t.Error("a part of it was committed")
			}
		})
	}
}

func TestContactsByPassCallAndTime(t *testing.T) {
	s := storagetest.Open(t)
	p, q := pass(op, t0, 10*time.Minute), pass(op, t0.Add(time.Hour), 10*time.Minute)
	a, b, c := contact(op, 1, 1, "OX9QZU"), contact(op, 2, 1, "OX9QZV"), contact(op, 3, 1, "")
	a.Pass, b.Pass = p.ID, p.ID
	theirs := contact(other, 1, 1, "OX9QZU")
	commit(t, s, "e1", storage.Changes{Operator: operator(other), Contacts: []storage.Contact{theirs}})
	commit(t, s, "e2", storage.Changes{Operator: operator(op), Passes: []storage.Pass{p, q}, Contacts: []storage.Contact{a, b, c}})
	b2 := contact(op, 2, 2, "OX9QZU")
	b2.Pass, b2.Time = q.ID, t0.Add(time.Hour)
	commit(t, s, "e3", storage.Changes{Contacts: []storage.Contact{b2}})

	view(t, s, func(v *storage.View) error {
		for what, find := range map[string]func() ([]storage.Contact, error){
			"1.1 ":         func() ([]storage.Contact, error) { return v.ContactsOfPass(op, p.ID) },
			"2.2 ":         func() ([]storage.Contact, error) { return v.ContactsOfPass(op, q.ID) },
			"3.1 ":         func() ([]storage.Contact, error) { return v.ContactsOfPass(op, "") },
			"1.1 2.2 ":     func() ([]storage.Contact, error) { return v.ContactsOfCall(op, a.Call) },
			"":             func() ([]storage.Contact, error) { return v.ContactsOfCall(op, b.Call) },
			"1.1 3.1 2.2 ": func() ([]storage.Contact, error) { return v.Contacts(op, t0, t0.Add(2*time.Hour)) },
			"1.1 3.1 ":     func() ([]storage.Contact, error) { return v.Contacts(op, a.Time, b2.Time) },
			"2.2 3.1 1.1 ": func() ([]storage.Contact, error) { return backwards(v, op, t0, t0.Add(2*time.Hour), 9) },
			"2.2 3.1 ":     func() ([]storage.Contact, error) { return backwards(v, op, t0, t0.Add(2*time.Hour), 2) },
			"3.1 1.1 ":     func() ([]storage.Contact, error) { return backwards(v, op, a.Time, b2.Time, 9) },
			"2.1 2.2 ":     func() ([]storage.Contact, error) { return v.History(op, 2) },
		} {
			got, err := find()
			noError(t, err)
			same(t, what, ids(got), what)
		}
		latest, _, err := v.Contact(op, 2)
		noError(t, err)
		same(t, "latest", latest, b2)
		old, _, err := v.ContactAt(op, 2, 1)
		noError(t, err)
		same(t, "version 1", old, b)
		_, ok, err := v.Contact(op, 4)
		same(t, "unknown", ok, false)
		return err
	})
}

// backwards are at most so many contacts of a range of time, the latest first.
func backwards(v *storage.View, op storage.OperatorID, from, to time.Time, most int) ([]storage.Contact, error) {
	var all []storage.Contact
	err := v.VisitLatest(op, from, to, func(c storage.Contact) bool {
		all = append(all, c)
		return len(all) < most
	})
	return all, err
}

func TestPassesThatOverlap(t *testing.T) {
	s := storagetest.Open(t)
	at := func(minutes int) time.Time { return t0.Add(time.Duration(minutes) * time.Minute) }
	long, first, second := pass(op, at(-600), 650*time.Minute), pass(op, at(0), 10*time.Minute), pass(op, at(30), 10*time.Minute)
	second.ID += "x"
	commit(t, s, "e", storage.Changes{Operator: operator(op), Passes: []storage.Pass{second, first, long}})
	second.AOS, second.LOS = at(31), at(42) // fresher elements
	commit(t, s, "f", storage.Changes{Passes: []storage.Pass{second}})
	for _, c := range []struct {
		from, to int
		want     string
	}{
		{-700, -600, ""},
		{-700, 0, "long "},
		{-700, 1, "long first "},
		{9, 31, "long first "},
		{10, 32, "long second "},
		{41, 100, "long second "},
		{42, 100, "long "},
		{50, 100, ""},
	} {
		view(t, s, func(v *storage.View) error {
			ps, err := v.Passes(op, at(c.from), at(c.to))
			var got strings.Builder
			for _, p := range ps {
				got.WriteString(map[storage.PassID]string{long.ID: "long ", first.ID: "first ", second.ID: "second "}[p.ID])
			}
			same(t, fmt.Sprintf("from %d to %d", c.from, c.to), got.String(), c.want)
			return err
		})
	}
}

func TestMessagesAndSteps(t *testing.T) {
	s := storagetest.Open(t)
	m := func(id int64, p storage.PassID, text string) storage.Message {
		return storage.Message{Operator: op, ID: id, At: t0, Pass: p, Text: text}
	}
	step := func(n uint64, undone bool) storage.Step {
		return storage.Step{Operator: op, Seq: n, At: t0, Undone: undone}
	}
	commit(t, s, "e", storage.Changes{
		Operator: operator(op),
		Messages: []storage.Message{m(12, "p", "b"), m(-3, "p", "a"), m(13, "", "note")},
		Steps:    []storage.Step{step(1, false), step(2, false), step(3, false)},
	})
	commit(t, s, "f", storage.Changes{
		Messages: []storage.Message{m(12, "q", "b, edited")},
		Steps:    []storage.Step{step(3, true), step(2, true)},
	})
	view(t, s, func(v *storage.View) error {
		for p, want := range map[storage.PassID]string{"p": "a", "q": "b, edited", "": "note"} {
			ms, err := v.Messages(op, p)
			noError(t, err)
			if len(ms) != 1 || ms[0].Text != want {
				t.Errorf("messages of %q: %v", p, ms)
			}
		}
		same(t, "next step", v.NextStep(op), uint64(4))
		var seqs []uint64
		note := func(s storage.Step) bool { seqs = append(seqs, s.Seq); return s.Undone }
		noError(t, v.VisitLatestSteps(op, note))
		noError(t, v.VisitLatestSteps(other, note))
		same(t, "steps, to the first that stands", seqs, []uint64{3, 2, 1})
		return nil
	})
}

func TestAgenda(t *testing.T) {
	s := storagetest.Open(t)
	item := func(k string, minutes int) storage.Item {
		return storage.Item{Key: k, At: t0.Add(time.Duration(minutes) * time.Minute), Operator: op, Kind: "remind"}
	}
	due := func(minutes int) (keys string) {
		items, err := s.Due(t0.Add(time.Duration(minutes)*time.Minute), 1000)
		noError(t, err)
		for _, i := range items {
			keys += i.Key + " "
		}
		return keys
	}
	if _, ok, err := s.Next(); ok || err != nil {
		t.Error("an empty agenda has something next", err)
	}
	commit(t, s, "e", storage.Changes{
		Operator: operator(op),
		Agenda:   []storage.Item{item("c", 30), item("a", 20), item("b", 10), item("d", 10)},
	})
	commit(t, s, "f", storage.Changes{Agenda: []storage.Item{item("b", 25)}, Cancel: []string{"c", "unknown"}})
	same(t, "due at 9", due(9), "")
	same(t, "due at 20", due(20), "d a ")
	same(t, "due at 99", due(99), "d a b ")
	next, ok, err := s.Next()
	noError(t, err)
	same(t, "next", next, t0.Add(10*time.Minute))
	same(t, "there is a next", ok, true)

	commit(t, s, "d", storage.Changes{Agenda: []storage.Item{item("d", 50)}}) // it comes again
	same(t, "after d", due(99), "a b d ")
	commit(t, s, "d", storage.Changes{})
	same(t, "after the second d", due(99), "a b ")
	commit(t, s, "d", storage.Changes{Agenda: []storage.Item{item("x", 1)}}) // seen, and not on the agenda
	same(t, "after a repeat", due(99), "a b ")
}

func TestPrune(t *testing.T) {
	s := storagetest.Open(t)
	post := storage.Post{Name: "p", Operator: op, Op: storage.Send}
	noError(t, s.Accept(nil, storage.Raw{ID: "e", At: t0}))
	commit(t, s, "e", storage.Changes{Operator: operator(op), Posts: []storage.Post{post, {Name: "owed", Operator: op, Op: storage.Send}}})
	noError(t, s.Settle("p", "5", t0))
	day := 24 * time.Hour

	noError(t, s.Prune(t0.Add(8*day)))
	noError(t, s.Accept(nil, storage.Raw{ID: "e", At: t0}))
	if _, ok, _ := s.Oldest(); ok {
		t.Error("an ID was forgotten after 8 days")
	}
	noError(t, s.Prune(t0.Add(8*day+1)))
	noError(t, s.Accept(nil, storage.Raw{ID: "e", At: t0}))
	if _, ok, _ := s.Oldest(); !ok {
		t.Error("an ID was kept for more than 8 days")
	}
	found := func() (ok bool) {
		view(t, s, func(v *storage.View) (err error) {
			_, ok, err = v.PostByApp(op, 5)
			return err
		})
		return ok
	}
	noError(t, s.Prune(t0.Add(60*day)))
	same(t, "after 60 days", found(), true)
	noError(t, s.Prune(t0.Add(60*day+1)))
	same(t, "after more", found(), false)
	owed, err := s.Owed(t0)
	noError(t, err)
	same(t, "what is owed stays", len(owed), 1)
}

// A pass that nothing stands on any more goes with its entry of the index, and is
// passed over where there is none.
func TestPassesGone(t *testing.T) {
	s := storagetest.Open(t)
	first, second := pass(op, t0, time.Minute), pass(op, t0.Add(time.Hour), time.Minute)
	commit(t, s, "two", storage.Changes{Operator: operator(op), Passes: []storage.Pass{first, second}})
	commit(t, s, "one", storage.Changes{Operator: operator(op), Gone: []storage.PassID{first.ID, "never"}})
	view(t, s, func(v *storage.View) error {
		left, err := v.Passes(op, t0, t0.Add(2*time.Hour))
		if len(left) != 1 || left[0].ID != second.ID {
			t.Errorf("left are %v", left)
		}
		return err
	})
}

func TestOperatorsAfter(t *testing.T) {
	s := storagetest.Open(t)
	for _, id := range []storage.OperatorID{"1", "10", "2", "local"} {
		commit(t, s, "join/"+string(id), storage.Changes{Operator: operator(id)})
	}
	view(t, s, func(v *storage.View) error {
		var all []storage.OperatorID
		last := storage.OperatorID("")
		for range 3 {
			some, err := v.OperatorsAfter(last, 3)
			if err != nil {
				return err
			}
			if all = append(all, some...); len(some) > 0 {
				last = some[len(some)-1]
			}
		}
		if want := []storage.OperatorID{"1", "10", "2", "local"}; !slices.Equal(all, want) {
			t.Errorf("%v, want %v", all, want)
		}
		return nil
	})
}
