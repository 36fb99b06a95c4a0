package telegram

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/bot/fetch"
	"skyslate/bot/telegram/apitest"
)

// Whoever is forgotten while everything is in flight (a document on its way in, a
// file on its way out, a long answer half said, a log being read, a message that
// was set aside) leaves nothing behind, hears nothing more and is a stranger.
func TestAttackForgottenInFlight(t *testing.T) {
	inHouse(t, config{owned: true}, func(t *testing.T, h *house) {
		boss := h.owned(7)
		guest := h.server.Phone(70770707, "Ole")
		h.asked(guest, h.invitation(boss))
		h.asked(guest, "hx7quo")
		h.asked(guest, "jo33")
		h.asked(guest, "ox9wom jo33 quokka in the field")
		h.server.Push("message", `{"message_id":"quokka","from":{"id":70770707},"chat":{"id":70770707,"type":"private"},"date":1,"text":"quokka"}`)
		h.settle()
		if n := strings.Count(h.log.String(), "event set aside"); n != 1 {
			t.Fatalf("%d events set aside", n)
		}
		if got := texts(theirs(guest)); !strings.Contains(got[len(got)-1], "kept") {
			t.Errorf("the message that failed is answered with %q", got[len(got)-1])
		}

		var log strings.Builder
		for i := range 3000 {
			fmt.Fprintf(&log, "<CALL:6>OX%c%c%c%c<QSO_DATE:8>20250101<TIME_ON:4>1200<BAND:2>2m<MODE:2>FM<NOTES:6>quokka<EOR>\n",
				'0'+i/676%10, 'A'+i/26%26, 'A'+i%26, 'Q')
		}
		guest.Document("quokka.adi", []byte(log.String()), "")
		time.Sleep(5 * time.Second) // it is being read, in slices
		h.server.Fail("file", 0, 1, apitest.Fault{Drip: time.Second})
		guest.Document("later.adi", []byte(log.String()), "quokka") // drips in
		time.Sleep(2 * time.Second)
		h.server.Fail("sendDocument", 0, 1, apitest.Fault{Hang: true})
		question := h.said(guest, "/forget", 3*time.Second)
		guest.Say("/adif all") // its upload hangs
		time.Sleep(3 * time.Second)
		h.app.keepSent(bot.Outgoing{Name: "70770707/say/x/0", Text: "quokka"}, 1)
		if h.fetching() == "" {
			t.Fatal("no document is being fetched")
		}
		if err := guest.Tap(question.ID, question.Buttons()[0][0]); err != nil {
			t.Fatal(err)
		}
		guest.Say("quokka, too late") // comes in with the tap, or after it
		h.settle()
		all := theirs(guest)
		last := all[len(all)-1]
		if strings.HasPrefix(last.Text, toStrangers) && len(all) > 1 {
			last = all[len(all)-2]
		}
		if !strings.HasPrefix(last.Text, "Removed") {
			t.Fatalf("the farewell is %q in %q", last.Text, texts(all))
		}
		time.Sleep(36 * time.Hour)
		if more := theirs(guest); len(more) > len(all) {
			t.Errorf("after the farewell came %q", texts(more[len(all):]))
		}
		if n := len(h.app.partialSends); n != 0 {
			t.Errorf("%d partial sends are remembered", n)
		}
		for _, text := range []string{"/start", "ox9abc jo33"} {
			if got := h.asked(guest, text); !turnedAway(got) {
				t.Errorf("%s of who is forgotten gets %q", text, got)
			}
		}
		if got := h.asked(boss, "/invite list"); !strings.HasPrefix(got, noneInvited) {
			t.Errorf("the owner's list: %s", got)
		}
		h.close()
		h.holdsNot("quokka", "hx7quo", "ox9wom", "later.adi", "70770707")
		h.open()
		if got := h.asked(guest, h.invitation(boss)); !isIn(got) {
			t.Errorf("invited anew they get %q", got)
		}
	})
}

// said says something and returns the first answer after a while.
func (h *house) said(p *apitest.Phone, text string, wait time.Duration) apitest.Message {
	h.t.Helper()
	m := p.Say(text)
	time.Sleep(wait)
	return answerTo(h.t, p, m)
}

// An owner who is forgotten leaves a bot that waits for another one.
func TestOwnerIsForgotten(t *testing.T) {
	inHouse(t, config{owned: true}, func(t *testing.T, h *house) {
		boss := h.owned(7)
		question := h.said(boss, "/forget", time.Minute)
		if err := boss.Tap(question.ID, question.Buttons()[0][0]); err != nil {
			t.Fatal(err)
		}
		h.settle()
		if got := texts(theirs(boss)); !strings.HasPrefix(got[len(got)-1], "Removed") {
			t.Errorf("the farewell is %q", got[len(got)-1])
		}
		if got := h.asked(boss, "/invite"); !strings.HasPrefix(got, toStrangers) {
			t.Errorf("afterwards they get %q", got)
		}
		if h.door.Awaits() == "" {
			t.Fatal("no owner is awaited")
		}
		if got := h.asked(h.owned(8), "/invite list"); !strings.HasPrefix(got, noneInvited) {
			t.Errorf("the next owner gets %q", got)
		}
	})
}

// A forgetting that a crash or a full disk interrupts is done again, and says
// farewell then.
func TestForgettingIsTriedAgain(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		h.asked(p, "ox9abc jo33")
		question := h.said(p, "/forget", time.Minute)
		h.server.Fail("sendMessage", 0, 20, apitest.Fault{Code: 502, HTML: true})
		if err := p.Tap(question.ID, question.Buttons()[0][0]); err != nil {
			t.Fatal(err)
		}
		time.Sleep(10 * time.Second)
		h.close()
		h.open()
		time.Sleep(time.Hour)
		got := texts(theirs(p))
		if n := strings.Count(strings.Join(got, "\n"), "Removed:"); n != 1 {
			t.Errorf("%d farewells in %q", n, got)
		}
		// All that was done before the crash, but for the end of the event.
		raw := received{Update: fmt.Appendf(nil,
			`{"update_id":900001,"callback_query":{"id":"1","from":{"id":7},"message":{"message_id":%d,"date":1,"chat":{"id":7,"type":"private"}},"data":"forget:%d"}}`,
			question.ID, time.Now().Unix())}.raw(t)
		raw.ID = "tg/900001"
		if err := h.desk.Accept(nil, raw); err != nil {
			t.Fatal(err)
		}
		h.server.Phone(8, "Siv").Say("/help") // wakes the worker
		h.settle()
		if n := strings.Count(strings.Join(texts(theirs(p)), "\n"), "Removed:"); n != 2 {
			t.Errorf("%d farewells after a repeat", n)
		}
	})
}

// A file that drips in is given up for a while, then for good, and said; others
// come in meanwhile.
func TestAttackSlowDocument(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		h.server.Fail("file", 0, 1000, apitest.Fault{Drip: 10 * time.Second})
		slow := p.Document("slow.tle", make([]byte, 1000), "")
		m := p.Say("ox9abc jo33")
		h.settle()
		answerTo(t, p, m)
		time.Sleep(fetch.TriedFor + time.Hour)
		answerTo(t, p, slow)
		if calls := h.server.Calls("getFile"); calls > 24*20 {
			t.Errorf("asked %d times in a day", calls)
		}
		if left := waiting(h.app); left != 0 {
			t.Errorf("still to be fetched: %v", left)
		}
	})
}

// Large documents of many operators at once never stand in the database: while they
// wait, while a log is being read, over a restart; and nothing of them is left.
func TestAttackLargeDocuments(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		const many, each = 12, 1 << 20
		record := "<CALL:6>OX9QZT<QSO_DATE:8>19990101<TIME_ON:4>1200<BAND:2>2m<MODE:2>FM<EOR>\n"
		bodies := map[string]string{
			"log.adi": strings.Repeat(record, each/len(record)),
			"x.tle":   strings.Repeat("nothing of use\n", each/15),
			"x.adx":   "<ADX>" + strings.Repeat("x", each),
		}
		type sent struct {
			phone   *apitest.Phone
			message int64
		}
		var all []sent
		for n := range many {
			p := h.operator(int64(7 + n))
			for name, body := range bodies {
				all = append(all, sent{p, p.Document(name, []byte(body), "")})
			}
		}
		database := func() int64 {
			info, err := os.Stat(filepath.Join(h.dir, "skyslate.db"))
			if err != nil {
				t.Fatal(err)
			}
			return info.Size()
		}
		time.Sleep(time.Second) // the first logs are being read
		h.close()
		h.open()
		h.settle()
		for _, m := range all {
			answerTo(t, m.phone, m.message)
		}
		// What is kept of a document is far less than it.
		if size := database(); size > each*many*3/2 {
			t.Errorf("the database has %d bytes, for %d of documents", size, each*many*3)
		}
		if left, err := os.ReadDir(filepath.Join(h.dir, "documents")); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("left: %v, %v", left, err)
		}
	})
}

// Nothing of what a document says about itself is believed, or becomes a path.
func TestAttackDocuments(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := newHouse(t, open)
		p := h.operator(7)
		files := func() (names []string) {
			entries, err := os.ReadDir(h.dir)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range entries {
				names = append(names, e.Name())
			}
			return names
		}
		before := fmt.Sprint(files())
		for name, body := range map[string]string{
			"../../../owned.adi":               "<CALL:6>OX9QZT<EOR>",
			"..\\..\\owned\x00.tle":            "x",
			"/etc/passwd":                      "root:x:0:0",
			"a\nlevel=ERROR msg=owned.tle":     "x",
			"bomb.gz":                          "\x1f\x8b\x08" + strings.Repeat("\x00", 1000),
			"bomb.zip":                         "PK\x03\x04" + strings.Repeat("\x00", 1000),
			"run.sh":                           "#!/bin/sh\ntouch owned\n",
			"entities.adx":                     "<?xml version=\"1.0\"?><!DOCTYPE x [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;\">]><ADX>&b;</ADX>",
			strings.Repeat("n", 4000) + ".adi": "<CALL:999999999999>x",
			"negative.adi":                     "<CALL:-5>OX9QZT<EOR>",
		} {
			m := p.Document(name, []byte(body), "")
			h.settle()
			answerTo(t, p, m)
		}
		if after := fmt.Sprint(files()); after != before {
			t.Errorf("files: %s, before %s", after, before)
		}
		if strings.Contains(h.log.String(), "set aside") {
			t.Errorf("set aside:\n%s", h.log.String())
		}
		for line := range strings.Lines(h.log.String()) {
			if !strings.HasPrefix(line, "time=") {
				t.Errorf("a log line of its own: %q", line)
			}
		}
		if err := h.stop(); err != nil {
			t.Error(err)
		}
	})
}
