package main

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/bot/apps"
	"skyslate/bot/guests"
	loops "skyslate/bot/run"
	"skyslate/bot/sky"
	"skyslate/storage"
)

// A carrier carries requests.
type carrier func(*http.Request) (*http.Response, error)

// RoundTrip is its one method.
func (c carrier) RoundTrip(r *http.Request) (*http.Response, error) { return c(r) }

// page answers every request.
func page(status int, body string) carrier {
	return func(r *http.Request) (*http.Response, error) {
		return &http.Response{
			StatusCode: status, Header: http.Header{}, Request: r, Body: io.NopCloser(strings.NewReader(body)),
		}, nil
	}
}

func cut(*http.Request) (*http.Response, error) { return nil, errors.New("connection refused") }

// Whatever is wrong with one messaging app is a sentence in the log, and the other goes on.
// Once it is mended, what was said there meanwhile is answered: at once or, where the app
// has ended, after the next start.
func TestOtherAppGoesOn(t *testing.T) {
	const (
		noServer = "what answers there is no Matrix server, or a proxy before it: expected JSON"
		between  = "something before the Matrix server answers with HTTP status "
	)
	for name, tt := range map[string]struct {
		broken   carrier
		sentence string
		ends     bool
	}{
		"down":            {cut, "connection refused", false},
		"another server":  {page(http.StatusOK, `{"hello":"world"}`), noServer, false},
		"a page":          {page(http.StatusOK, "<html>welcome</html>"), noServer, false},
		"a proxy's error": {page(http.StatusBadGateway, "<html>bad gateway</html>"), between + "502", false},
		"a wrong address": {page(http.StatusNotFound, "<html>not here</html>"), between + "404", false},
		"a wrong token": {
			page(http.StatusUnauthorized, `{"errcode":"M_UNKNOWN_TOKEN","error":"x"}`),
			"the Matrix server does not know this access token: it was withdrawn, or mistyped", true,
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			synctest.Test(t, func(t *testing.T) {
				b := bothApps{t: t, dir: dir, telegram: newOnTelegram(t).(onTelegram), matrix: newOnMatrix(t).(onMatrix)}
				b.broken.Store(&tt.broken)
				b.start()
				b.matrix.say("/there")
				b.telegram.say("/here")
				time.Sleep(10 * time.Minute)
				synctest.Wait()
				if !b.telegram.heard("I know no /here.") {
					t.Error("the other app does not answer")
				}
				if log := b.log.String(); !strings.Contains(log, tt.sentence) || strings.Contains(log, b.matrix.home.Token("logbook")) {
					t.Errorf("the log is to say %q, and no token:\n%s", tt.sentence, log)
				}
				b.broken.Store(nil)
				if tt.ends {
					b.stop()
					b.start()
				}
				time.Sleep(10 * time.Minute)
				synctest.Wait()
				if !b.matrix.heard("I know no /there.") {
					t.Errorf("what was said meanwhile is lost:\n%s", &b.log)
				}
				b.stop()
			})
		})
	}
}

// bothApps is the bot on two messaging apps, the way to one of which is broken at times.
type bothApps struct {
	t        *testing.T
	dir      string
	telegram onTelegram
	matrix   onMatrix
	broken   atomic.Pointer[carrier]
	log      strings.Builder // written while nothing else is at work
	stop     func()
}

func (b *bothApps) start() {
	b.t.Helper()
	store, err := storage.Open(b.dir)
	if err != nil {
		b.t.Fatal(err)
	}
	log := slog.New(slog.NewTextHandler(&b.log, nil))
	c := bot.Config{Store: store, Sky: sky.New(nil, nil), Decode: decoders.Decode, Log: log}
	desk := bot.New(c)
	door, err := guests.New(guests.Config{Desk: desk, Open: true})
	if err != nil {
		b.t.Fatal(err)
	}
	onTelegram, err := b.telegram.connect(c, desk, door)
	if err != nil {
		b.t.Fatal(err)
	}
	onMatrix, err := b.matrix.through(b).connect(c, desk, door)
	if err != nil {
		b.t.Fatal(err)
	}
	is := func(one storage.OperatorID) func(storage.OperatorID) bool {
		return func(op storage.OperatorID) bool { return op == one }
	}
	all := apps.Join(log,
		apps.App{Name: "Telegram", Serves: is(b.telegram.operator()), Transport: onTelegram},
		apps.App{Name: "Matrix", Serves: is(b.matrix.operator()), Transport: onMatrix})
	ctx, cancel := context.WithCancel(b.t.Context())
	ended := make(chan error, 1)
	go func() { ended <- loops.New(desk, all, log).Run(ctx) }()
	b.stop = func() {
		cancel()
		if err := errors.Join(<-ended, store.Close()); err != nil {
			b.t.Error(err)
		}
	}
}

// RoundTrip carries a request to the Matrix server.
func (b *bothApps) RoundTrip(r *http.Request) (*http.Response, error) {
	if broken := b.broken.Load(); broken != nil {
		return (*broken)(r)
	}
	return b.matrix.home.RoundTrip(r)
}

func (h onTelegram) heard(text string) bool {
	for _, m := range h.phone.Chat() {
		if strings.Contains(m.Text, text) && !m.Mine() {
			return true
		}
	}
	return false
}

func (h onMatrix) heard(text string) bool {
	for _, m := range h.phone.Heard() {
		if strings.Contains(m.Text(), text) {
			return true
		}
	}
	return false
}
