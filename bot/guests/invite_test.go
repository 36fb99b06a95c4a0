package guests

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
)

// Every state of an invitation, and every way to use it once more.
func TestAttackInvitations(t *testing.T) {
	h := owned(t)
	h.let("7")
	refused := func(op storage.OperatorID, text, why string) {
		t.Helper()
		heard, got := h.hears(op, text), h.said(op)
		if heard != Ends || got != "" && got != textStranger {
			t.Errorf("%s comes to %d, %q", why, heard, got)
		}
	}
	listed := func(want ...string) {
		t.Helper()
		got := h.asked("7", "/invite list")
		for _, w := range want {
			if !strings.Contains(got, w) {
				t.Errorf("the list lacks %q:\n%s", w, got)
			}
		}
		for line := range strings.Lines(got) {
			if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 38 {
				t.Errorf("a line of %d characters: %q", n, line)
			}
		}
	}

	used, ended, off := h.invitation("7"), h.invitation("7"), h.invitation("7")
	if got := h.asked("7", "/invite off 3"); got != fmt.Sprintf(textTakenBack, 3) {
		t.Errorf("taking one back: %q", got)
	}
	refused("9", off, "a link that was taken back")
	refused("9", off, "the same once more")
	if got := h.asked("7", "/invite off 3"); got != fmt.Sprintf(textEnded, 3) {
		t.Errorf("taking it back twice: %q", got)
	}
	if heard := h.hears("8", used); heard != Starts || !h.door.Admits("8") {
		t.Fatalf("a good link comes to %d", heard)
	}
	if heard := h.hears("8", used); heard != Passes {
		t.Errorf("their own link once more comes to %d, want a start like any other", heard)
	}
	listed("1  no. 8, in since")
	refused("9", used, "a link that was used")
	h.operator("8", "HX7ABC")
	listed("1  HX7ABC, in since", "2  open until", "3  taken back")

	// Those who are in already cost no invitation, and their log gets no code.
	if heard := h.hears("7", ended); heard != Starts {
		t.Errorf("the owner with a link comes to %d", heard)
	}
	h.now = h.now.Add(8 * 24 * time.Hour)
	refused("9", ended, "a link that has ended")
	listed("2  ended unused")

	how := inviteHow(true, false)
	for text, want := range map[string]string{
		"/invite off 99": fmt.Sprintf(textNoSuchInvite, 99), "/invite off": how, "/invite off x": how,
		"/invite off -1": how, "/INVITE@some_bot nonsense": how, "/invite list 7": "Invitations",
	} {
		if got := h.asked("7", text); !strings.HasPrefix(got, want) {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
	for _, text := range []string{"/invite", "/invite list", "/invite off 1"} {
		if got := h.asked("8", text); got != textNotYours {
			t.Errorf("a guest's %s: %q", text, got)
		}
	}

	if got := h.asked("7", "/invite off 1"); got != fmt.Sprintf(textGuestOut, "HX7ABC") {
		t.Errorf("putting a guest out: %q", got)
	}
	if got := h.said("8"); got != textPutOut || h.door.Admits("8") {
		t.Errorf("who is put out hears %q", got)
	}
	refused("8", "di4zab jo43", "a line of who is put out")
	refused("8", used, "their old link")
	h.open()
	refused("8", "di4zab jo43", "after a restart a line of who is put out")
	if heard := h.hears("8", h.invitation("7")); heard != Starts {
		t.Errorf("invited anew they come to %d", heard)
	}
}

func TestGuestWhoStaysIn(t *testing.T) {
	h := owned(t)
	h.let("7")
	h.hears("8", h.invitation("7"))
	h.config.Open = true
	h.open()
	if got := h.asked("7", "/invite off 1"); got != fmt.Sprintf(textStillIn, "no. 8") || !h.door.Admits("8") {
		t.Errorf("a guest who is let in in another way too: %q", got)
	}
}

func TestInvitationsAreBounded(t *testing.T) {
	h := owned(t)
	h.let("7")
	for range mostOpen {
		h.invitation("7")
	}
	if got := h.asked("7", "/invite"); got != textManyInvites {
		t.Errorf("one too many: %q", got)
	}
	if got := h.asked("7", "/invite list"); !strings.Contains(got, "/invite list 2 shows more") || strings.Count(got, "\n") > 14 {
		t.Errorf("the list: %s", got)
	}
	h.now = h.now.Add(40 * 24 * time.Hour)
	if got := h.asked("7", "/invite list"); got != textNoInvites {
		t.Errorf("long after their end: %s", got)
	}
}

// The code makes an owner also of somebody who is let in anyway, and nobody finds
// it, or an invitation's, in the store.
func TestAttackOwnersCode(t *testing.T) {
	for name, c := range map[string]Config{
		"closed": {}, "open": {Open: true}, "allowed": {Allow: []storage.OperatorID{"7"}},
	} {
		t.Run(name, func(t *testing.T) {
			c.CodeFile = "owner-code"
			h := newHouse(t, c)
			code := h.ownersCode()
			h.let("7")
			if got := h.asked("7", "/invite list"); got != textNoInvites {
				t.Errorf("the owner gets %q", got)
			}
			h.holdsNot(code)
			text := h.asked("7", "/invite") // said, so no longer owed
			_, invitation, _ := strings.Cut(text, "https://app.example/")
			if heard := h.hears("7", invitation); heard != Starts {
				t.Errorf("the owner with an invitation's code comes to %d", heard)
			}
			kept, err := h.store.Kept(bookKey)
			if err != nil || strings.Contains(string(kept), invitation) {
				t.Errorf("the book holds an invitation's code: %s, %v", kept, err)
			}
		})
	}
}

// An app that can write first needs no code: its people own the bot by their address, and
// are invited by it.
func TestInvitedByAddress(t *testing.T) {
	const boss, anna = "@boss:one.example", "@anna:one.example"
	h := newHouse(t, Config{CodeFile: "owner-code", Owners: []storage.OperatorID{boss}})
	reach := func(address string) (storage.OperatorID, map[string][]byte, bool) {
		return storage.OperatorID(address), map[string][]byte{"room/" + address: []byte("{}")}, strings.HasPrefix(address, "@")
	}
	h.door.OnInvite(reach)
	h.let("7")
	if !h.door.Admits(boss) || !h.door.HasOwner() {
		t.Error("an owner who is named is not let in")
	}
	h.change(func(d *Draft) { d.TellOwner("hello") })
	if one, two := h.said(boss), h.said("7"); one != "hello" || two != "hello" {
		t.Errorf("the owners are told %q and %q", one, two)
	}
	for _, from := range []storage.OperatorID{anna, "8"} {
		if heard := h.hears(from, "/invite "+anna); heard != Ends || h.door.Admits(anna) {
			t.Errorf("a stranger's invitation comes to %d", heard)
		}
		h.said(from)
	}
	if got := h.asked("7", "/invite "+anna); got != fmt.Sprintf(textInvitedTo, anna, 1) || !h.door.Admits(anna) {
		t.Errorf("inviting by address: %q", got)
	}
	if kept, err := h.store.Kept("room/" + anna); err != nil || string(kept) != "{}" {
		t.Errorf("the app keeps %q, %v", kept, err)
	}
	if got := h.asked("7", "/invite "+anna); got != fmt.Sprintf(textIsIn, anna) {
		t.Errorf("inviting again: %q", got)
	}
	if got := h.asked("7", "/invite list"); !strings.Contains(got, anna) {
		t.Errorf("the list lacks them: %q", got)
	}
	h.asked("7", "/invite off 1")
	if h.door.Admits(anna) || h.said(anna) != textPutOut {
		t.Error("who was invited by address is not put out")
	}
	h.change(func(d *Draft) { d.Hear(boss, "/invite", nil) }) // no link can be made there
	if got := h.said(boss); got != inviteHow(false, true) {
		t.Errorf("without links: %q", got)
	}
}
