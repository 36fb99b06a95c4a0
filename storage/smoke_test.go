package storage_test

import (
	"testing"
	"time"

	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/storagetest"
)

func TestSmoke(t *testing.T) {
	s := storagetest.Open(t)
	now := time.Date(2026, 11, 24, 17, 42, 5, 0, time.UTC)
	if err := s.Accept(map[string][]byte{"k": []byte("v")}, storage.Raw{ID: "m1", At: now, Body: []byte("x")}); err != nil {
		t.Fatal(err)
	}
	r, ok, err := s.Oldest()
	t.Log(r, ok, err)
	op := storage.Operator{ID: "local", Joined: now, Call: parse.MustParseCallsign("OX9QZT")}
	err = s.Commit("m1", now, storage.Changes{
		Operator: &op, Contacts: []storage.Contact{{Operator: "local", ID: 1, Version: 1, Time: now, Call: parse.MustParseCallsign("OX9QZU")}},
		Posts: []storage.Post{{Name: "a", Operator: "local", Op: storage.Send, Text: "hi"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	ps, err := s.Owed(now)
	t.Log(ps, err)
	if err := s.Settle("a", 7, now); err != nil {
		t.Fatal(err)
	}
	s.View(func(v *storage.View) error {
		t.Log(v.PostByApp("local", 7))
		t.Log(v.ContactsOfCall("local", parse.MustParseCallsign("OX9QZU")))
		t.Log(v.NextContact("local"), v.NextStep("local"))
		return nil
	})
}
