package telegram

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/bot/guests"
	"skyslate/bot/logtest"
	"skyslate/bot/run"
	"skyslate/bot/sky"
	"skyslate/bot/telegram/apitest"
	"skyslate/parse"
	"skyslate/storage"
)

const secret = "apitest_token-0123456789"

var testToken, _ = ParseToken("42:" + secret + "\n")

// config is what a test changes about the bot.
type config struct {
	allow   []storage.OperatorID
	open    bool
	owned   bool // there is a code for an owner
	through *between
	sky     *sky.Sky // nil: an empty one
}

// open lets everybody in.
var open = config{open: true}

// house is the whole bot beside a service, in simulated time.
type house struct {
	t      *testing.T
	dir    string
	server *apitest.Server
	store  *storage.Store
	desk   *bot.Desk
	door   *guests.Guests
	app    *Transport
	log    *logtest.Record
	config config
	stop   func() error // ends the loops and returns what Run returned
}

// newHouse opens the bot with a service that nobody has written to. Call it in
// a bubble of synctest.
func newHouse(t *testing.T, c config) *house {
	t.Helper()
	if c.sky == nil {
		c.sky = sky.New(nil, nil)
	}
	h := &house{t: t, dir: t.TempDir(), server: apitest.New("42:" + secret), log: &logtest.Record{}, config: c}
	h.open()
	t.Cleanup(func() {
		h.close()
		if text := h.log.String(); strings.Contains(text, secret) {
			t.Errorf("the token is in the log:\n%s", text)
		}
		if _, err := storage.Verify(h.dir); err != nil {
			t.Error(err)
		}
	})
	return h
}

// open starts the bot over the same data.
func (h *house) open() {
	h.t.Helper()
	store, err := storage.Open(h.dir)
	if err != nil {
		h.t.Fatal(err)
	}
	log := slog.New(slog.NewTextHandler(h.log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	h.store = store
	h.desk = bot.New(bot.Config{Store: store, Sky: h.config.sky, Decode: Decode, Log: log})
	in := guests.Config{Desk: h.desk, Log: log, Allow: h.config.allow, Open: h.config.open, Older: MemoryKey}
	if h.config.owned {
		in.CodeFile = filepath.Join(h.dir, "owner-code")
	}
	if h.door, err = guests.New(in); err != nil {
		h.t.Fatal(err)
	}
	c := Config{Token: testToken, Desk: h.desk, Guests: h.door, Log: log, API: "http://service.invalid", Through: h.server}
	if b := h.config.through; b != nil {
		b.house, c.Through = h, b
	}
	if h.app, err = New(c); err != nil {
		h.t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	loops := run.New(h.desk, h.app, log)
	go func() { ended <- loops.Run(ctx) }()
	h.stop = sync.OnceValue(func() error { cancel(); return <-ended })
}

func (h *house) close() {
	if err := h.stop(); err != nil {
		h.t.Errorf("Run: %v", err)
	}
	if err := h.store.Close(); err != nil {
		h.t.Error(err)
	}
}

// settle lets everything come to rest.
func (h *house) settle() { time.Sleep(2 * time.Minute) }

// fetching is the event whose document is being fetched; empty if there is none.
func (h *house) fetching() string { return h.app.fetcher.Fetching() }

// waiting is how many documents are still to be fetched.
func waiting(app *Transport) int {
	q := app.remembered().fetches
	return q.Len()
}

// operator sets somebody up, so that lines are read.
func (h *house) operator(id int64) *apitest.Phone {
	h.t.Helper()
	now := time.Now().UTC()
	grid := parse.MustParseGrid("JO33")
	err := h.desk.SetUp(storage.Operator{
		ID: operatorID(id), Joined: now, Cautioned: now, Call: parse.MustParseCallsign("OX9QZT"), Remind: storage.DefaultRemind(),
		Place: storage.Place{Grids: []parse.Grid{grid}, LatDeg: 53.5, LonDeg: 7, Zone: "UTC", Set: now},
	}, now)
	if err != nil {
		h.t.Fatal(err)
	}
	return h.server.Phone(id, "Inga")
}

// theirs are the bot's messages in a chat.
func theirs(p *apitest.Phone) (all []apitest.Message) {
	for _, m := range p.Chat() {
		if !m.Mine() {
			all = append(all, m)
		}
	}
	return all
}

// answerTo is the first answer to a message; it fails the test if there is none.
func answerTo(t *testing.T, p *apitest.Phone, id int64) apitest.Message {
	t.Helper()
	for _, m := range theirs(p) {
		if m.ReplyTo != nil && m.ReplyTo.ID == id {
			return m
		}
	}
	t.Errorf("no answer to message %d in %v", id, texts(theirs(p)))
	return apitest.Message{}
}

// signOn is the bot's reaction to a message.
func signOn(p *apitest.Phone, id int64) string {
	for _, m := range p.Chat() {
		if m.ID == id {
			return m.Reaction
		}
	}
	return ""
}

func texts(all []apitest.Message) (out []string) {
	for _, m := range all {
		out = append(out, m.Text)
	}
	return out
}

// inHouse runs a test in simulated time.
func inHouse(t *testing.T, c config, test func(t *testing.T, h *house)) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		h := newHouse(t, c)
		test(t, h)
		if err := h.stop(); err != nil {
			t.Errorf("Run: %v", err)
		}
	})
}

func TestSetUp(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.server.Phone(7, "Inga")
		p.Say("/start")
		h.settle()
		if n := len(h.server.Menu()); n != len(menu) {
			t.Errorf("%d commands in the menu", n)
		}
		p.Say("ox9qzt")
		h.settle()
		asked := theirs(p)
		last := asked[len(asked)-1]
		if !strings.Contains(last.Keys, `"request_location":true`) {
			t.Errorf("the question for the place has no button for it: %+v", last)
		}
		where := p.Place(53.51, 7.1, 12.5, false)
		h.settle()
		set := answerTo(t, p, where)
		if !strings.Contains(set.Text, "JO33") || !strings.Contains(set.Keys, "remove_keyboard") {
			t.Errorf("after the place: %+v", set)
		}
		for _, m := range theirs(p) {
			if m.Previews || !m.Silent {
				t.Errorf("previews or sound: %+v", m)
			}
		}
	})
}

func TestEveryKindOfMessage(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		line := p.Say("ox9abc jo33")
		h.settle()
		echo := answerTo(t, p, line)
		if !strings.Contains(echo.Text, "OX9ABC JO33") {
			t.Errorf("the echo is %q", echo.Text)
		}
		p.Edit(line, "ox9abd jo33")
		h.settle()
		if now := answerTo(t, p, line); now.ID != echo.ID || !strings.Contains(now.Text, "OX9ABD") || now.Edits == 0 {
			t.Errorf("after the edit the echo is %+v", now)
		}
		voice := p.Voice(12 * time.Second)
		h.settle()
		if sign := signOn(p, voice); sign != "✍" {
			t.Errorf("the recording is marked %q", sign)
		}
		help := p.Say("/help@skyslate_test_bot")
		photo := func(caption string) string {
			return fmt.Sprintf(`{"message_id":%d,"from":{"id":7,"is_bot":false,"first_name":"Inga"},"chat":{"id":7,"type":"private"},"date":%d,"photo":[{"file_id":"x"}]%s}`,
				900+len(caption), time.Now().Unix(), caption)
		}
		h.server.Push("message", photo(``))
		h.server.Push("message", photo(`,"caption":"/help"`))
		h.settle()
		if !strings.Contains(answerTo(t, p, help).Text, "/passes") {
			t.Error("a command with the bot's name is not understood")
		}
		got := strings.Join(texts(theirs(p)), "\n")
		if !strings.Contains(got, "not this") {
			t.Error("a picture is not answered")
		}
		if strings.Count(got, "/forget removes") != 2 {
			t.Error("what is written under a picture is not read")
		}
	})
}

func TestLiveLocation(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		live := p.Place(60.1, 10.1, 5, true)
		h.settle()
		before := len(theirs(p))
		p.Move(live, 60.11, 10.11) // the same grid
		h.settle()
		if n := len(theirs(p)); n != before {
			t.Errorf("a small move is answered: %v", texts(theirs(p)[before:]))
		}
		p.Move(live, 61.5, 10.1)
		h.settle()
		if n := len(theirs(p)); n == before {
			t.Error("a move to another grid is not told")
		}
	})
}

func TestTap(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		asked := p.Say("/forget")
		h.settle()
		question := answerTo(t, p, asked)
		p.Forget(question.ID) // the service shows it no more
		if err := p.Tap(question.ID, question.Buttons()[0][0]); err != nil {
			t.Fatal(err)
		}
		h.settle()
		all := theirs(p)
		if last := all[len(all)-1]; !strings.Contains(last.Text, "Removed") {
			t.Errorf("after the tap: %q", last.Text)
		}
		if n := h.server.Spinning(); n != 0 {
			t.Errorf("%d taps still wait for an answer", n)
		}
	})
}

func TestDocument(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		sets, err := os.ReadFile("../../testdata/authorities/passes/sats.tle")
		if err != nil {
			t.Fatal(err)
		}
		p := h.operator(7)
		h.server.Fail("getFile", 0, 1, apitest.Fault{Code: 502, HTML: true})
		h.server.Fail("file", 0, 2, apitest.Fault{Code: 500})
		sent := p.Document("sats.tle", sets, "")
		h.settle()
		// The bubble's clock stands in 2000: that the sets are of 2026 is known
		// only to who has read them.
		if a := answerTo(t, p, sent); !strings.Contains(a.Text, "Those elements are dated") {
			t.Errorf("elements: %q", a.Text)
		}
		large := p.Document("large.tle", make([]byte, event.MaxDocument+1), "")
		h.settle()
		if a := answerTo(t, p, large); !strings.Contains(a.Text, "too large") {
			t.Errorf("too large a file: %q", a.Text)
		}
		h.server.Fail("getFile", 0, 1, apitest.Fault{Code: 400, Description: "Bad Request: invalid file_id"})
		gone := p.Document("gone.tle", sets, "")
		h.settle()
		answerTo(t, p, gone)
		if left := waiting(h.app); left != 0 {
			t.Errorf("still to be fetched: %v", left)
		}
	})
}
