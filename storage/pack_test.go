package storage

import (
	"fmt"
	"maps"
	"testing"
	"time"

	"skyslate/parse"
	"skyslate/storage/block"
	"skyslate/storage/schema"
)

// A store of schema 3, in which each entry is a value of its own, holds the same
// after it was opened, also where a crash has cut the packing short.
func TestPacksWhatAnOlderSchemaWrote(t *testing.T) {
	for name, amid := range map[string]func(*tx){
		"at once": func(*tx) {},
		"after a crash": func(t *tx) {
			t.migrate(3)
			t.In(schema.Contacts).Pack(nil, 50)
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			want := oldStore(t, dir)
			f, err := schema.Open(dir+"/"+databaseName, false)
			if err != nil {
				t.Fatal(err)
			}
			if err := f.Update(inOurs(func(t *tx) { t.unpack(); amid(t) })); err != nil {
				t.Fatal(err)
			}
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
			openAnd(t, dir, func(s *Store) error {
				if n := s.Notices(); len(n) > 0 {
					t.Errorf("notices: %q", n)
				}
				return s.read(func(tx *tx) {
					if got := tx.everything(); !maps.Equal(got, want) {
						t.Errorf("%d values, want %d", len(got), len(want))
					}
					if n := tx.Bucket([]byte(schema.Contacts)).Stats().KeyN; n > 50 {
						t.Errorf("contacts are %d values", n)
					}
				})
			})
			if _, err := Verify(dir); err != nil {
				t.Error(err)
			}
		})
	}
}

func openAnd(t *testing.T, dir string, fn func(*Store) error) {
	t.Helper()
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := fn(s); err != nil {
		t.Error(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

// oldStore fills a store and returns all that is in it.
func oldStore(t *testing.T, dir string) (want map[string]string) {
	t.Helper()
	at := time.Date(2026, 11, 24, 17, 42, 5, 0, time.UTC)
	openAnd(t, dir, func(s *Store) error {
		for _, op := range []OperatorID{"7", "70", "8"} {
			c := Changes{Operator: &Operator{ID: op, Joined: at, Call: parse.MustParseCallsign("HX7KZQ")}}
			for n := range 100 {
				moment := at.Add(time.Duration(n) * time.Minute)
				c.Contacts = append(c.Contacts, Contact{Operator: op, ID: uint64(n + 1), Version: 1, Time: moment})
				c.Messages = append(c.Messages, Message{Operator: op, ID: int64(n), At: moment, Text: "invented"})
				c.Agenda = append(c.Agenda, Item{Key: fmt.Sprintf("remind/%s/%d", op, n), At: moment, Operator: op})
			}
			if err := s.Commit("e"+string(op), at, c); err != nil {
				return err
			}
		}
		return s.read(func(t *tx) { want = t.everything() })
	})
	return want
}

// everything are the entries of all buckets but the one about the store itself.
func (t *tx) everything() map[string]string {
	all := map[string]string{}
	for _, name := range schema.All[1:] {
		for k, v := range t.In(name).Up(nil, nil) {
			all[name+" "+string(k)] = string(v)
		}
	}
	return all
}

// unpack writes all as schema 3 did.
func (t *tx) unpack() {
	for _, name := range schema.All[1:] {
		entries := map[string]string{}
		for k, v := range t.In(name).Up(nil, nil) {
			entries[string(k)] = string(v)
		}
		t.Drop(name)
		t.Create(name)
		for k, v := range entries {
			t.Fail(t.Bucket([]byte(name)).Put([]byte(k), block.Seal(name, []byte(k), []byte(v))))
		}
	}
	t.In(schema.Meta).Set([]byte("store"), map[string]any{"magic": "skyslate store", "schema": 3})
}
