package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"path"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"

	"skyslate/bot/beat"
)

// How long things may take, and how much they may weigh.
const (
	pollFor    = 50 * time.Second // the service answers an empty poll after this
	pollSlack  = 15 * time.Second // and the line may take this much longer
	callFor    = 30 * time.Second // a call without a file
	uploadFor  = 3 * time.Minute  // with one, on a poor line
	maxPoll    = 64 << 20         // bytes of an answer to a poll
	maxAnswer  = 4 << 20          // to any other call
	mostWait   = 120              // seconds before polling again, whatever the service says
	remindLog  = 10 * time.Minute // a trouble that lasts is logged again after this
	rivalAgain = 12 * time.Hour   // the owner is told of a rival twice a day at most
)

// pollIntercept is the library's HTTP client: whatever passes between it and the service
// passes here. It is the only place where an update can be put on disk before
// the service is told to forget it.
type pollIntercept struct {
	t           *Transport
	poll, other *http.Client // apart, so that a dead poll holds no call up
	caughtUp    bool
	trouble     trouble
}

func newPollIntercept(t *Transport, through http.RoundTripper) *pollIntercept {
	client := func(headerFor time.Duration) *http.Client {
		rt := through
		if rt == nil {
			rt = network(headerFor)
		}
		return &http.Client{
			Transport: rt,
			// A redirect would be followed with GET, and would tell the token.
			CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		}
	}
	return &pollIntercept{t: t, poll: client(pollFor + pollSlack), other: client(callFor), trouble: trouble{log: t.log}}
}

// network is a transport that speaks HTTP/1.1 only: with HTTP/2 a line that
// died without a word keeps being used.
func network(headerFor time.Duration) *http.Transport {
	protocols := new(http.Protocols)
	protocols.SetHTTP1(true)
	return &http.Transport{
		Proxy:                 http.ProxyFromEnvironment,
		DialContext:           (&net.Dialer{Timeout: 10 * time.Second, KeepAlive: 15 * time.Second}).DialContext,
		TLSHandshakeTimeout:   10 * time.Second,
		ResponseHeaderTimeout: headerFor,
		IdleConnTimeout:       time.Minute,
		MaxIdleConnsPerHost:   8,
		Protocols:             protocols,
	}
}

// Do carries one request of the library's. It always reads the body, because
// the library's writer waits for that.
func (p *pollIntercept) Do(r *http.Request) (*http.Response, error) {
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, p.fault(r.Context(), err)
	}
	if strings.EqualFold(path.Base(r.URL.Path), "getUpdates") {
		return p.doPoll(r, body)
	}
	a, err := p.exchange(r.Context(), p.other, r, r.Header.Get("Content-Type"), body, maxAnswer)
	if err != nil {
		return nil, err
	}
	return a.narrow().reply(r), nil
}

// doPoll polls, puts the updates on disk and gives the library a stub.
func (p *pollIntercept) doPoll(r *http.Request, body []byte) (*http.Response, error) {
	r.Body = io.NopCloser(bytes.NewReader(body))
	if err := r.ParseMultipartForm(1 << 20); err != nil {
		return nil, fmt.Errorf("the library's request: %w", err)
	}
	form := url.Values(r.MultipartForm.Value)
	if !p.caughtUp {
		// Until the messages that had waited are in, an empty poll comes back at
		// once: that is how their end is known.
		form.Set("timeout", "0")
	}
	ctx, cancel := context.WithTimeout(r.Context(), pollFor+pollSlack)
	defer cancel()
	a, err := p.exchange(ctx, p.poll, r, "application/x-www-form-urlencoded", []byte(form.Encode()), maxPoll)
	if err != nil {
		if r.Context().Err() == nil {
			p.trouble.starts("the messaging service can't be reached; trying on", err)
		}
		return nil, p.fault(r.Context(), err)
	}
	if !a.OK {
		p.t.pollRefused(r.Context(), a, &p.trouble)
		return a.reply(r), nil
	}
	last, n, err := p.t.take(a.Result)
	if err != nil {
		p.trouble.starts("messages could not be stored; trying on", err)
		return nil, p.fault(r.Context(), err)
	}
	p.trouble.ends()
	if n == 0 && !p.caughtUp {
		p.caughtUp = true
		p.t.caughtUp()
	}
	stub := answer{OK: true, Result: []byte(`[]`)}
	if n > 0 { // it moves the library's offset on, and holds nothing
		stub.Result = fmt.Appendf(nil, `[{"update_id":%d}]`, last)
	}
	return stub.reply(r), nil
}

// answer is the frame of every answer of the service.
type answer struct {
	OK          bool            `json:"ok"`
	Result      json.RawMessage `json:"result,omitempty"`
	Code        int             `json:"error_code,omitempty"`
	Description string          `json:"description,omitempty"`
	Parameters  json.RawMessage `json:"parameters,omitempty"`
}

// exchange sends a request whose body is at hand, so that net/http may send it
// anew on another connection if nothing was written, and reads the answer.
func (p *pollIntercept) exchange(ctx context.Context, c *http.Client, r *http.Request, kind string, body []byte, most int64) (answer, error) {
	req, err := http.NewRequestWithContext(ctx, r.Method, r.URL.String(), bytes.NewReader(body))
	if err != nil {
		return answer{}, p.t.token.maskError(err)
	}
	req.Header.Set("Content-Type", kind)
	resp, err := c.Do(req)
	if err != nil {
		return answer{}, p.fault(ctx, err)
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(io.LimitReader(resp.Body, most+1))
	switch {
	case err != nil:
		return answer{}, p.fault(ctx, err)
	case int64(len(text)) > most:
		return answer{}, fmt.Errorf("the service's answer is larger than %d bytes", most)
	}
	var a answer
	if json.Unmarshal(text, &a) != nil || !a.OK && a.Code == 0 {
		return answer{}, fmt.Errorf("the service answers with HTTP status %d and no JSON of its own", resp.StatusCode)
	}
	return a, nil
}

// fault is an error without the token in it. One that wraps context.Canceled
// would end the library's polls for good, so only our own end looks like that.
func (p *pollIntercept) fault(ctx context.Context, err error) error {
	if ctx.Err() != nil && errors.Is(context.Cause(ctx), context.Canceled) {
		return context.Canceled
	}
	return p.t.token.maskError(err)
}

// narrow leaves of a message in an answer the fields that are used: the library
// must not fail on the rest after the message is out.
func (a answer) narrow() answer {
	var m struct {
		ID   int64 `json:"message_id"`
		Date int64 `json:"date"`
		Chat chat  `json:"chat"`
	}
	if a.OK && json.Unmarshal(a.Result, &m) == nil && m.ID != 0 {
		a.Result, _ = json.Marshal(m) // it holds nothing that can't be written
	}
	return a
}

// reply gives an answer to the library.
func (a answer) reply(r *http.Request) *http.Response {
	body, _ := json.Marshal(a) // its parts were read as JSON
	return &http.Response{
		Status: "200 OK", StatusCode: http.StatusOK, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1,
		Header: http.Header{"Content-Type": {"application/json"}}, ContentLength: int64(len(body)),
		Body: io.NopCloser(bytes.NewReader(body)), Request: r,
	}
}

// pollRefused does about a refused poll what the library does not: it waits as
// long as it is told to, stops at a token that is not known, and says when
// another program polls too.
func (t *Transport) pollRefused(ctx context.Context, a answer, tr *trouble) {
	err := fmt.Errorf("%d %s", a.Code, t.token.mask(a.Description))
	switch {
	case a.Code == http.StatusUnauthorized, a.Code == http.StatusNotFound:
		t.fatal(errToken)
	case a.Code == http.StatusConflict && strings.Contains(a.Description, "webhook"):
		// It was set up with the token before. Messages that wait are not dropped.
		tr.starts("a webhook stands in the way of polling; it is removed", err)
		bounded, cancel := context.WithTimeout(ctx, callFor)
		defer cancel()
		_, err := t.bot.DeleteWebhook(bounded, &tg.DeleteWebhookParams{})
		t.warn("the webhook could not be removed", outcomeOf(err))
	case a.Code == http.StatusConflict:
		tr.starts("another program polls with the same token: stop it, or each of the two gets a part of the messages", err)
		t.tellOfRival()
	case a.Code == http.StatusTooManyRequests:
		tr.starts("the service wants to be left alone for a while", err)
		var wait struct {
			Seconds int64 `json:"retry_after"`
		}
		_ = json.Unmarshal(a.Parameters, &wait) // 0 if it does not say how long
		beat.Pause(ctx, time.Duration(min(wait.Seconds, mostWait))*time.Second)
	default:
		tr.starts("the service refuses to hand over messages; trying on", err)
	}
}

// trouble logs when polling stops working, now and then while it does not, and
// when it works again. It is used by the one poll alone.
type trouble struct {
	log     *slog.Logger
	since   time.Time
	said    time.Time
	message string
}

func (tr *trouble) starts(message string, err error) {
	now := time.Now()
	if tr.since.IsZero() {
		tr.since = now
	}
	if message == tr.message && now.Sub(tr.said) < remindLog {
		return
	}
	tr.message, tr.said = message, now
	tr.log.Warn(message, "err", err)
}

func (tr *trouble) ends() {
	if !tr.since.IsZero() {
		tr.log.Info("messages come in again", "after", time.Since(tr.since).Round(time.Second))
	}
	tr.since, tr.said, tr.message = time.Time{}, time.Time{}, ""
}
