package matrix

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"

	"skyslate/bot"
	"skyslate/bot/matrix/servertest"
	"skyslate/bot/sky"
	"skyslate/storage"
)

// between is what stands between the bot and its server.
type between func(*http.Request) (*http.Response, error)

// RoundTrip is its one method.
func (b between) RoundTrip(r *http.Request) (*http.Response, error) { return b(r) }

// answer is a made-up answer.
func answer(r *http.Request, status int, body string) *http.Response {
	return &http.Response{
		StatusCode: status, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1, Header: http.Header{}, Request: r,
		Body: io.NopCloser(strings.NewReader(body)), ContentLength: int64(len(body)),
	}
}

// sends reports whether a request sends a message.
func sends(r *http.Request) bool { return strings.Contains(r.URL.Path, "/send/"+typeMessage+"/") }

// Whatever goes wrong with a send (refused for a while, cut after it was carried out, lost
// before the server, repeated), the answer comes once.
func TestFaultsOfSends(t *testing.T) {
	h := newHouse(t)
	var mu sync.Mutex
	n, on := 0, false
	h.through = between(func(r *http.Request) (*http.Response, error) {
		mu.Lock()
		faulty := on && sends(r)
		if faulty {
			n++
		}
		kind := n % 5
		mu.Unlock()
		if !faulty {
			return http.DefaultTransport.RoundTrip(r)
		}
		switch kind {
		case 0:
			return http.DefaultTransport.RoundTrip(r)
		case 1:
			return answer(r, http.StatusTooManyRequests, `{"errcode":"M_LIMIT_EXCEEDED","error":"too much","retry_after_ms":300}`), nil
		case 2: // carried out, but nobody hears of it
			resp, err := http.DefaultTransport.RoundTrip(r)
			if err == nil {
				resp.Body.Close()
			}
			return nil, errors.New("the connection was cut")
		case 3:
			return answer(r, http.StatusBadGateway, "<html>not here</html>"), nil
		}
		body, err := io.ReadAll(r.Body)
		if err != nil {
			return nil, err
		}
		again := r.Clone(r.Context())
		again.Body = io.NopCloser(bytes.NewReader(body))
		if resp, err := http.DefaultTransport.RoundTrip(again); err == nil {
			resp.Body.Close()
		}
		r.Body = io.NopCloser(bytes.NewReader(body))
		return http.DefaultTransport.RoundTrip(r)
	})
	h.setUp()
	mu.Lock()
	on = true
	mu.Unlock()
	const messages = 8
	for i := range messages {
		h.inga.Say(fmt.Sprintf("/invented%d", i))
	}
	awaitText(h.inga, fmt.Sprintf("/invented%d.", messages-1))
	h.end()
	for i := range messages {
		want := fmt.Sprintf("/invented%d.", i)
		count := 0
		for _, m := range h.inga.Heard() {
			count += strings.Count(m.Text(), want)
		}
		if count != 1 {
			t.Errorf("%d answers with %q", count, want)
		}
	}
}

// odd are events of forms that no server should let pass; each alone makes an ordinary
// decoder give everything up.
var odd = []string{
	`{"event_id":"$o1","type":"m.room.message","sender":"{inga}","origin_server_ts":"soon","content":{"msgtype":"m.text","body":"/odd1"}}`,
	`{"event_id":"$o2","type":"m.room.message","sender":"{inga}","origin_server_ts":1.5,"content":{"msgtype":"m.text","body":"/odd2"}}`,
	`{"event_id":"$o3","type":"m.room.message","sender":"{inga}","unsigned":5,"content":{"msgtype":"m.text","body":"/odd3"}}`,
	`{"event_id":"$o4","type":"m.room.message","sender":"{inga}","unsigned":{"age":"x"},"redacts":5,"content":{"msgtype":"m.text","body":"/odd4"}}`,
	`{"event_id":"$o5","type":"m.room.message","sender":5,"content":{"msgtype":"m.text","body":"/odd5"}}`,
	`{"event_id":"$o6","type":"m.room.message","sender":"{inga}","content":5}`,
	`{"event_id":"$o7","type":5,"sender":"{inga}","content":{"msgtype":"m.text","body":"/odd7"}}`,
	`5`, `null`,
}

// Events of odd forms hold nothing up: what can be read of them is worked, the others are
// kept apart and told.
func TestOddEvents(t *testing.T) {
	h := newHouse(t)
	var once sync.Once
	h.through = between(func(r *http.Request) (*http.Response, error) {
		resp, err := http.DefaultTransport.RoundTrip(r)
		if err != nil || !strings.HasSuffix(r.URL.Path, "/sync") {
			return resp, err
		}
		body, err := io.ReadAll(resp.Body)
		resp.Body.Close()
		if err != nil {
			return nil, err
		}
		if bytes.Contains(body, []byte("/ordinary")) {
			once.Do(func() { body = withOdd(t, body, h.inga.ID) })
		}
		return answer(r, resp.StatusCode, string(body)), nil
	})
	h.setUp()
	h.inga.Say("/ordinary")
	for _, text := range []string{"/odd1", "/odd2", "/odd3", "/odd4", "/ordinary"} {
		awaitText(h.inga, "I know no "+text)
	}
	h.inga.Say("/after")
	awaitText(h.inga, "I know no /after")
	if faults, err := h.desk.Faults(h.app.way.started); err != nil || len(faults) != 5 {
		t.Errorf("%d are kept apart (%v), want 5", len(faults), err)
	}
}

// withOdd puts the odd events before the others of each room.
func withOdd(t *testing.T, body []byte, inga string) []byte {
	var all map[string]any
	if err := json.Unmarshal(body, &all); err != nil {
		t.Error(err)
		return body
	}
	rooms, _ := all["rooms"].(map[string]any)
	join, _ := rooms["join"].(map[string]any)
	for _, room := range join {
		timeline, _ := room.(map[string]any)["timeline"].(map[string]any)
		events, _ := timeline["events"].([]any)
		var added []any
		for _, text := range odd {
			var e any
			if err := json.Unmarshal([]byte(strings.ReplaceAll(text, "{inga}", inga)), &e); err != nil {
				t.Error(err)
			}
			added = append(added, e)
		}
		timeline["events"] = slices.Concat(added, events)
	}
	body, err := json.Marshal(all)
	if err != nil {
		t.Error(err)
	}
	return body
}

// After a long absence everything is there once and in order, though the server cuts what
// it gives; so it is after a place to go on from that the server doesn't know. Two people
// write: one alone would meet the limit of a minute.
func TestAbsence(t *testing.T) {
	for _, away := range []struct {
		name, place string
		messages    int
	}{
		{"away for long", "", 500},
		{"with a place that is none", "garbage", 120},
		{"with a place ahead of the server", "s9999999_0", 120},
	} {
		t.Run(away.name, func(t *testing.T) {
			h := newHouse(t)
			h.through = between(fewAtOnce)
			h.setUp()
			anna := h.server.Phone(t, "anna")
			h.inga.Say("/invite " + anna.ID)
			anna.Join(anna.Invited())
			awaitText(anna, "Your call sign")
			h.end()
			people := []*servertest.Phone{h.inga, anna}
			each := away.messages / len(people)
			for i := range each {
				for _, p := range people {
					p.Say(fmt.Sprintf("/away%d", i))
				}
			}
			if away.place != "" {
				h.spoil(away.place)
			}
			h.start()
			for _, p := range people {
				awaitText(p, fmt.Sprintf("/away%d.", each-1))
			}
			h.end()
			for _, p := range people {
				allAnswered(t, p, each)
			}
		})
	}
}

// allAnswered checks that so many messages were answered, once each and in order.
func allAnswered(t *testing.T, p *servertest.Phone, messages int) {
	t.Helper()
	next := 0
	for _, m := range p.Heard() {
		if strings.Contains(m.Text(), "/away") {
			if !strings.Contains(m.Text(), fmt.Sprintf("/away%d.", next)) {
				t.Fatalf("got %q where /away%d was to be answered", m.Text(), next)
			}
			next++
		}
	}
	if next != messages {
		t.Errorf("%d answers of %d", next, messages)
	}
}

// fewAtOnce makes the server give ten events of a room at a time.
func fewAtOnce(r *http.Request) (*http.Response, error) {
	if query := r.URL.Query(); query.Has("filter") {
		r = r.Clone(r.Context())
		query.Set("filter", strings.Replace(query.Get("filter"), `"limit":50`, `"limit":10`, 1))
		r.URL.RawQuery = query.Encode()
	}
	return http.DefaultTransport.RoundTrip(r)
}

// A stranger's invitation is declined, somebody's own edit of the bot's message changes
// nothing, and who left and asks the bot back is invited to the room of before.
func TestRoomsOfOthers(t *testing.T) {
	h := newHouse(t)
	h.setUp()
	stranger := h.server.Phone(t, "stray")
	const logbook = "@logbook:" + servertest.Name
	for _, encrypted := range []bool{false, true} {
		room := stranger.Open(encrypted, logbook)
		stranger.Enter(room)
		awaitMember(stranger, logbook, "leave")
	}
	if h.door.Admits("@stray:" + servertest.Name) {
		t.Error("the stranger is in")
	}
	p := h.inga
	heard := p.Heard()
	p.Edit(heard[0].ID, "something else")
	p.Say("/after")
	awaitText(p, "I know no /after")
	room := p.Room()
	p.Leave()
	p.Enter(p.Open(true, logbook))
	awaitMember(p, logbook, "leave")
	if again := p.Invited(); again != room {
		t.Fatalf("invited to %s, want %s", again, room)
	}
	p.Join(room)
	p.Say("/back")
	awaitText(p, "I know no /back")
}

// A third person whom the server let into the room after all is heard by nobody: what
// they say, edit, take back and tap is not the operator's.
func TestThirdInTheRoom(t *testing.T) {
	h := newHouse(t)
	h.setUp()
	p, third := h.inga, h.server.Phone(t, "third")
	note := p.Say("the beacon was loud tonight")
	question := p.Say("/forget")
	asked := awaitText(p, "Remove everything")
	admin := h.server.PhoneOf(t, "logbook", h.token)
	admin.Enter(p.Room())
	if status := admin.Try(http.MethodPost, admin.InRoom("invite"), map[string]any{"user_id": third.ID}); status != http.StatusOK {
		t.Fatalf("the third isn't invited: status %d", status)
	}
	third.Join(p.Room())
	third.Say("/call OX7EC")
	third.Edit(note, "/call OX7EC")
	third.Edit(question, "/call OX7EC")
	third.Tap(asked.ID, "1️⃣")
	third.Say("1")
	third.Reply(asked.ID, "yes")
	third.File("invented.adi", []byte("<EOH><CALL:6>OX9QZI <QSO_DATE:8>20260523 <TIME_ON:6>104535 <EOR>"))
	p.Say("/after")
	awaitText(p, "I know no /after")
	o, ok := h.operator()
	if !ok || o.Call.String() != "OX9QZT" {
		t.Errorf("the operator is %v, %t", o.Call, ok)
	}
	if h.door.Admits(storage.OperatorID(third.ID)) {
		t.Error("the third is in")
	}
	for _, m := range p.Heard() {
		if m.Sender == admin.ID && (strings.Contains(m.Text(), "OX9QZI") || strings.Contains(m.Text(), "OX7EC")) {
			t.Errorf("the third was heard: %q", m.Text())
		}
	}
}

// operator is Inga as the store has her.
func (h *house) operator() (o storage.Operator, ok bool) {
	err := h.store.View(func(v *storage.View) (err error) {
		o, ok, err = v.Operator(storage.OperatorID(h.inga.ID))
		return err
	})
	if err != nil {
		h.t.Fatal(err)
	}
	return o, ok
}

// awaitMember waits until somebody is, or is not any more, in the room.
func awaitMember(p *servertest.Phone, who, membership string) {
	p.Await(who+" "+membership, func() bool {
		history := p.History()
		for _, m := range slices.Backward(history) {
			if m.Type == typeMember && m.StateKey == who {
				return m.Content["membership"] == membership
			}
		}
		return false
	})
}

// spoil changes the place to go on from.
func (h *house) spoil(since string) {
	h.t.Helper()
	store, err := storage.Open(h.dir)
	if err != nil {
		h.t.Fatal(err)
	}
	k, err := readKept(bot.New(bot.Config{Store: store, Sky: sky.New(nil, nil)}))
	if err != nil {
		h.t.Fatal(err)
	}
	k.Since = since
	if err := errors.Join(store.Accept(map[string][]byte{memoryKey: encoded(&k.memory)}), store.Close()); err != nil {
		h.t.Fatal(err)
	}
}

// The owner invites somebody by their address, who gets a room of their own; an address
// that the server doesn't know is told, and who is put out is heard no more.
func TestInvitedByAddress(t *testing.T) {
	h := newHouse(t)
	h.setUp()
	anna := h.server.Phone(t, "anna")
	h.inga.Say("/invite " + anna.ID)
	awaitText(h.inga, "is let in, and I write there first")
	anna.Join(anna.Invited())
	awaitText(anna, "Your call sign")
	if anna.Room() == h.inga.Room() {
		t.Error("two operators are in one room")
	}
	anna.Say("/invite @other:" + servertest.Name)
	awaitText(anna, "Only the one who runs this bot")
	h.inga.Say("/invite")
	awaitText(h.inga, "/invite @name:server")
	h.inga.Say("/invite off 1")
	awaitText(anna, "You are not let in here any more")
	anna.Say("/invented")
	h.inga.Say("/after")
	awaitText(h.inga, "I know no /after")
	for _, m := range anna.Heard() {
		if strings.Contains(m.Text(), "/invented") {
			t.Errorf("who is put out is answered: %q", m.Text())
		}
	}
}

// A server that was restored from a backup has forgotten what the bot knows. What is
// said from then on is answered, once.
func TestServerRestored(t *testing.T) {
	h := newHouse(t)
	h.setUp()
	saved := h.server.Save(t)
	for i := range 10 {
		h.inga.Say(fmt.Sprintf("/gone%d", i))
	}
	awaitText(h.inga, "/gone9.")
	h.server.Restore(t, saved)
	for i := range 10 {
		h.inga.Say(fmt.Sprintf("/restored%d", i))
	}
	awaitText(h.inga, "/restored9.")
	h.end()
	answers := 0
	for _, m := range h.inga.Heard() {
		answers += strings.Count(m.Text(), "I know no /restored")
	}
	if answers != 10 {
		t.Errorf("%d answers to 10 messages", answers)
	}
}
