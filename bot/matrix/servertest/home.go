package servertest

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// Home is a homeserver in memory, which carries requests itself: for tests in simulated
// time, and for those that need no real server. It knows the part of the protocol that
// the bot and a phone use. Rights, limits and encryption are the real one's matter. It
// remembers no transaction: they are named by moments, and simulated time may stand still.
type Home struct {
	mu      sync.Mutex
	changed chan struct{}                // closed, and made anew, when something has happened
	events  []*happening                 // of all rooms
	rooms   map[string]map[string]string // the memberships of each
	media   map[string][]byte
	mux     http.ServeMux
}

// happening is an event of a room.
type happening struct {
	ID       string         `json:"event_id"`
	Type     string         `json:"type"`
	Sender   string         `json:"sender"`
	StateKey *string        `json:"state_key,omitempty"`
	At       int64          `json:"origin_server_ts"`
	Content  map[string]any `json:"content"`

	room string
}

// NewHome makes a server on which nothing has happened.
func NewHome() *Home {
	h := &Home{
		changed: make(chan struct{}), rooms: map[string]map[string]string{},
		media: map[string][]byte{},
	}
	const v3 = "/_matrix/client/v3/"
	for pattern, answer := range map[string]func(call) any{
		"GET " + v3 + "account/whoami":                            func(c call) any { return map[string]string{"user_id": c.user} },
		"GET " + v3 + "sync":                                      h.sync,
		"POST " + v3 + "createRoom":                               h.create,
		"POST " + v3 + "join/{room}":                              func(c call) any { return h.become(c, c.user, "join") },
		"POST " + v3 + "rooms/{room}/leave":                       func(c call) any { return h.become(c, c.user, "leave") },
		"POST " + v3 + "rooms/{room}/invite":                      func(c call) any { return h.become(c, fmt.Sprint(c.body["user_id"]), "invite") },
		"GET " + v3 + "rooms/{room}/messages":                     h.messages,
		"PUT " + v3 + "rooms/{room}/send/{type}/{transaction}":    h.send,
		"PUT " + v3 + "rooms/{room}/state/{type}/{key...}":        h.state,
		"PUT " + v3 + "rooms/{room}/redact/{event}/{transaction}": h.redact,
	} {
		h.mux.HandleFunc(pattern, h.carried(answer))
	}
	h.mux.HandleFunc("POST /_matrix/media/v3/upload", h.upload)
	for _, older := range []string{"/_matrix/media/v3/download/", "/_matrix/client/v1/media/download/"} {
		h.mux.HandleFunc("GET "+older+Name+"/{file}", h.download)
	}
	return h
}

// RoundTrip carries one request.
func (h *Home) RoundTrip(r *http.Request) (*http.Response, error) {
	answered := httptest.NewRecorder()
	h.mux.ServeHTTP(answered, r)
	if r.Context().Err() != nil {
		return nil, context.Cause(r.Context())
	}
	resp := answered.Result()
	resp.Request = r
	return resp, nil
}

// Token is the access token of a person, by the name that their address begins with.
func (h *Home) Token(name string) string { return tokenHead + name }

const tokenHead = "invented-"

// Phone is a person with an account.
func (h *Home) Phone(t *testing.T, name string) *Phone {
	w := wire{"http://" + Name, &http.Client{Transport: h}}
	return &Phone{ID: "@" + name + ":" + Name, t: t, wire: w, token: h.Token(name)}
}

// Shared makes a room of people who are all in it, the first of whom has opened it.
func (h *Home) Shared(people ...string) (room string) {
	c := call{user: people[0]}
	c.room = h.open(c)
	for _, p := range people[1:] {
		h.become(c, p, "join")
	}
	return c.room
}

// call is one request of a person's.
type call struct {
	*http.Request
	user, room string
	body       map[string]any
}

// refused is the protocol's answer to a call that is not served.
type refused struct {
	status int
	code   string
}

// carried reads a call, has it answered, and writes the answer.
func (h *Home) carried(answer func(call) any) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		name, known := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "+tokenHead)
		c := call{Request: r, user: "@" + name + ":" + Name, room: r.PathValue("room")}
		if r.Body != nil {
			_ = json.NewDecoder(r.Body).Decode(&c.body) // there may be none
		}
		var out any = refused{http.StatusUnauthorized, "M_UNKNOWN_TOKEN"}
		if known {
			out = answer(c)
		}
		w.Header().Set("Content-Type", "application/json")
		if no, is := out.(refused); is {
			w.WriteHeader(no.status)
			out = map[string]string{"errcode": no.code, "error": "invented"}
		}
		_ = json.NewEncoder(w).Encode(out) // what it is written into takes all
	}
}

// add lets something happen in a room; mu is held.
func (h *Home) add(c call, kind string, key *string, content map[string]any) *happening {
	e := &happening{
		ID: "$" + strconv.Itoa(len(h.events)+1), Type: kind, Sender: c.user, StateKey: key,
		At: time.Now().UnixMilli(), Content: content, room: c.room,
	}
	h.events = append(h.events, e)
	close(h.changed)
	h.changed = make(chan struct{})
	return e
}

func (h *Home) create(c call) any {
	c.room = h.open(c)
	invited, _ := c.body["invite"].([]any)
	for _, who := range invited {
		h.become(c, fmt.Sprint(who), "invite")
	}
	return map[string]string{"room_id": c.room}
}

// open opens a room with the caller in it.
func (h *Home) open(c call) (room string) {
	h.mu.Lock()
	room = fmt.Sprintf("!%d:%s", len(h.rooms)+1, Name)
	h.rooms[room] = map[string]string{}
	c.room = room
	content, _ := c.body["creation_content"].(map[string]any)
	h.add(c, "m.room.create", new(""), content)
	h.mu.Unlock()
	h.become(c, c.user, "join")
	return room
}

// become changes somebody's membership.
func (h *Home) become(c call, who, membership string) any {
	h.mu.Lock()
	defer h.mu.Unlock()
	room := h.rooms[c.room]
	if room == nil || membership == "invite" && room[who] == "join" {
		return refused{http.StatusForbidden, "M_FORBIDDEN"}
	}
	room[who] = membership
	h.add(c, "m.room.member", &who, map[string]any{"membership": membership})
	return map[string]string{"room_id": c.room}
}

func (h *Home) send(c call) any {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.rooms[c.room][c.user] != "join" {
		return refused{http.StatusForbidden, "M_FORBIDDEN"}
	}
	return map[string]string{"event_id": h.add(c, c.PathValue("type"), nil, c.body).ID}
}

func (h *Home) state(c call) any {
	h.mu.Lock()
	defer h.mu.Unlock()
	return map[string]string{"event_id": h.add(c, c.PathValue("type"), new(c.PathValue("key")), c.body).ID}
}

func (h *Home) redact(c call) any {
	h.mu.Lock()
	defer h.mu.Unlock()
	for i, e := range h.events {
		if e.ID == c.PathValue("event") {
			empty := *e // an answer that is under way holds it as it was
			empty.Content = map[string]any{}
			h.events[i] = &empty
		}
	}
	return map[string]string{"event_id": h.add(c, "m.room.redaction", nil, map[string]any{"redacts": c.PathValue("event")}).ID}
}

// sync answers with what has happened since, as soon as there is something, or in time.
func (h *Home) sync(c call) any {
	query := c.URL.Query()
	wait, _ := strconv.Atoi(query.Get("timeout")) // none: at once
	late := time.After(time.Duration(wait) * time.Millisecond)
	for {
		h.mu.Lock()
		changed, since, next := h.changed, place(query, "since", 0), len(h.events)
		join, invite := map[string]any{}, map[string]any{}
		for room, members := range h.rooms {
			switch events := h.of(room, since, next); {
			case len(events) == 0:
			case members[c.user] == "invite":
				invite[room] = map[string]any{"invite_state": map[string]any{"events": events}}
			case members[c.user] == "join":
				join[room] = map[string]any{"timeline": map[string]any{"events": events}}
			}
		}
		h.mu.Unlock()
		if len(join)+len(invite) == 0 && query.Get("since") != "" {
			select {
			case <-changed:
				continue
			case <-late:
			case <-c.Context().Done():
			}
		}
		return map[string]any{
			"next_batch": "s" + strconv.Itoa(next), "rooms": map[string]any{"join": join, "invite": invite},
		}
	}
}

// place is how many events there were at a place of which somebody was told the name.
func place(query url.Values, name string, none int) int {
	if text := query.Get(name); text != "" {
		n, err := strconv.Atoi(text[1:])
		if err == nil {
			return n
		}
	}
	return none
}

// of are a room's events between two places; mu is held.
func (h *Home) of(room string, from, to int) (all []*happening) {
	for _, e := range h.events[min(from, to):to] {
		if e.room == room {
			all = append(all, e)
		}
	}
	return all
}

// messages is a page of what was before a place, the newest first.
func (h *Home) messages(c call) any {
	h.mu.Lock()
	defer h.mu.Unlock()
	query := c.URL.Query()
	limit, _ := strconv.Atoi(query.Get("limit")) // all callers say
	at, until := place(query, "from", len(h.events)), place(query, "to", 0)
	chunk := []*happening{}
	for ; at > until && len(chunk) < limit; at-- {
		if e := h.events[at-1]; e.room == c.room {
			chunk = append(chunk, e)
		}
	}
	page := map[string]any{"chunk": chunk}
	if at > until {
		page["end"] = "p" + strconv.Itoa(at)
	}
	return page
}

func (h *Home) upload(w http.ResponseWriter, r *http.Request) {
	h.mu.Lock()
	defer h.mu.Unlock()
	file := strconv.Itoa(len(h.media) + 1)
	h.media[file], _ = io.ReadAll(r.Body) // it comes from memory
	fmt.Fprintf(w, `{"content_uri":%q}`, (&url.URL{Scheme: "mxc", Host: Name, Path: "/" + file}).String())
}

func (h *Home) download(w http.ResponseWriter, r *http.Request) {
	h.mu.Lock()
	defer h.mu.Unlock()
	body, known := h.media[r.PathValue("file")]
	if !known {
		w.WriteHeader(http.StatusNotFound)
		body = []byte(`{"errcode":"M_NOT_FOUND","error":"invented"}`)
	}
	_, _ = w.Write(body) // what it is written into takes all
}
