package telegram

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"skyslate/bot/telegram/apitest"
)

// owned lets the owner in and returns their phone.
func (h *house) owned(id int64) *apitest.Phone {
	h.t.Helper()
	code, err := os.ReadFile(h.app.Awaits())
	if err != nil {
		h.t.Fatal(err)
	}
	boss := h.server.Phone(id, "Inga")
	boss.Say("/start " + string(code))
	h.settle()
	return boss
}

// asked says something and returns the last that is said about it.
func (h *house) asked(p *apitest.Phone, text string) string {
	h.t.Helper()
	before := len(theirs(p))
	p.Say(text)
	h.settle()
	all := theirs(p)
	if len(all) == before {
		return ""
	}
	return all[len(all)-1].Text
}

// invitation makes one and returns what a guest has to send.
func (h *house) invitation(boss *apitest.Phone) string {
	h.t.Helper()
	text := h.asked(boss, "/invite")
	link := text[strings.LastIndexByte(text, '\n')+1:] // right after a start without the bot's name
	payload := strings.TrimPrefix(link, "https://t.me/skyslate_test_bot?start=")
	if len(payload) != 26 {
		h.t.Fatalf("the invitation is %q", text)
	}
	return "/start " + payload
}

func isIn(text string) bool { return strings.Contains(text, "call sign") }

// Every state of an invitation, and every way to use it once more.
func TestAttackInvitations(t *testing.T) {
	inHouse(t, Config{CodeFile: "owner-code"}, func(t *testing.T, h *house) {
		boss := h.owned(7)
		refused := func(p *apitest.Phone, text, why string) {
			t.Helper()
			before := len(theirs(p))
			got := h.asked(p, text)
			if got != "" && got != textStranger || len(theirs(p)) > before+1 {
				t.Errorf("%s: %q", why, got)
			}
			if n := len(h.messages("9")); n != 0 {
				t.Errorf("%s: %d of their messages are stored", why, n)
			}
		}
		listed := func(want ...string) {
			t.Helper()
			got := h.asked(boss, "/invite list")
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

		used, ended, off := h.invitation(boss), h.invitation(boss), h.invitation(boss)
		guest, other := h.server.Phone(8, "Ole"), h.server.Phone(9, "Siv")
		if got := h.asked(boss, "/invite off 3"); got != takenBackText(3) {
			t.Errorf("taking one back: %q", got)
		}
		refused(other, off, "a link that was taken back")
		refused(other, off, "the same once more")
		if got := h.asked(boss, "/invite off 3"); got != endedText(3) {
			t.Errorf("taking it back twice: %q", got)
		}
		if got := h.asked(guest, used); !isIn(got) {
			t.Fatalf("a good link: %q", got)
		}
		if got := h.asked(guest, used); !isIn(got) {
			t.Errorf("their own link once more: %q", got)
		}
		refused(other, used, "a link that was used")
		h.asked(guest, "hx7abc")
		h.asked(guest, "jo33")
		listed("1  HX7ABC, in since", "2  open until", "3  taken back")

		// Those who are in already cost no invitation, and their log gets no code.
		if got := h.asked(boss, ended); !strings.Contains(got, "call sign") {
			t.Errorf("the owner with a link: %q", got)
		}
		time.Sleep(8 * 24 * time.Hour)
		refused(other, ended, "a link that has ended")
		listed("2  ended unused")

		for text, want := range map[string]string{
			"/invite off 99": noInviteText(99), "/invite off": textInviteHow, "/invite off x": textInviteHow,
			"/invite off -1": textInviteHow, "/INVITE nonsense": textInviteHow, "/invite list 7": "Invitations",
		} {
			if got := h.asked(boss, text); !strings.HasPrefix(got, want) {
				t.Errorf("%s: %q, want %q", text, got, want)
			}
		}
		for _, text := range []string{"/invite", "/invite list", "/invite off 1"} {
			if got := h.asked(guest, text); got != textNotYours {
				t.Errorf("a guest's %s: %q", text, got)
			}
		}

		if got := h.asked(boss, "/invite off 1"); got != putOutText("HX7ABC") {
			t.Errorf("putting a guest out: %q", got)
		}
		if got := texts(theirs(guest)); got[len(got)-1] != textPutOut {
			t.Errorf("who is put out hears %q", got[len(got)-1])
		}
		before := len(h.messages("8"))
		h.asked(guest, "di4zab jo43")
		h.asked(guest, used)
		if n := len(h.messages("8")); n != before {
			t.Errorf("%d messages of one who is put out are stored", n-before)
		}
		h.close()
		h.open()
		if got := h.asked(guest, "di4zab jo43"); got != "" {
			t.Errorf("after a restart who is put out gets %q", got)
		}
		if got := h.asked(guest, h.invitation(boss)); strings.Contains(got, textStranger) || got == "" {
			t.Errorf("invited anew they get %q", got)
		}
	})
}

func TestInvitationsAreBounded(t *testing.T) {
	inHouse(t, Config{CodeFile: "owner-code"}, func(t *testing.T, h *house) {
		boss := h.owned(7)
		for range mostOpen {
			h.invitation(boss)
		}
		if got := h.asked(boss, "/invite"); got != textManyInvites {
			t.Errorf("one too many: %q", got)
		}
		if got := h.asked(boss, "/invite list"); !strings.Contains(got, "/invite list 2 shows more") || strings.Count(got, "\n") > 14 {
			t.Errorf("the list: %s", got)
		}
		time.Sleep(40 * 24 * time.Hour)
		if got := h.asked(boss, "/invite list"); got != textNoInvites {
			t.Errorf("long after their end: %s", got)
		}
	})
}

// The code makes an owner also of somebody who is let in anyway, and goes no
// further: nobody finds it in the store.
func TestAttackOwnersCode(t *testing.T) {
	for name, c := range map[string]Config{
		"closed": {}, "open": {Open: true}, "allowed": {Allow: []int64{7}},
	} {
		t.Run(name, func(t *testing.T) {
			c.CodeFile = "owner-code"
			inHouse(t, c, func(t *testing.T, h *house) {
				text, err := os.ReadFile(h.app.Awaits())
				if err != nil {
					t.Fatal(err)
				}
				code := strings.TrimSpace(string(text))
				boss := h.owned(7)
				if got := h.asked(boss, "/invite list"); got != textNoInvites {
					t.Errorf("the owner gets %q", got)
				}
				invitation := strings.TrimPrefix(h.invitation(boss), "/start ")
				h.asked(boss, invitation)
				for _, m := range h.messages("7") {
					if strings.Contains(m.Text, invitation) {
						t.Errorf("the code of an invitation is kept as a message: %q", m.Text)
					}
				}
				h.close()
				h.holdsNot(code)
				h.open()
			})
		})
	}
}

// holdsNot looks for texts in every byte of every file, but for backups.
func (h *house) holdsNot(words ...string) {
	h.t.Helper()
	err := filepath.WalkDir(h.dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if filepath.Base(filepath.Dir(path)) == "backups" {
			return nil
		}
		body, err := os.ReadFile(path)
		for _, w := range words {
			if i := strings.Index(strings.ToLower(string(body)), strings.ToLower(w)); i >= 0 {
				h.t.Errorf("%s holds %q: …%q…", filepath.Base(path), w, body[max(0, i-80):min(len(body), i+80)])
			}
		}
		return err
	})
	if err != nil {
		h.t.Error(err)
	}
}

// An owner who lost their account: an empty file in the code's place asks for
// another one. The former owner is out.
func TestOwnerIsReplaced(t *testing.T) {
	inHouse(t, Config{CodeFile: "owner-code"}, func(t *testing.T, h *house) {
		boss := h.owned(7)
		h.close()
		h.open()
		if h.app.Awaits() != "" {
			t.Fatal("an owner is awaited though nobody asked for one")
		}
		h.close()
		if err := os.WriteFile(filepath.Join(h.dir, "owner-code"), nil, 0o644); err != nil {
			t.Fatal(err)
		}
		h.open()
		path := h.app.Awaits()
		info, err := os.Stat(path)
		if err != nil || info.Mode().Perm() != 0o600 {
			t.Fatalf("the code's file: %v, %v", info, err)
		}
		if got := h.asked(boss, "/invite list"); got != textNoInvites {
			t.Errorf("until the new one comes, the owner gets %q", got)
		}
		h.close()
		h.open() // the code asked for outlives a restart
		code, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		next := h.owned(8)
		if got := h.asked(next, "/invite list"); got != textNoInvites {
			t.Errorf("the new owner gets %q", got)
		}
		if got := texts(theirs(boss)); got[len(got)-1] != textReplaced {
			t.Errorf("the former owner hears %q", got[len(got)-1])
		}
		for _, text := range []string{"/invite", "ox9abc jo33", string(code)} {
			if got := h.asked(boss, text); got != "" && got != textStranger {
				t.Errorf("the former owner's %q gets %q", text, got)
			}
		}
		h.close()
		// The used code back in its place, as from a copy of the directory.
		if err := os.WriteFile(path, code, 0o600); err != nil {
			t.Fatal(err)
		}
		h.open()
		if got := h.asked(boss, string(code)); got != "" || h.app.Awaits() != "" {
			t.Errorf("a code that was used gets %q", got)
		}
	})
}

// What an older program kept is still good.
func TestOlderInvitations(t *testing.T) {
	m, err := readMemory([]byte(`{"owner":7,"members":{"8":"2026-01-02T00:00:00Z","9":"2026-01-01T00:00:00Z"},"invites":{"oldcode":"2026-02-01T00:00:00Z"}}`))
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 1, 20, 0, 0, 0, 0, time.UTC)
	if i := m.openFor("oldcode", at); i != 0 || len(m.Invites) != 0 {
		t.Errorf("the invitation: %+v", m.Invited)
	}
	if got := fmt.Sprint(len(m.Invited), m.Invited[1].Guest, m.Invited[2].Guest, m.Numbered); got != "3 8 9 3" {
		t.Errorf("the guests: %s", got)
	}
	kept, err := m.encode()
	if err != nil {
		t.Fatal(err)
	}
	if again, err := readMemory(kept[memoryKey]); err != nil || len(again.Invited) != 3 {
		t.Errorf("read again: %+v, %v", again.Invited, err)
	}
}
