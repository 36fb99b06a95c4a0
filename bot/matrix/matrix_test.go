package matrix

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"strings"
	"sync"
	"testing"

	"skyslate/bot"
	"skyslate/bot/guests"
	"skyslate/bot/logtest"
	"skyslate/bot/matrix/servertest"
	"skyslate/bot/run"
	"skyslate/bot/sky"
	"skyslate/storage"
)

// house is the whole bot beside a real server, whose owner is Inga.
type house struct {
	t       *testing.T
	dir     string
	server  *servertest.Server // nil: the one in memory
	url     string
	token   string
	inga    *servertest.Phone
	through http.RoundTripper
	open    bool // everybody is let in

	log   *logtest.Record
	store *storage.Store
	desk  *bot.Desk
	door  *guests.Guests
	app   *Transport
	stop  func() error // ends the loops and returns what Run returned
}

// newHouse prepares a bot that is not started yet.
func newHouse(t *testing.T) *house {
	t.Helper()
	server := servertest.New(t)
	h := &house{t: t, dir: t.TempDir(), server: server, url: server.URL}
	h.token, h.inga = server.Account(t, "logbook"), server.Phone(t, "inga")
	h.watch()
	return h
}

// newHouseAt prepares one at a server in memory. Call it in a bubble.
func newHouseAt(t *testing.T, home *servertest.Home) *house {
	h := &house{t: t, dir: t.TempDir(), url: "http://" + servertest.Name, through: home}
	h.token, h.inga = home.Token("logbook"), home.Phone(t, "inga")
	h.watch()
	return h
}

// watch looks at the log at the end.
func (h *house) watch() {
	h.log = &logtest.Record{}
	h.t.Cleanup(func() {
		if text := h.log.String(); strings.Contains(text, h.token) {
			h.t.Errorf("the token is in the log:\n%s", text)
		}
		if h.t.Failed() {
			h.t.Log(h.log.String())
		}
	})
}

// start starts the bot over its data.
func (h *house) start() {
	h.t.Helper()
	store, err := storage.Open(h.dir)
	if err != nil {
		h.t.Fatal(err)
	}
	log := slog.New(slog.NewTextHandler(h.log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	owner := storage.OperatorID(h.inga.ID)
	h.store = store
	h.desk = bot.New(bot.Config{Store: store, Sky: sky.New(nil, nil), Decode: Decode, Log: log})
	if h.door, err = guests.New(guests.Config{Desk: h.desk, Log: log, Open: h.open, Owners: []storage.OperatorID{owner}}); err != nil {
		h.t.Fatal(err)
	}
	token, err := ParseToken(h.token)
	if err != nil {
		h.t.Fatal(err)
	}
	h.app, err = New(Config{
		Server: h.url, Token: token, Owner: owner, Desk: h.desk, Guests: h.door, Log: log, Through: h.through,
	})
	if err != nil {
		h.t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	loops := run.New(h.desk, h.app, log)
	go func() { ended <- loops.Run(ctx) }()
	h.stop = sync.OnceValue(func() error { cancel(); return <-ended })
	h.t.Cleanup(h.end)
}

// end ends the bot, if it is running.
func (h *house) end() {
	if h.store == nil {
		return
	}
	if err := h.stop(); err != nil {
		h.t.Errorf("Run: %v", err)
	}
	if err := h.store.Close(); err != nil {
		h.t.Error(err)
	}
	h.store = nil
	if _, err := storage.Verify(h.dir); err != nil {
		h.t.Error(err)
	}
}

// awaitText waits for a message of the bot's that holds a text, as it stands now, and
// returns it.
func awaitText(p *servertest.Phone, text string) (found servertest.Message) {
	p.Await(text, func() bool {
		for _, m := range p.Heard() {
			if strings.Contains(m.Text(), text) {
				found = m
			}
		}
		return found.ID != ""
	})
	return found
}

// In a fresh room the bot says that it is not encrypted, asks, takes answers, notes,
// edits, a file, a tap and a number, and leaves when it is told to forget.
func TestFirstContact(t *testing.T) {
	h := newHouse(t)
	h.start()
	p := h.inga
	p.Join(p.Invited())
	awaitText(p, "not encrypted")
	awaitText(p, "call")
	p.Say("/call OX9QZT")
	awaitText(p, "OX9QZT")
	p.Say("/at JO33")
	awaitText(p, "JO33")
	for _, m := range p.Heard() {
		if m.Content["msgtype"] != "m.notice" {
			t.Errorf("it makes a sound: %q", m.Text())
		}
	}
	if status := p.Try(http.MethodPut, p.InRoom("state/m.room.encryption"), map[string]any{"algorithm": "m.megolm.v1.aes-sha2"}); status != http.StatusForbidden {
		t.Errorf("encryption can be switched on: status %d", status)
	}
	if status := p.Try(http.MethodPost, p.InRoom("invite"), map[string]any{"user_id": "@third:" + servertest.Name}); status != http.StatusForbidden {
		t.Errorf("a third can be invited: status %d", status)
	}

	p.Say("/forget")
	asked := awaitText(p, "1️⃣")
	p.Await("a sign to tap", func() bool {
		for _, m := range p.History() {
			if rel, _ := m.Content["m.relates_to"].(map[string]any); m.Type == typeReaction && rel["event_id"] == asked.ID && rel["key"] == "1️⃣" {
				return true
			}
		}
		return false
	})
	p.Tap(asked.ID, "1⃣") // an app that writes it plain
	awaitText(p, "Removed: your settings")
	p.Await("that the bot leaves", func() bool {
		for _, m := range p.History() {
			if m.Type == typeMember && m.Sender != p.ID && m.Content["membership"] == "leave" {
				return true
			}
		}
		return false
	})
}

// setUp makes Inga an operator with a room, in which she is.
func (h *house) setUp() {
	h.t.Helper()
	h.start()
	h.inga.Join(h.inga.Invited())
	awaitText(h.inga, "not encrypted")
	h.inga.Say("/call OX9QZT")
	awaitText(h.inga, "OX9QZT")
	h.inga.Say("/at JO33")
	awaitText(h.inga, "JO33")
}

// reactions are the signs that the bot has set on a message.
func reactions(p *servertest.Phone, id string) (keys []string) {
	for _, m := range p.History() {
		rel, _ := m.Content["m.relates_to"].(map[string]any)
		if m.Type == typeReaction && m.Sender != p.ID && rel["event_id"] == id {
			keys = append(keys, fmt.Sprint(rel["key"]))
		}
	}
	return keys
}

// What is said around a pass goes both ways: a note gets its sign, an edit counts, a
// reply, a place, a number typed for a button, a log as a file in and out.
func TestEverythingBothWays(t *testing.T) {
	h := newHouse(t)
	h.setUp()
	p := h.inga
	note := p.Say("the beacon was loud tonight")
	p.Await("a sign on a note", func() bool { return len(reactions(p, note)) == 1 })
	p.Place(53.6, 7.1, 10)
	awaitText(p, "JO33")

	log := "made up for a test <EOH>\n<CALL:6>OX9QZI <QSO_DATE:8>20260523 <TIME_ON:6>104535 <BAND:4>70cm <MODE:2>FM <PROP_MODE:3>SAT <SAT_NAME:6>WICKET <EOR>\n"
	p.File("invented.adi", []byte(log))
	imported := awaitText(p, "1️⃣")
	p.Say("1")
	awaitText(p, "In the log now")
	p.Say("/adif all")
	var file servertest.Message
	p.Await("a file", func() bool {
		for _, m := range p.Heard() {
			if m.Content["msgtype"] == "m.file" {
				file = m
			}
		}
		return file.ID != ""
	})
	if body := string(p.Download(file)); !strings.Contains(body, "OX9QZI") {
		t.Errorf("the file holds %q", body)
	}
	p.Reply(imported.ID, "1")
	awaitText(p, "Out of the log")
}
