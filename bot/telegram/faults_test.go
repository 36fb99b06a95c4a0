package telegram

import (
	"crypto/rand"
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/bot/telegram/apitest"
)

// The owner is told of what failed: once a day, silently, how much and what to
// do; and what nobody wanted is no fault.
func TestFaultsAreTold(t *testing.T) {
	inHouse(t, config{owned: true}, func(t *testing.T, h *house) {
		boss := h.owned(7)
		guest := h.server.Phone(8, "Ole")
		h.asked(guest, h.invitation(boss))
		told := func() (n int) {
			for _, m := range theirs(boss) {
				if strings.Contains(m.Text, "skyslate verify -data DIR") {
					n++
					if !m.Silent {
						t.Error("it makes a sound")
					}
				}
			}
			return n
		}
		poison := func() {
			h.server.Push("message", `{"message_id":"seven","from":{"id":8},"chat":{"id":8,"type":"private"},"date":1}`)
		}
		time.Sleep(time.Hour)
		if told() != 0 {
			t.Fatal("told of nothing")
		}
		for range 3 {
			poison()
		}
		h.server.Fail("sendMessage", 0, 1, apitest.Fault{Code: 400, Description: "Bad Request: nobody knows why"})
		boss.Say("/help")
		time.Sleep(10 * time.Minute)
		all := theirs(boss)
		if last := all[len(all)-1].Text; told() != 1 || !strings.Contains(last, "read: 3 (kept)") || !strings.Contains(last, "sent: 1.") {
			t.Errorf("told %d times, last %q", told(), last)
		}
		poison()
		time.Sleep(3 * time.Hour)
		if n := told(); n != 1 {
			t.Errorf("told %d times on one day", n)
		}
		time.Sleep(24 * time.Hour)
		if n := told(); n != 2 {
			t.Errorf("told %d times in two days", n)
		}
		guest.Block(true)
		h.asked(boss, "/invite off 1")
		time.Sleep(72 * time.Hour)
		if n := told(); n != 2 {
			t.Errorf("told %d times, though nothing failed any more", n)
		}
		faults, err := h.desk.Faults(time.Time{})
		if err != nil || len(faults) != 5 {
			t.Errorf("faults: %+v, %v", faults, err)
		}
		for _, f := range faults {
			if f.Why == "" || f.At.IsZero() {
				t.Errorf("a fault without a reason or a time: %+v", f)
			}
		}
	})
}

// A stranger costs nothing, whatever they send.
func TestAttackStrangerCostsNothing(t *testing.T) {
	inHouse(t, config{owned: true}, func(t *testing.T, h *house) {
		stray := h.server.Phone(8, "Ole")
		stray.Say("/start")
		stray.Say("/forget")
		stray.Say("/invite off 1")
		stray.Document("log.adi", make([]byte, 1<<20), "a caption")
		stray.Place(53, 7, 5, true)
		stray.Voice(time.Minute)
		stray.Edit(stray.Say("hx7abc jo33"), "hx7abd jo33")
		h.server.Push("message", `{"message_id":"x","from":{"id":8},"chat":{"id":8,"type":"private"},"date":1,"text":"hidden"}`)
		h.server.Push("callback_query", `{"id":"1","from":{"id":8},"message":{"message_id":5,"date":1,"chat":{"id":8,"type":"private"}},"data":"forget:1"}`)
		for range 100 {
			stray.Say("/start " + strings.ToLower(rand.Text()))
		}
		h.settle()
		if got := texts(theirs(stray)); len(got) != 1 || !strings.HasPrefix(got[0], toStrangers) {
			t.Errorf("a stranger gets %q", got)
		}
		if n := h.server.Calls("getFile") + h.server.Calls("file"); n != 0 {
			t.Errorf("%d fetches for a stranger", n)
		}
		if h.door.Admits("8") || waiting(h.app) != 0 {
			t.Errorf("the stranger is in, or remembered: %+v", h.app.remembered())
		}
		if raw, ok, err := h.store.Oldest(); ok || err != nil {
			t.Errorf("in the inbox: %v, %v", raw.ID, err)
		}
		if faults, err := h.desk.Faults(time.Time{}); len(faults) != 0 || err != nil {
			t.Errorf("set aside: %v, %v", faults, err)
		}
	})
}

// More documents than a day allows are not even fetched, and that is said once.
func TestAttackManyDocuments(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		for i := range 60 {
			p.Document(fmt.Sprintf("x%d.txt", i), []byte("nothing of use"), "")
			if i == 30 {
				h.settle()
			}
		}
		m := p.Say("ox9abc jo33")
		h.settle()
		answerTo(t, p, m)
		if n := h.server.Calls("getFile"); n > 20 {
			t.Errorf("%d documents were fetched", n)
		}
		if n := strings.Count(strings.Join(texts(theirs(p)), "\n"), "too many files for one day"); n != 1 {
			t.Errorf("said %d times", n)
		}
		h.server.Fail("file", 0, 1, apitest.Fault{Code: 404})
		time.Sleep(24 * time.Hour)
		gone := p.Document("gone.txt", []byte("x"), "")
		h.settle()
		if a := answerTo(t, p, gone); !strings.Contains(a.Text, "could not fetch") {
			t.Errorf("a file that is gone: %q", a.Text)
		}
	})
}
