package telegram

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot/sky"
	"skyslate/bot/telegram/apitest"
	"skyslate/predict"
	"skyslate/storage"
)

// inventedSky is one invented bird on an invented orbit, known from the moment
// that simulated time begins.
func inventedSky(epoch time.Time) *sky.Sky {
	return sky.New([]predict.Bird{{
		Name: "WICKET-1", LogName: "WICKET-1", Catalog: 99301, Status: predict.Status{On: true, Date: epoch},
		Transponders: []predict.Transponder{{Kind: predict.FM, UplinkMHz: 145.965, DownlinkMHz: 436.235, Mode: "FM", ToneHz: 88.5}},
	}}, []predict.Elements{{
		Name: "WICKET-1", Catalog: 99301, Epoch: epoch, MeanMotion: 14.8512, Eccentricity: 0.0012,
		InclinationDeg: 67.02, RAANDeg: 356.2, ArgPerigeeDeg: 81.5, MeanAnomalyDeg: 263.762, BStar: 0.00012,
	}})
}

// calls are the calls of a chat with their moments, as the service sees them.
type calls struct {
	mu      sync.Mutex
	at      map[string][]time.Time // by method
	refused []time.Time            // until when nothing may be tried
	early   []string               // what was tried all the same
}

const retryAfter = 25 // seconds

// script refuses every fourth edit and every fifth message.
func (c *calls) script(method string, nth int) *apitest.Fault {
	if method == "getupdates" || method == "getme" || method == "setmycommands" || method == "deletewebhook" {
		return nil
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	now := time.Now()
	for _, until := range c.refused {
		if now.Before(until) {
			c.early = append(c.early, fmt.Sprintf("%s at %s", method, now.Format(time.TimeOnly)))
		}
	}
	c.at[method] = append(c.at[method], now)
	if method == "editmessagetext" && nth%4 == 0 || method == "sendmessage" && nth%5 == 0 {
		c.refused = append(c.refused, now.Add(retryAfter*time.Second))
		return &apitest.Fault{Code: 429, RetryAfter: retryAfter}
	}
	return nil
}

// most is the greatest number of calls within a span of time.
func (c *calls) most(span time.Duration) int {
	var all []time.Time
	for _, some := range c.at {
		all = append(all, some...)
	}
	most := 0
	for _, first := range all {
		n := 0
		for _, at := range all {
			if !at.Before(first) && at.Sub(first) < span {
				n++
			}
		}
		most = max(most, n)
	}
	return most
}

// A whole pass with a contact every 20 seconds, while the service refuses every
// fourth edit: the card comes once and silently, is pinned, keeps to the rates
// ("one message per second", bursts allowed: core.telegram.org/bots/faq), and ends
// as the summary.
func TestCardOverAWholePass(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		sky := inventedSky(time.Now().UTC())
		h := newHouse(t, config{open: true, sky: sky})
		c := &calls{at: map[string][]time.Time{}}
		h.server.Script(c.script)
		phone := h.operator(7)
		phone.Known()
		pass := goodPass(t, sky, time.Now().UTC().Add(8*time.Hour))
		time.Sleep(time.Until(pass.AOS) + time.Second)
		contacts := 0
		for ; time.Until(pass.LOS) > time.Minute; contacts++ {
			phone.Say(fmt.Sprintf("ox%dz%cq jo33", 1+contacts%9, 'a'+contacts/9))
			time.Sleep(20 * time.Second)
		}
		during := card(t, phone)
		if !during.Silent || !during.Pinned || during.PinRang || !strings.Contains(during.Text, " UTC") {
			t.Errorf("during the pass: %+v", during)
		}
		first, _, _ := strings.Cut(during.Text, "\n")
		if bold, rows := during.Shown("bold"), during.Shown("pre"); len(bold) != 1 || bold[0] != first || len(rows) != 1 || !strings.HasPrefix(rows[0], "UTC ") {
			t.Errorf("in bold %q, as a table %q", bold, rows)
		}
		time.Sleep(time.Until(pass.LOS) + 3*time.Minute)
		if err := h.stop(); err != nil {
			t.Errorf("Run: %v", err)
		}
		judgeCalls(t, c)
		done := card(t, phone)
		if want := fmt.Sprintf("WICKET-1 has set: %d contacts", contacts); !strings.HasPrefix(done.Text, want) || done.Pinned {
			t.Errorf("the card ends as %q, pinned %t, want %q", done.Text, done.Pinned, want)
		}
		t.Logf("%s pass, %d contacts: %d edits on the card, %d calls to edit, %d refused, at most %d calls in 10 s",
			pass.LOS.Sub(pass.AOS).Round(time.Second), contacts, done.Edits, len(c.at["editmessagetext"]), len(c.refused), c.most(10*time.Second))
		if rows := 12; done.Edits > rows+2*contacts || done.Edits < contacts/4 {
			t.Errorf("%d edits for %d contacts", done.Edits, contacts)
		}
	})
}

// judgeCalls checks that no call came over the rate or while it was forbidden.
func judgeCalls(t *testing.T, c *calls) {
	t.Helper()
	if len(c.refused) < 3 {
		t.Errorf("only %d calls were refused", len(c.refused))
	}
	for _, early := range c.early {
		t.Errorf("tried before it was allowed: %s", early)
	}
	for _, span := range []time.Duration{time.Second, 10 * time.Second, time.Minute} {
		const burst = 5
		if n := c.most(span); n > burst+int(span/time.Second) {
			t.Errorf("%d calls within %s", n, span)
		}
	}
	if n := len(c.at["pinchatmessage"]); n != 1 {
		t.Errorf("pinned %d times", n)
	}
}

// card is the one post that was pinned or is edited through a pass.
func card(t *testing.T, p *apitest.Phone) apitest.Message {
	t.Helper()
	var found []apitest.Message
	for _, m := range theirs(p) {
		if m.Pinned || strings.Contains(m.Text, " has set") {
			found = append(found, m)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d cards, want one", len(found))
	}
	return found[0]
}

// goodPass is the first pass that a newcomer's rules follow.
func goodPass(t *testing.T, birds *sky.Sky, from time.Time) predict.Pass {
	t.Helper()
	passes, err := birds.Passes(storage.Place{LatDeg: 53.5, LonDeg: 7}, 99301, from, from.Add(12*time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range passes {
		if p.AtTCA.ElDeg >= 30 && p.AOS.After(from) {
			return p
		}
	}
	t.Fatal("no good pass")
	return predict.Pass{}
}
