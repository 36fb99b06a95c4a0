package matrix

import (
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot/matrix/servertest"
)

// An owner who has said /forget is not written to again, not at the next start either,
// until they ask the bot into a room.
func TestForgottenOwnerIsLeftAlone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := newHouseAt(t, servertest.NewHome())
		h.setUp()
		p := h.inga
		p.Say("/forget")
		p.Reply(awaitText(p, "1️⃣").ID, "1")
		awaitText(p, "Removed: your settings")
		const logbook = "@logbook:" + servertest.Name
		awaitMember(p, logbook, "leave")
		for range 2 {
			time.Sleep(2 * time.Hour)
			if invited := p.Invitations(); len(invited) > 0 {
				t.Fatalf("who is forgotten is invited: %s", invited)
			}
			h.end()
			h.start()
		}
		p.Enter(p.Open(false, logbook))
		awaitMember(p, logbook, "leave")
		p.Join(p.Invited())
		awaitText(p, "not encrypted")
		awaitText(p, "Your call sign")
		h.end()
		h.start()
		p.Say("/after")
		awaitText(p, "I know no /after")
	})
}

// A wrong owner is told in the log, once an hour, and all else goes on.
func TestWrongOwner(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		home := servertest.NewHome()
		h := newHouseAt(t, home)
		var unknown atomic.Bool
		unknown.Store(true)
		h.through = between(func(r *http.Request) (*http.Response, error) {
			if unknown.Load() && strings.HasSuffix(r.URL.Path, "/createRoom") {
				return answer(r, http.StatusBadRequest, `{"errcode":"M_UNKNOWN","error":"there is nobody of that name"}`), nil
			}
			return home.RoundTrip(r)
		})
		h.start()
		time.Sleep(90 * time.Minute)
		synctest.Wait()
		const sentence = "the owner can't be invited: is -matrix-owner right?"
		if n := strings.Count(h.log.String(), sentence); n != 2 {
			t.Errorf("in 90 minutes it is said %d times, want 2", n)
		}
		unknown.Store(false)
		time.Sleep(time.Hour)
		h.inga.Join(h.inga.Invited())
		awaitText(h.inga, "Your call sign")
	})
}

// What was sent from here comes back with the news. That alone is not written down, and
// does no harm after the next start.
func TestOwnEventsCostNoWrite(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := newHouseAt(t, servertest.NewHome())
		h.setUp()
		h.inga.Say("/invented")
		awaitText(h.inga, "I know no /invented")
		kept := func() string {
			text, err := h.desk.Kept(memoryKey)
			if err != nil {
				t.Fatal(err)
			}
			return string(text)
		}
		synctest.Wait()
		before := kept()
		if !strings.Contains(before, `"since":"`) || strings.Contains(before, h.app.since()) {
			t.Errorf("kept is %s, and the transport is at %s", before, h.app.since())
		}
		h.end()
		h.start()
		time.Sleep(time.Minute)
		h.inga.Say("/after")
		awaitText(h.inga, "I know no /after")
		count := 0
		for _, m := range h.inga.Heard() {
			count += strings.Count(m.Text(), "I know no /invented")
		}
		if count != 1 {
			t.Errorf("%d answers to one message", count)
		}
	})
}

// A message that went out twice, because it did not show for a while that it had, is taken
// back where it is there a second time.
func TestDoublesAreTakenBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		home := servertest.NewHome()
		h := newHouseAt(t, home)
		h.setUp()
		h.inga.Say("/invented")
		answer := awaitText(h.inga, "I know no /invented")
		bot := home.Phone(t, "logbook")
		bot.Enter(h.inga.Room())
		double := bot.Send(typeMessage, answer.Content)
		time.Sleep(time.Minute)
		synctest.Wait()
		left := map[string]bool{}
		for _, m := range h.inga.History() {
			left[m.ID] = len(m.Content) > 0
		}
		if left[double] || !left[answer.ID] {
			t.Errorf("of two equal messages the second is there: %t, the first: %t", left[double], left[answer.ID])
		}
	})
}
