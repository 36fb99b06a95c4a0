package guests

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	gocmp "github.com/google/go-cmp/cmp"

	"skyslate/storage"
)

// openCode is the code of the invitation that is open in testdata/older.json,
// which a program wrote that kept the book in its one app's memory. Everybody in
// it is invented.
const openCode = "4e6ggpqm7jlwypl2nzkvkhvrf7"

// olderHouse is a house over what an older program has kept.
func olderHouse(t *testing.T, kept []byte) *house {
	t.Helper()
	h := newHouse(t, Config{CodeFile: "owner-code", Older: "app"})
	if err := h.store.Accept(map[string][]byte{"app": kept}); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(h.door.Awaits()); err != nil {
		t.Fatal(err)
	}
	h.now = time.Date(2000, 1, 1, 2, 0, 0, 0, time.UTC)
	h.open()
	return h
}

// Whoever was in is in, the owner owns, invitations work, and whoever was told or
// put out is so still, before and after the book has a form of today.
func TestOlderBook(t *testing.T) {
	kept, err := os.ReadFile("testdata/older.json")
	if err != nil {
		t.Fatal(err)
	}
	h := olderHouse(t, kept)
	for _, round := range []string{"read for the first time", "after it was written"} {
		if h.door.Awaits() != "" || !h.door.HasOwner() || h.door.book.Owner != "70007" {
			t.Errorf("%s: an owner is awaited", round)
		}
		for op, in := range map[storage.OperatorID]bool{"70007": true, "70008": true, "70009": true, "70010": false, "70011": false} {
			if h.door.Admits(op) != in {
				t.Errorf("%s: %s is in: %t", round, op, !in)
			}
		}
		if !h.door.Gone("70008") || h.door.Gone("70009") {
			t.Errorf("%s: who has blocked the bot is not remembered", round)
		}
		if got := h.asked("70011", "hello"); got != "" {
			t.Errorf("%s: a stranger is told once more: %q", round, got)
		}
		h.change(func(d *Draft) { d.TurnAway("-100200") })
		want := "5  no. 70009, in since 1 Jan 2000\n4  taken back 1 Jan 2000\n3  taken back 1 Jan 2000\n" +
			"2  open until 8 Jan 00:04 UTC\n1  no. 70008, in since 1 Jan 2000\n"
		if got := h.asked("70007", "/invite list"); !strings.Contains(got, want) {
			t.Errorf("%s: the list is\n%s", round, got)
		}
		h.open()
	}
	if heard := h.hears("70013", "/start "+openCode); heard != Starts || !h.door.Admits("70013") {
		t.Errorf("the open invitation comes to %d", heard)
	}
	if got := h.asked("70007", "/invite off 5"); got != fmt.Sprintf(textGuestOut, "no. 70009") {
		t.Errorf("putting a guest out: %q", got)
	}
	if n := h.door.Notices(); len(n) != 3 || n[2].To != "70009" || n[2].ID != 17 {
		t.Errorf("owed: %+v", n)
	}
}

// Today's form, to the letter, from each form before it: it is read by programs to
// come. Opened once more it stays as it is.
func TestOlderBookIsWrittenAnew(t *testing.T) {
	text, err := os.ReadFile("testdata/kept.json")
	if err != nil {
		t.Fatal(err)
	}
	var want map[string]any
	if err := json.Unmarshal(text, &want); err != nil {
		t.Fatal(err)
	}
	for key, file := range map[string]string{"app": "older.json", bookKey: "book.json"} {
		older, err := os.ReadFile(filepath.Join("testdata", file))
		if err != nil {
			t.Fatal(err)
		}
		h := newHouse(t, Config{CodeFile: "owner-code", Older: "app"})
		if err := h.store.Accept(map[string][]byte{key: older}); err != nil {
			t.Fatal(err)
		}
		for range 2 {
			h.open()
			got := map[string]any{}
			for key := range want {
				kept, err := h.store.Kept(key)
				var value any
				if err := errors.Join(err, json.Unmarshal(kept, &value)); err != nil {
					t.Fatalf("%s: %v", key, err)
				}
				got[key] = value
			}
			if diff := gocmp.Diff(want, got); diff != "" {
				t.Errorf("from %s (-want +got):\n%s", file, diff)
			}
		}
	}
}

// What a still older program kept is good too: codes in place of invitations, and
// guests without one.
func TestStillOlderBook(t *testing.T) {
	h := olderHouse(t, []byte(`{"owner":7,"members":{"8":"2026-01-02T00:00:00Z","10":"2026-01-01T00:00:00Z"},"invites":{"anoldcodethatisopen":"2026-02-01T00:00:00Z"}}`))
	h.now = time.Date(2026, 1, 20, 0, 0, 0, 0, time.UTC)
	if got := h.asked("7", "/invite list"); !strings.Contains(got, "3  no. 10, in since 1 Jan 2026\n2  no. 8, in since 2 Jan 2026\n1  open until 1 Feb") {
		t.Errorf("the list: %s", got)
	}
	if heard := h.hears("11", "anoldcodethatisopen"); heard != Starts || !h.door.Admits("11") {
		t.Errorf("the invitation comes to %d", heard)
	}
}

// A book that can't be read is told: nobody becomes an owner by it.
func TestDamagedBook(t *testing.T) {
	for _, key := range []string{bookKey, "app"} {
		h := newHouse(t, Config{Older: "app"})
		if err := h.store.Accept(map[string][]byte{key: []byte("{")}); err != nil {
			t.Fatal(err)
		}
		if _, err := New(Config{Desk: h.door.desk, Older: "app", CodeFile: h.dir + "/owner-code"}); err == nil || exists(h.dir+"/owner-code") {
			t.Errorf("a damaged %s is read", key)
		}
	}
}
