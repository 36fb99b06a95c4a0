package servertest

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// Phone is a person with an account.
type Phone struct {
	ID string // @inga:birds.invalid

	t     *testing.T
	wire  wire
	token string
	room  string
	sent  int
	since string // the news that were awaited
}

// Phone makes a person with a new account.
func (s *Server) Phone(t *testing.T, name string) *Phone {
	t.Helper()
	return s.PhoneOf(t, name, s.Account(t, name))
}

// PhoneOf is somebody with an account that there is, the bot for instance.
func (s *Server) PhoneOf(t *testing.T, name, token string) *Phone {
	return &Phone{ID: "@" + name + ":" + Name, t: t, wire: s.wire, token: token}
}

// Message is an event of a room as the person's app has it.
type Message struct {
	ID       string         `json:"event_id"`
	Type     string         `json:"type"`
	Sender   string         `json:"sender"`
	StateKey string         `json:"state_key"`
	Content  map[string]any `json:"content"`
}

// Text is a message's text.
func (m Message) Text() string { return fmt.Sprint(m.Content["body"]) }

// Answers is the message that it replies to; empty: none.
func (m Message) Answers() string {
	reply, _ := m.relates()["m.in_reply_to"].(map[string]any)
	name, _ := reply["event_id"].(string)
	return name
}

// Buttons are the labels of the buttons below a message's text, which is what is before
// them.
func (m Message) Buttons() (text string, labels []string) {
	text, rows, _ := strings.Cut(m.Text(), "\n\nTap or type a number:\n")
	for row := range strings.Lines(rows) {
		_, label, _ := strings.Cut(strings.TrimSuffix(row, "\n"), " ")
		labels = append(labels, label)
	}
	return text, labels
}

// relates is what a message says of another.
func (m Message) relates() map[string]any {
	rel, _ := m.Content["m.relates_to"].(map[string]any)
	return rel
}

// Edits is the message that it changes; empty: none.
func (m Message) Edits() string {
	if rel := m.relates(); rel["rel_type"] == "m.replace" {
		return fmt.Sprint(rel["event_id"])
	}
	return ""
}

// Invited waits for an invitation of the bot's and returns the room.
func (p *Phone) Invited() (room string) {
	p.t.Helper()
	p.Await("an invitation", func() bool {
		for _, room = range p.Invitations() {
			return true
		}
		return false
	})
	return room
}

// Invitations are the rooms into which the person is invited.
func (p *Phone) Invitations() []string {
	p.t.Helper()
	var news struct {
		Rooms struct {
			Invite map[string]any `json:"invite"`
		} `json:"rooms"`
	}
	p.call(http.MethodGet, "/v3/sync?timeout=0", nil, &news)
	return slices.Collect(maps.Keys(news.Rooms.Invite))
}

// Join goes into a room, where everything is said from then on.
func (p *Phone) Join(room string) {
	p.t.Helper()
	p.Enter(room)
	p.call(http.MethodPost, "/v3/join/"+url.PathEscape(room), map[string]any{}, nil)
}

// Enter is where everything is said from now on: a room in which the person is.
func (p *Phone) Enter(room string) { p.room = room }

// Room is the room in which the person is.
func (p *Phone) Room() string { return p.room }

// Leave leaves the room.
func (p *Phone) Leave() {
	p.t.Helper()
	p.call(http.MethodPost, p.inRoom("leave"), map[string]any{}, nil)
}

// Open opens a room of the person's own, as an app does for a private chat, and returns
// it.
func (p *Phone) Open(encrypted bool, invite ...string) (room string) {
	p.t.Helper()
	body := map[string]any{"preset": "trusted_private_chat", "is_direct": true, "invite": invite}
	if encrypted {
		body["initial_state"] = []any{map[string]any{
			"type": "m.room.encryption", "state_key": "", "content": map[string]any{"algorithm": "m.megolm.v1.aes-sha2"},
		}}
	}
	var made struct {
		Room string `json:"room_id"`
	}
	p.call(http.MethodPost, "/v3/createRoom", body, &made)
	return made.Room
}

// Try makes a call that the server may refuse, and returns its status.
func (p *Phone) Try(method, path string, body any) int {
	p.t.Helper()
	status, _ := p.wire.try(p.t, p.token, method, "/_matrix/client"+path, body, nil)
	return status
}

// InRoom is the address of something in the room, for [Phone.Try].
func (p *Phone) InRoom(rest string) string { return p.inRoom(rest) }

func (p *Phone) inRoom(rest string) string { return "/v3/rooms/" + url.PathEscape(p.room) + "/" + rest }

// Send sends an event and returns its name.
func (p *Phone) Send(kind string, content map[string]any) (id string) {
	p.t.Helper()
	p.sent++
	var made struct {
		ID string `json:"event_id"`
	}
	p.call(http.MethodPut, p.inRoom("send/"+kind+"/"+strconv.Itoa(p.sent)), content, &made)
	return made.ID
}

// Say says a text.
func (p *Phone) Say(text string) (id string) {
	p.t.Helper()
	return p.Send("m.room.message", map[string]any{"msgtype": "m.text", "body": text})
}

// Reply answers a message.
func (p *Phone) Reply(to, text string) (id string) {
	p.t.Helper()
	return p.Send("m.room.message", map[string]any{
		"msgtype": "m.text", "body": text, "m.relates_to": map[string]any{"m.in_reply_to": map[string]any{"event_id": to}},
	})
}

// Edit changes a message.
func (p *Phone) Edit(id, text string) {
	p.t.Helper()
	p.Send("m.room.message", map[string]any{
		"msgtype": "m.text", "body": "* " + text,
		"m.new_content": map[string]any{"msgtype": "m.text", "body": text},
		"m.relates_to":  map[string]any{"rel_type": "m.replace", "event_id": id},
	})
}

// Tap sets a sign on a message.
func (p *Phone) Tap(id, sign string) {
	p.t.Helper()
	p.Send("m.reaction", map[string]any{
		"m.relates_to": map[string]any{"rel_type": "m.annotation", "event_id": id, "key": sign},
	})
}

// Place shares a place.
func (p *Phone) Place(latDeg, lonDeg, accuracyM float64) (id string) {
	p.t.Helper()
	uri := fmt.Sprintf("geo:%g,%g;u=%g", latDeg, lonDeg, accuracyM)
	return p.Send("m.room.message", map[string]any{"msgtype": "m.location", "body": "a place", "geo_uri": uri})
}

// Voice sends a voice message.
func (p *Phone) Voice(length time.Duration) (id string) {
	p.t.Helper()
	return p.Send("m.room.message", map[string]any{
		"msgtype": "m.audio", "body": "voice.ogg", "url": "mxc://" + Name + "/voice",
		"info": map[string]any{"duration": length.Milliseconds()},
	})
}

// File sends a file.
func (p *Phone) File(name string, body []byte) (id string) {
	p.t.Helper()
	var up struct {
		URI string `json:"content_uri"`
	}
	status, text := p.wire.try(p.t, p.token, http.MethodPost, "/_matrix/media/v3/upload?filename="+url.QueryEscape(name), body, &up)
	if status != http.StatusOK {
		p.t.Fatalf("upload: %d %s", status, text)
	}
	return p.Send("m.room.message", map[string]any{
		"msgtype": "m.file", "body": name, "url": up.URI, "info": map[string]any{"size": len(body)},
	})
}

// Download reads a file that was sent to the person.
func (p *Phone) Download(m Message) (body []byte) {
	p.t.Helper()
	u, err := url.Parse(fmt.Sprint(m.Content["url"]))
	if err != nil {
		p.t.Fatal(err)
	}
	path := "/_matrix/media/v3/download/" + u.Host + u.Path
	if status, text := p.wire.try(p.t, p.token, http.MethodGet, path, nil, &body); status != http.StatusOK {
		p.t.Fatalf("download: %d %s", status, text)
	}
	return body
}

// History is all that happened in the room, the oldest first.
func (p *Phone) History() (all []Message) {
	p.t.Helper()
	from := ""
	for {
		var page struct {
			Chunk []json.RawMessage `json:"chunk"`
			End   string            `json:"end"`
		}
		p.call(http.MethodGet, p.inRoom("messages?dir=b&limit=100"+from), nil, &page)
		for _, raw := range page.Chunk {
			var m Message
			if err := json.Unmarshal(raw, &m); err == nil { // what is of an odd form was sent by the test
				all = append(all, m)
			}
		}
		if len(page.Chunk) == 0 || page.End == "" || "&from="+url.QueryEscape(page.End) == from {
			break
		}
		from = "&from=" + url.QueryEscape(page.End)
	}
	slices.Reverse(all)
	return all
}

// Pinned are the messages that are pinned now.
func (p *Phone) Pinned() []string {
	p.t.Helper()
	var state struct {
		Pinned []string `json:"pinned"`
	}
	p.wire.try(p.t, p.token, http.MethodGet, "/_matrix/client"+p.inRoom("state/m.room.pinned_events/"), nil, &state) // none: nothing is
	return state.Pinned
}

// Heard are the bot's messages as they stand now, the oldest first.
func (p *Phone) Heard() (all []Message) {
	p.t.Helper()
	at := map[string]int{}
	for _, m := range p.History() {
		if m.Type != "m.room.message" || m.Sender == p.ID {
			continue
		}
		if i, edits := at[m.Edits()]; edits {
			all[i].Content, _ = m.Content["m.new_content"].(map[string]any)
			continue
		}
		at[m.ID] = len(all)
		all = append(all, m)
	}
	return all
}

// call makes a call that has to work, in the end: a server that has just started refuses
// some, and an app tries again.
func (p *Phone) call(method, path string, body, answer any) {
	p.t.Helper()
	for range 50 {
		status, text := p.wire.try(p.t, p.token, method, "/_matrix/client"+path, body, answer)
		switch {
		case status == http.StatusOK:
			return
		case status > 0 && status < http.StatusInternalServerError:
			p.t.Fatalf("%s %s: status %d: %s", method, path, status, text)
		}
		<-time.After(200 * time.Millisecond)
	}
	p.t.Fatalf("%s %s fails again and again", method, path)
}

// patience is how long a test waits for what has to come.
const patience = 8 * time.Minute

// Await waits for something that comes of events in the person's rooms: it looks again
// with each piece of news.
func (p *Phone) Await(what string, done func() bool) {
	p.t.Helper()
	late := time.After(patience)
	for !done() {
		var news struct {
			Next string `json:"next_batch"`
		}
		p.call(http.MethodGet, "/v3/sync?timeout=1000&since="+url.QueryEscape(p.since), nil, &news)
		p.since = news.Next
		select {
		case <-late:
			p.t.Fatalf("waited in vain for %s; the last that came:%s", what, p.last(10))
		default:
		}
	}
}

// last are the last texts of the bot's.
func (p *Phone) last(n int) (all string) {
	if p.room == "" {
		return ""
	}
	heard := p.Heard()
	for _, m := range heard[max(0, len(heard)-n):] {
		all += "\n" + m.Text()
	}
	return all
}
