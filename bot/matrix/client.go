package matrix

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"maunium.net/go/mautrix"

	"skyslate/bot/run"
)

const (
	callFor   = 30 * time.Second
	uploadFor = 5 * time.Minute
	pollFor   = 30 * time.Second // the server answers by then, with or without news
	// mostBytes of an answer are read.
	mostBytes = 32 << 20
)

// newClient is the library's client, which only makes requests here.
func newClient(c Config) (*mautrix.Client, error) {
	u, err := url.Parse(c.Server)
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return nil, fmt.Errorf("%q is no address of a server: expected one that begins with http:// or https://", c.Server)
	}
	client, err := mautrix.NewClient(strings.TrimRight(c.Server, "/"), "", c.Token.secret)
	if err != nil {
		return nil, fmt.Errorf("%q is no address of a server", c.Server)
	}
	client.Client = &http.Client{
		Transport: c.Through,
		// A redirect would carry the token elsewhere.
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
	client.ResponseSizeLimit = mostBytes
	client.UserAgent = "skyslate"
	return client, nil
}

// get asks the server for a value and reads it into v.
func (t *Transport) get(ctx context.Context, query map[string]string, v any, path ...any) error {
	body, err := t.client.MakeFullRequest(ctx, mautrix.FullRequest{
		Method: http.MethodGet, URL: t.client.BuildURLWithQuery(mautrix.ClientURLPath(path), query),
	})
	if err != nil {
		return err
	}
	if json.Unmarshal(body, v) != nil {
		return errOtherServer
	}
	return nil
}

// errOtherServer is an answer that isn't one of the protocol.
var errOtherServer = errors.New("what answers there is no Matrix server, or a proxy before it: expected JSON")

// errToken ends the transport.
var errToken = errors.New("the Matrix server does not know this access token: it was withdrawn, or mistyped")

// A refusal is what the server's error means for the loops, and whether it is known
// that nothing was carried out.
type refusal struct {
	fate    run.Fate
	after   time.Duration // Again: not before
	code    string        // the protocol's, if it gave any
	unknown bool          // the call may have been carried out
	err     error
}

// refusalOf sorts an error; nil for none.
func (t *Transport) refusalOf(err error) *refusal {
	if err == nil {
		return nil
	}
	r := &refusal{fate: run.Again, unknown: true}
	var failed mautrix.HTTPError
	if !errors.As(err, &failed) {
		r.err = errors.New(t.token.mask(err.Error()))
		return r
	}
	status := 0
	if failed.Response != nil {
		status = failed.Response.StatusCode
	}
	switch told := failed.RespError; {
	case told == nil && status != 0 && failed.WrappedError == nil:
		r.err = fmt.Errorf("something before the Matrix server answers with HTTP status %d", status)
	case told == nil:
		r.err = errors.New(t.token.mask(failed.Error()))
	default:
		r.code = told.ErrCode
		r.err = errors.New(t.token.mask(told.ErrCode + ": " + told.Err))
		r.unknown = status >= 500
	}
	switch {
	case r.code == mautrix.MUnknownToken.ErrCode || r.code == mautrix.MMissingToken.ErrCode:
		r.fate, r.err = run.Stop, errToken
	case status == http.StatusTooManyRequests:
		r.after, r.unknown = retryAfter(failed), false
	case r.code != "" && status >= 400 && status < 500, status == http.StatusRequestEntityTooLarge:
		r.fate = run.Never
	}
	return r
}

// The server says how long to wait; where it doesn't, a moment is common practice.
const (
	usualWait   = 2 * time.Second
	longestWait = 10 * time.Minute
)

func retryAfter(failed mautrix.HTTPError) time.Duration {
	if failed.RespError != nil {
		if ms, ok := failed.RespError.ExtraData["retry_after_ms"].(float64); ok && ms > 0 {
			return time.Duration(min(ms, float64(longestWait.Milliseconds()))) * time.Millisecond
		}
	}
	return usualWait
}

// sendError tells the loops.
func (r *refusal) sendError(ctx context.Context) error {
	switch {
	case r == nil:
		return nil
	case r.fate == run.Again && r.after == 0 && errors.Is(context.Cause(ctx), context.Canceled):
		return ctx.Err()
	}
	return &run.SendError{Fate: r.fate, After: r.after, Err: r.err}
}
