package telegram

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"skyslate/bot/telegram/apitest"
)

// between is a network between the bot and the service that a test spoils.
type between struct {
	house *house
	mu    sync.Mutex
	spoil func(r *http.Request) (*http.Response, error) // nil, nil: goes through
}

func (b *between) RoundTrip(r *http.Request) (*http.Response, error) {
	b.mu.Lock()
	spoil := b.spoil
	b.mu.Unlock()
	if spoil != nil {
		if resp, err := spoil(r); resp != nil || err != nil {
			if r.Body != nil {
				r.Body.Close()
			}
			return resp, err
		}
	}
	return b.house.server.RoundTrip(r)
}

func (b *between) set(spoil func(*http.Request) (*http.Response, error)) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.spoil = spoil
}

// onTheWay runs a test with a network that can be spoilt.
func onTheWay(t *testing.T, test func(t *testing.T, h *house, b *between)) {
	t.Helper()
	b := &between{}
	inHouse(t, config{open: true, through: b}, func(t *testing.T, h *house) {
		test(t, h, b)
	})
}

// The library ends its polls for good at an error that looks like the end of
// its own context; ours must never look so.
func TestForeignCancelEndsNothing(t *testing.T) {
	var times atomic.Int64
	spoil := func(r *http.Request) (*http.Response, error) {
		if times.Add(1) < 20 {
			return nil, fmt.Errorf("bot42:%s: %w", secret, context.Canceled)
		}
		return nil, nil //nolint:nilnil // goes through
	}
	spoilt(t, spoil)
	if n := times.Load(); n < 20 {
		t.Errorf("only %d requests", n)
	}
}

// spoilt checks that a message is answered in spite of what goes wrong at first.
func spoilt(t *testing.T, spoil func(*http.Request) (*http.Response, error)) {
	t.Helper()
	onTheWay(t, func(t *testing.T, h *house, b *between) {
		p := h.operator(7)
		h.settle()
		h.close()
		b.set(spoil)
		h.open()
		m := p.Say("/help")
		time.Sleep(time.Hour)
		answerTo(t, p, m)
	})
}

func TestOddAnswers(t *testing.T) {
	for name, body := range map[string]io.Reader{
		"empty":         strings.NewReader(""),
		"a page":        strings.NewReader("<html>" + secret + "</html>"),
		"no object":     strings.NewReader(`[1]`),
		"no list":       strings.NewReader(`{"ok":true,"result":{"message_id":1}}`),
		"odd update":    strings.NewReader(`{"ok":true,"result":["x"]}`),
		"no code":       strings.NewReader(`{"ok":false}`),
		"without end":   io.MultiReader(strings.NewReader(`{"ok":true,"result":"`), endless{}),
		"without error": strings.NewReader(`{"ok":true}`),
	} {
		t.Run(name, func(t *testing.T) {
			var given atomic.Bool
			spoilt(t, func(r *http.Request) (*http.Response, error) {
				if given.Load() || !strings.HasSuffix(r.URL.Path, "getUpdates") {
					return nil, nil //nolint:nilnil // goes through
				}
				given.Store(true)
				return &http.Response{StatusCode: http.StatusOK, Header: http.Header{}, Body: io.NopCloser(body), Request: r}, nil
			})
			if !given.Load() {
				t.Error("it was never given")
			}
		})
	}
}

// endless is an answer that does not end.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'x'
	}
	return len(p), nil
}

// A redirect is not followed: the token would go elsewhere.
func TestRedirectIsNotFollowed(t *testing.T) {
	onTheWay(t, func(t *testing.T, h *house, b *between) {
		var elsewhere atomic.Int64
		b.set(func(r *http.Request) (*http.Response, error) {
			if r.URL.Host != "service.invalid" {
				elsewhere.Add(1)
			}
			return nil, nil //nolint:nilnil // goes through
		})
		p := h.operator(7)
		h.server.Fail("sendMessage", 0, 3, apitest.Fault{Code: http.StatusFound})
		h.server.Fail("getUpdates", 0, 3, apitest.Fault{Code: http.StatusTemporaryRedirect})
		m := p.Say("/help")
		h.settle()
		answerTo(t, p, m)
		if n := elsewhere.Load(); n != 0 {
			t.Errorf("%d requests went elsewhere", n)
		}
	})
}

func TestPollWaitsAsLongAsItIsTold(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		var polls []time.Time // kept under the server's lock
		h.server.Script(func(method string, _ int) *apitest.Fault {
			if method != "getupdates" {
				return nil
			}
			if polls = append(polls, time.Now()); len(polls) == 3 {
				return &apitest.Fault{Code: 429, RetryAfter: 30}
			}
			return nil
		})
		time.Sleep(5 * time.Minute)
		p := h.operator(7)
		m := p.Say("/help")
		h.settle()
		answerTo(t, p, m)
		h.server.Script(nil)
		if len(polls) < 4 || polls[3].Sub(polls[2]) < 30*time.Second {
			t.Errorf("polls at %v", polls)
		}
	})
}

func TestWebhookIsRemoved(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		h.server.Fail("getUpdates", 0, 1, apitest.Fault{
			Code: 409, Description: "Conflict: can't use getUpdates method while webhook is active; use deleteWebhook to delete the webhook first",
		})
		h.settle()
		m := p.Say("/help")
		h.settle()
		answerTo(t, p, m)
		if h.server.Calls("deleteWebhook") != 1 {
			t.Error("the webhook was not removed")
		}
	})
}

// An answer whose rest the library could not decode still settles the post.
func TestAnswerIsNarrowed(t *testing.T) {
	a := answer{OK: true, Result: []byte(`{"message_id":9,"date":3,"chat":{"id":7,"type":"private"},"paid_media":{"paid_media":[{"type":"hologram"}]}}`)}
	if got := string(a.narrow().Result); strings.Contains(got, "hologram") || !strings.Contains(got, `"message_id":9`) {
		t.Errorf("narrowed to %s", got)
	}
	for _, whole := range []string{`true`, `{"file_id":"x"}`, `[]`} {
		if got := string(answer{OK: true, Result: []byte(whole)}.narrow().Result); !strings.Contains(got, whole) {
			t.Errorf("%s becomes %s", whole, got)
		}
	}
}

func TestFaultNamesNoToken(t *testing.T) {
	p := &pollIntercept{t: &Transport{token: testToken}}
	err := p.fault(t.Context(), fmt.Errorf("Get https://x/bot42:%s/getFile: %w", secret, io.EOF))
	if strings.Contains(err.Error(), secret) {
		t.Errorf("the token is in %q", err)
	}
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	if err := p.fault(ended, io.EOF); !errors.Is(err, context.Canceled) {
		t.Errorf("after our own end: %v", err)
	}
}
