package storage_test

import (
	"bytes"
	"encoding/binary"
	"flag"
	"hash/crc32"
	"os"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/storagetest"
)

var remake = flag.Bool("remake", false, "make the golden store of the newest schema anew; never after a release")

// goldenChanges are what the golden store holds, all of it invented.
func goldenChanges() storage.Changes {
	p := pass(op, t0, 10*time.Minute)
	p.Arm, p.PeakElDeg = storage.ArmHand, 47.5
	o := operator(op)
	o.Place = storage.Place{Grids: []parse.Grid{parse.MustParseGrid("HP15")}, LatDeg: 65.5, LonDeg: -37, Zone: "America/Nuuk", Set: t0}
	o.Remind = storage.Remind{Lead: 10 * time.Minute, PeakDeg: 30, From: 8, Until: 22, PerDay: 4}
	a, a2, b := contact(op, 1, 1, "OX9QZU"), contact(op, 1, 2, "OX9QZV"), contact(op, 2, 1, "")
	a.Pass, a2.Pass = p.ID, p.ID
	a2.Grids, a2.Cause = []parse.Grid{parse.MustParseGrid("HP25")}, storage.Cause{Kind: "edit", Event: "m2", Message: 1}
	b.State, b.Why = storage.Doubtful, "no_call"
	return storage.Changes{
		Operator: o, Passes: []storage.Pass{p}, Contacts: []storage.Contact{a, a2, b},
		Messages: []storage.Message{{Operator: op, ID: 1, At: t0, Pass: p.ID, Text: "ox9qzv hp25", Sitting: 1, Edits: []storage.Revision{{Replaced: t0, Text: "ox9qzu"}}}},
		Steps:    []storage.Step{{Operator: op, Seq: 1, At: t0, What: "OX9QZV", Moves: []storage.Move{{Contact: 1, From: 1, To: 2}}}},
		Sittings: []storage.Sitting{{
			Operator: op, ID: 1, Began: t0, Last: t0, Lines: 1,
			Evidence: []storage.Evidence{
				{Kind: storage.EvSaid, Event: "m1", At: t0, Message: 1, Text: "ox9qzu", Began: t0},
				{Kind: storage.EvEdited, Event: "m2", At: t0, Message: 1, Text: "ox9qzv hp25", Undone: true},
				{Kind: storage.EvAnswer, Event: "m3", At: t0, Contact: storage.ContactKey{Message: 1, Line: 1, Place: 1}, Asked: "odd", Verb: "keep"},
			},
			Contacts: []storage.Identity{{Key: storage.ContactKey{Message: 1, Line: 1, Place: 1}, ID: 1}},
			Own:      []storage.OwnSide{{Since: t0, Grids: o.Place.Grids}},
			Frozen:   storage.Frozen{Confirmed: map[string]bool{"OX9QZV": true}},
		}},
		Agenda: []storage.Item{{Key: "remind/70012", At: t0.Add(time.Hour), Operator: op, Kind: "remind", Pass: p.ID}},
		Posts: []storage.Post{send("ack/m1", "1 OX9QZV"), {
			Name: "adif/m2", Operator: op, Op: storage.File, Text: "1 contact",
			Recipe: &storage.Recipe{Kind: "adif", FileName: "log.adi", Contacts: []storage.ContactRef{{ID: 1, Version: 2}}},
		}},
	}
}

func makeGolden(t *testing.T, dir string) {
	noError(t, os.RemoveAll(dir))
	s := open(t, dir)
	noError(t, s.Accept(map[string][]byte{"offset": []byte("77")}, storage.Raw{ID: "m1", From: op, At: t0, Body: []byte(`{"text":"ox9qzu"}`), Name: "$one"}))
	noError(t, s.Accept(nil, storage.Raw{ID: "m2", At: t0, Body: []byte(`{}`)}, storage.Raw{ID: "m3", At: t0, Body: []byte(`{}`)}))
	commit(t, s, "m1", goldenChanges())
	noError(t, s.SetAside("m2", "no sense", t0))
	noError(t, s.Settle("adif/m2", "9", t0))
	noError(t, s.Close())
}

const newestGolden = "testdata/schema6"

// A store of each released schema opens and says what it always said.
func TestGoldenStores(t *testing.T) {
	if *remake {
		makeGolden(t, newestGolden)
	}
	for _, golden := range []string{"testdata/schema1", "testdata/schema2", "testdata/schema3", "testdata/schema4", "testdata/schema5", newestGolden} {
		t.Run(golden, func(t *testing.T) { testGolden(t, golden) })
	}
}

func testGolden(t *testing.T, golden string) {
	dir := t.TempDir()
	noError(t, os.CopyFS(dir, os.DirFS(golden)))
	s := storagetest.OpenDir(t, dir)
	if ns := s.Notices(); len(ns) > 0 {
		t.Errorf("notices: %q", ns)
	}
	want := goldenChanges()
	if golden == "testdata/schema1" || golden == "testdata/schema2" {
		want.Messages[0].Sitting, want.Sittings = 0, nil
	}
	view(t, s, func(v *storage.View) error {
		o, _, err := v.Operator(op)
		noError(t, err)
		same(t, "operator", o, *want.Operator)
		p, _, err := v.Pass(op, want.Passes[0].ID)
		noError(t, err)
		same(t, "pass", p, want.Passes[0])
		h, err := v.History(op, 1)
		noError(t, err)
		same(t, "contact 1", h, want.Contacts[:2])
		c, _, err := v.Contact(op, 2)
		noError(t, err)
		same(t, "contact 2", c, want.Contacts[2])
		m, _, err := v.Message(op, 1)
		noError(t, err)
		same(t, "message", m, want.Messages[0])
		last, ok, err := v.Sitting(op, v.LastSitting(op))
		noError(t, err)
		same(t, "sitting", ok, len(want.Sittings) > 0)
		if ok {
			same(t, "sitting", last, want.Sittings[0])
		}
		var steps []storage.Step
		noError(t, v.VisitLatestSteps(op, func(s storage.Step) bool { steps = append(steps, s); return true }))
		same(t, "steps", steps, want.Steps)
		f, _, err := v.PostByApp(op, 9)
		noError(t, err)
		same(t, "file", f.Recipe, want.Posts[1].Recipe)
		if number := v.Number(op, "$one"); golden >= "testdata/schema5" && (number < t0.UnixMilli() || v.Name(op, number) != "$one") {
			t.Errorf("the message %q has the number %d, which has the name %q", "$one", number, v.Name(op, number))
		}
		version, _ := v.HandedOver(op, 1)
		same(t, "handed over", version, 2)
		var found []storage.Contact
		note := func(c storage.Contact) bool { found = append(found, c); return true }
		noError(t, v.VisitSquare(op, parse.MustParseGrid("HP25"), storage.BirdRef{}, note))
		noError(t, v.VisitTail(op, "QZV", note))
		noError(t, v.VisitTail(op, "QZU", note)) // the call before the edit
		noError(t, v.VisitHead(op, want.Contacts[1].Call.String()[:4], note))
		same(t, "by square, tail and head", found, []storage.Contact{want.Contacts[1], want.Contacts[1], want.Contacts[1]})
		return nil
	})
	head, _, err := s.Oldest()
	noError(t, err)
	same(t, "inbox", head.ID, "m3")
	due, err := s.Due(t0.Add(time.Hour), 1000)
	noError(t, err)
	same(t, "agenda", due, want.Agenda)
	same(t, "owed", queue(t, s), "send ack/m1=1 OX9QZV")
	kept, err := s.Kept("offset")
	noError(t, err)
	same(t, "kept", string(kept), "77")
}

// newerDamaged is such a database with a page of zeros.
func newerDamaged(t *testing.T, path string) {
	newer(t, path)
	const word = "something of the future"
	db, err := bolt.Open(path, 0o600, nil)
	noError(t, err)
	noError(t, db.Update(func(tx *bolt.Tx) error {
		b, err := tx.CreateBucket([]byte("contacts"))
		noError(t, err)
		return b.Put([]byte("a"), bytes.Repeat([]byte(word), 200))
	}))
	noError(t, db.Close())
	text, err := os.ReadFile(path)
	noError(t, err)
	clear(text[bytes.Index(text, []byte(word))/4096*4096:][:4096])
	noError(t, os.WriteFile(path, text, 0o600))
}

// newer makes an empty database of a schema that doesn't exist yet.
func newer(t *testing.T, path string) {
	const key, payload = "store", `{"magic":"skyslate store","schema":99}`
	sum := crc32.Checksum([]byte("meta\x00"+key+payload), crc32.MakeTable(crc32.Castagnoli))
	value := append(binary.BigEndian.AppendUint32([]byte{1}, sum), payload...)
	db, err := bolt.Open(path, 0o600, nil)
	noError(t, err)
	noError(t, db.Update(func(tx *bolt.Tx) error {
		b, err := tx.CreateBucket([]byte("meta"))
		noError(t, err)
		return b.Put([]byte(key), value)
	}))
	noError(t, db.Close())
}
