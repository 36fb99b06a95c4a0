package telegram

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot/telegram/apitest"
	"skyslate/storage"
)

func TestAdmission(t *testing.T) {
	inHouse(t, Config{CodeFile: "owner-code", Allow: []int64{9}}, func(t *testing.T, h *house) {
		path := h.app.Awaits()
		info, err := os.Stat(path)
		if err != nil || info.Mode().Perm() != 0o600 {
			t.Fatalf("the code's file: %v, %v", info, err)
		}
		code, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		stray := h.server.Phone(8, "Ole")
		for range 3 {
			stray.Say("ox9abc jo33 a stranger's words")
			h.settle()
		}
		if got := theirs(stray); len(got) != 1 || got[0].Text != textStranger {
			t.Errorf("a stranger gets %v, want one sentence once", texts(got))
		}
		if len(h.messages("8")) != 0 {
			t.Error("a stranger's words are stored")
		}

		boss := h.server.Phone(7, "Inga")
		boss.Say("/start " + strings.TrimSpace(string(code)))
		h.settle()
		if got := texts(theirs(boss)); len(got) < 2 || !strings.Contains(strings.Join(got, "\n"), textOwner) || !strings.Contains(strings.Join(got, "\n"), "call sign") {
			t.Errorf("the owner gets %q", got)
		}
		if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("the code's file is still there: %v", err)
		}
		if h.app.Awaits() != "" {
			t.Error("an owner is still awaited")
		}
		stray.Say(string(code))
		h.settle()
		if len(theirs(stray)) != 1 {
			t.Errorf("the code works twice: %v", texts(theirs(stray)))
		}

		boss.Say("/invite")
		h.settle()
		got := theirs(boss)
		_, payload, ok := strings.Cut(got[len(got)-1].Text, "https://t.me/skyslate_test_bot?start=")
		if !ok {
			t.Fatalf("the invitation is %q", got[len(got)-1].Text)
		}
		stray.Say("/start " + payload)
		h.settle()
		if got := texts(theirs(stray)); len(got) < 3 || !strings.Contains(strings.Join(got, "\n"), "call sign") {
			t.Errorf("an invited one gets %q", got)
		}
		stray.Say("/invite")
		h.settle()
		if got := texts(theirs(stray)); got[len(got)-1] != textNotYours {
			t.Errorf("an invited one may invite: %q", got)
		}
		third := h.server.Phone(10, "Siv")
		third.Say("/start " + payload)
		listed := h.server.Phone(9, "Nils")
		listed.Say("/start")
		h.settle()
		if got := texts(theirs(third)); len(got) != 1 || got[0] != textStranger {
			t.Errorf("an invitation works twice: %q", got)
		}
		if got := texts(theirs(listed)); len(got) < 2 {
			t.Errorf("one of the list gets %q", got)
		}

		h.close()
		h.open()
		boss.Say("/help")
		h.settle()
		if got := theirs(boss); !strings.Contains(got[len(got)-1].Text, "/passes") {
			t.Errorf("after a restart the owner gets %q", got[len(got)-1].Text)
		}
		if strings.Contains(h.log.String(), "a stranger's words") || strings.Contains(h.log.String(), strings.TrimSpace(string(code))) {
			t.Error("a message's text or the code is in the log")
		}
	})
}

func TestInvitationEnds(t *testing.T) {
	inHouse(t, Config{CodeFile: "owner-code"}, func(t *testing.T, h *house) {
		code, err := os.ReadFile(h.app.Awaits())
		if err != nil {
			t.Fatal(err)
		}
		boss := h.server.Phone(7, "Inga")
		boss.Say(string(code)) // without a command
		h.settle()
		boss.Say("/invite")
		h.settle()
		got := theirs(boss)
		_, payload, _ := strings.Cut(got[len(got)-1].Text, "start=")
		time.Sleep(8 * 24 * time.Hour)
		late := h.server.Phone(8, "Ole")
		late.Say("/start " + payload)
		h.settle()
		if got := texts(theirs(late)); len(got) != 1 || got[0] != textStranger {
			t.Errorf("an old invitation gives %q", got)
		}
	})
}

func TestGroup(t *testing.T) {
	inHouse(t, Config{Open: true}, func(t *testing.T, h *house) {
		g := h.server.Phone(7, "Inga").Group(-100, "field day")
		g.Say("/help")
		g.Say("ox9abc jo33")
		h.settle()
		if got := texts(theirs(g)); len(got) != 1 || got[0] != textGroup || !g.Left() {
			t.Errorf("a group gets %q; left: %t", got, g.Left())
		}
	})
}

func TestBlocked(t *testing.T) {
	inHouse(t, Config{Open: true}, func(t *testing.T, h *house) {
		p := h.operator(7)
		h.server.Fail("sendMessage", 0, 1, apitest.Fault{Code: 403, Description: "Forbidden: bot was blocked by the user"})
		p.Say("/help")
		h.settle()
		if owed, err := h.desk.Owed(time.Now()); err != nil || len(owed) != 0 {
			t.Errorf("still owed: %v, %v", owed, err)
		}
		p.Block(true)
		h.settle()
		before := h.server.Calls("sendMessage")
		if err := h.desk.Accept(nil, received{Update: fmt.Appendf(nil, `{"message":{"message_id":77,"from":{"id":7},"chat":{"id":7,"type":"private"},"date":%d,"text":"/help"}}`, time.Now().Unix())}.raw(t)); err != nil {
			t.Fatal(err)
		}
		p2 := h.operator(8)
		p2.Say("/help") // wakes the worker
		h.settle()
		if n := h.server.Calls("sendMessage") - before; n != 1 {
			t.Errorf("%d calls, want the one for the other operator", n)
		}
		p.Block(false)
		m := p.Say("/help")
		h.settle()
		answerTo(t, p, m)
	})
}

func (r received) raw(t *testing.T) storage.Raw {
	t.Helper()
	raw, err := r.encode("tg/test", time.Now())
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func TestUnknownTokenEnds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := newHouse(t, Config{Open: true})
		h.server.Fail("getUpdates", 0, 9, apitest.Fault{Code: 401, Description: "Unauthorized"})
		time.Sleep(2 * time.Minute)
		if err := h.stop(); !errors.Is(err, errToken) {
			t.Errorf("Run ended with %v", err)
		}
		h.stop = func() error { return nil }
	})
}

func TestRival(t *testing.T) {
	inHouse(t, Config{CodeFile: "owner-code"}, func(t *testing.T, h *house) {
		code, err := os.ReadFile(h.app.Awaits())
		if err != nil {
			t.Fatal(err)
		}
		boss := h.server.Phone(7, "Inga")
		boss.Say("/start " + string(code))
		h.settle()
		h.server.Fail("getUpdates", 0, 20, apitest.Fault{Code: 409, Description: "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"})
		time.Sleep(time.Hour)
		if n := strings.Count(strings.Join(texts(theirs(boss)), "\n"), textRival); n != 1 {
			t.Errorf("the owner was told %d times", n)
		}
		if n := strings.Count(h.log.String(), "another program polls"); n != 1 {
			t.Errorf("the log says it %d times", n)
		}
	})
}
