package telegram

import (
	"fmt"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot/telegram/apitest"
	"skyslate/storage"
)

func TestFetchOutlivesRestart(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		h.server.Fail("file", 0, 10, apitest.Fault{Code: 502, HTML: true})
		sent := p.Document("x.tle", []byte("nothing of use"), "")
		h.settle()
		if len(theirs(p)) != 0 {
			t.Fatalf("answered before it was fetched: %v", texts(theirs(p)))
		}
		h.close()
		h.open()
		time.Sleep(time.Hour)
		answerTo(t, p, sent)
	})
}

// The messages that came while nothing ran are all in, once and in order, and
// the service may forget them.
func TestBacklog(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		h.settle()
		h.close()
		var want []string
		for i := range 250 {
			text := fmt.Sprintf("ox9%c%c%c jo33", 'a'+i/26%26, 'a'+i%26, 'z')
			p.Say(text)
			want = append(want, text)
			time.Sleep(time.Minute)
		}
		h.server.Redeliver(3)
		h.open()
		time.Sleep(10 * time.Minute)
		var got []string
		for _, m := range h.messages("7") {
			got = append(got, m.Text)
		}
		if len(got) != len(want) || strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Errorf("%d messages kept of %d", len(got), len(want))
		}
		if n := h.server.Pending(); n != 0 {
			t.Errorf("%d updates are not confirmed", n)
		}
	})
}

// messages are the stored messages of an operator, by id.
func (h *house) messages(op storage.OperatorID) (all []storage.Message) {
	h.t.Helper()
	err := h.store.View(func(v *storage.View) error {
		for id := int64(1); id < 2000; id++ {
			m, ok, err := v.Message(op, id)
			if err != nil {
				return err
			}
			if ok {
				all = append(all, m)
			}
		}
		return nil
	})
	if err != nil {
		h.t.Error(err)
	}
	return all
}

// What can't be decoded holds nothing up and is told in the log.
func TestPoison(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		p.Say("/help")
		h.server.Push("message", `{"message_id":"seven","from":{"id":7},"chat":{"id":7,"type":"private"},"date":1}`)
		h.server.Push("hologram", `{"id":1}`)
		h.server.Push("message", `{"message_id":55,"from":{"id":7},"chat":{"id":7,"type":"private"},"date":1,"paid_media":{"paid_media":[{"type":"live_photo"}]}}`)
		last := p.Say("/help")
		h.settle()
		answerTo(t, p, last)
		if n := strings.Count(h.log.String(), "event set aside"); n != 2 {
			t.Errorf("%d events set aside in the log, want 2", n)
		}
		if n := h.server.Pending(); n != 0 {
			t.Errorf("%d updates pending", n)
		}
	})
}

func TestIDsDrawnLower(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		p.Say("/help")
		time.Sleep(8 * 24 * time.Hour)
		h.server.Redraw(117314199)
		for range 3 {
			m := p.Say("/help")
			h.settle()
			answerTo(t, p, m)
		}
		h.close()
		m := p.Say("/help")
		h.open()
		h.settle()
		answerTo(t, p, m)
	})
}

// Whatever goes wrong on the way, everything comes in once and everything owed
// goes out.
func TestFaultyNetwork(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		faults := []*apitest.Fault{
			{Code: 429, RetryAfter: 3},
			{Code: 502, HTML: true},
			{Code: 500},
			{Reset: true},
			{Reset: true, After: true},
			{Cut: true, After: true},
			{Hang: true},
			{Code: 502, HTML: true, After: true},
			{Code: 302},
			{Cut: true},
			{Code: 409, Description: "Conflict"},
		}
		h.server.Script(func(_ string, nth int) *apitest.Fault {
			if nth%3 == 0 {
				return nil
			}
			return faults[nth%len(faults)]
		})
		p := h.operator(7)
		var asked []int64
		for i := range 60 {
			asked = append(asked, p.Say(fmt.Sprintf("ox9%c%c%c jo33", 'a'+i/26, 'a'+i%26, 'z')))
			time.Sleep(time.Minute)
		}
		time.Sleep(6 * time.Hour)
		for _, id := range asked {
			answerTo(t, p, id)
		}
		if got := len(h.messages("7")); got != len(asked) {
			t.Errorf("%d messages stored of %d", got, len(asked))
		}
		t.Logf("%d messages out for %d, %d calls of sendMessage", len(theirs(p)), len(asked), h.server.Calls("sendMessage"))
	})
}

// The disk refuses: the service keeps the messages until it takes them.
func TestFullDiskKeepsMessagesAtService(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		h.settle()
		if err := h.store.Close(); err != nil {
			t.Fatal(err)
		}
		for range 5 {
			p.Say("/help")
		}
		h.settle()
		if n := h.server.Pending(); n != 5 {
			t.Errorf("%d at the service, want 5", n)
		}
		h.close()
		h.open()
		h.settle()
		if n := len(theirs(p)); n != 5 || h.server.Pending() != 0 {
			t.Errorf("%d answers, %d pending", n, h.server.Pending())
		}
	})
}

func TestStopsQuickly(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := newHouse(t, open)
		p := h.operator(7)
		h.settle()
		h.server.Fail("sendMessage", 0, 100, apitest.Fault{Hang: true})
		p.Say("/help")
		time.Sleep(time.Second)
		start := time.Now()
		if err := h.stop(); err != nil {
			t.Error(err)
		}
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("it took %s to stop", took)
		}
	})
}
