package storage

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"skyslate/parse"
	"skyslate/storage/journal"
	"skyslate/storage/keys"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// someStore makes a store with something in every bucket and returns its
// directory.
func someStore(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 11, 24, 17, 42, 5, 0, time.UTC)
	const op OperatorID = "70012"
	own := parse.MustParseCallsign("OX9QZT")
	changes := Changes{
		Operator: &Operator{ID: op, Joined: at, Agreeing: Agreeing{Call: own, Since: at}},
		Passes:   []Pass{{ID: "p", Operator: op, AOS: at, TCA: at, LOS: at.Add(time.Minute)}},
		Contacts: []Contact{{
			Operator: op, ID: 1, Version: 1, State: Certain, Time: at, Pass: "p", Bird: BirdRef{Catalog: 99001}, OwnCall: own,
			Call: parse.MustParseCallsign("OX9QZU"), Grids: []parse.Grid{parse.MustParseGrid("HP15")},
		}},
		Messages: []Message{{Operator: op, ID: 1, At: at, Pass: "p", Text: "ox9qzu", Sitting: 1}},
		Sittings: []Sitting{{Operator: op, ID: 1, Began: at, Last: at}},
		Steps:    []Step{{Operator: op, Seq: 1}},
		Agenda:   []Item{{Key: "k", At: at, Operator: op}},
		Posts: []Post{
			{Name: "owed", Operator: op, Op: Send},
			{Name: "out", Operator: op, Op: File, Recipe: &Recipe{Contacts: []ContactRef{{ID: 1, Version: 1}}}},
		},
	}
	for _, err := range []error{
		s.Accept(map[string][]byte{"offset": []byte("1")}, Raw{ID: "m1", From: op, Name: "$m1"}, Raw{ID: "m2"}, Raw{ID: "m3"}),
		s.Commit("m1", at, changes),
		s.SetAside("m2", "no sense", at),
		s.Settle("out", "5", at),
		s.Close(),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestReport(t *testing.T) {
	dir := someStore(t)
	r, err := Verify(dir)
	if err != nil {
		t.Fatal(err)
	}
	want := Report{
		Path: filepath.Join(dir, databaseName), Schema: 6, Inbox: 1, SetAside: 1, Owed: 1, Agenda: 1,
		Operators: []OperatorReport{{ID: "70012", Contacts: 1, Versions: 1, Passes: 1, Messages: 1}},
		Faults:    []Fault{{Name: "m2", Why: "no sense", At: time.Date(2026, 11, 24, 17, 42, 5, 0, time.UTC)}},
	}
	if !table.Same(r, want) {
		t.Errorf("got %+v\nwant %+v", r, want)
	}
}

// A record that only some bucket lost is found, in whichever it is. The journal
// and the transports' memory stand for themselves.
func TestVerifyFindsWhatIsMissing(t *testing.T) {
	alone := map[string]bool{schema.Meta: true, schema.Kept: true, schema.Seen: true, schema.Dead: true, schema.Steps: true, schema.Handed: true}
	for _, name := range schema.All {
		if alone[name] {
			continue
		}
		t.Run(name, func(t *testing.T) {
			dir := someStore(t)
			tamper(t, dir, func(t *tx) {
				for k := range t.In(name).Up(nil, nil) {
					t.In(name).Delete(bytes.Clone(k))
					return
				}
			})
			mustBeDamaged(t, dir, "")
		})
	}
}

func TestVerifyFindsWhatIsTooMuch(t *testing.T) {
	for _, name := range []string{
		schema.InboxByID, schema.PassesByEnd, schema.ContactsByPass, schema.ContactsByCall,
		schema.ContactsByTime, schema.MessagesByPass, schema.AgendaByTime, schema.PostsByApp, schema.Owed, schema.Numbers, schema.Callers, schema.Named,
	} {
		t.Run(name, func(t *testing.T) {
			dir := someStore(t)
			tamper(t, dir, func(t *tx) { t.In(name).Mark([]byte("70012\x00nowhere\x00")) })
			mustBeDamaged(t, dir, "leads nowhere")
		})
	}
	t.Run("bucket", func(t *testing.T) {
		dir := someStore(t)
		tamper(t, dir, func(t *tx) {
			_, err := t.CreateBucket([]byte("more"))
			t.Fail(err)
		})
		mustBeDamaged(t, dir, "unknown bucket")
	})
	t.Run("handed", func(t *testing.T) {
		dir := someStore(t)
		tamper(t, dir, func(t *tx) {
			t.In(schema.Handed).Set(opKey("70012", keys.Uint(1)), handOver{Version: 4})
		})
		mustBeDamaged(t, dir, "unknown version 4")
	})
}

func TestVerifyComparesTheJournal(t *testing.T) {
	for says, change := range map[string]func(*Contact){
		"only the contact journal has contact 7": func(c *Contact) { c.ID = 7 },
		"the contact journal has another":        func(c *Contact) { c.Note = "changed" },
	} {
		dir := someStore(t)
		c := Contact{Operator: "70012", ID: 1, Version: 1}
		change(&c)
		body, err := table.Encode(entry{Contact: &c})
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(dir, journalName)
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, append(text, journal.Line(body)...), 0o600); err != nil {
			t.Fatal(err)
		}
		mustBeDamaged(t, dir, says)
	}
}

// tamper changes a closed store behind its back.
func tamper(t *testing.T, dir string, change func(*tx)) {
	t.Helper()
	s := &Store{dir: dir, path: filepath.Join(dir, databaseName)}
	var err error
	if s.file, err = schema.Open(s.path, false); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(s.update(change), s.Close()); err != nil {
		t.Fatal(err)
	}
}

func mustBeDamaged(t *testing.T, dir, says string) {
	t.Helper()
	_, err := Verify(dir)
	if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), says) {
		t.Errorf("verify: %v", err)
	}
}
