package supply

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"skyslate/predict"
)

// Limits of a fetch.
const (
	maxBody  = 16 << 20 // bytes: all that is in orbit is a fifth of that
	fetchFor = time.Minute
)

// got is what an answer brought beside elements.
type got struct {
	unchanged bool
	after     time.Duration // the provider wants to be left alone for that long
}

// validators are what a provider is asked with whether anything has changed.
// They lie beside the copy.
type validators struct {
	Address  string `json:"address"`
	ETag     string `json:"etag,omitempty"`
	Modified string `json:"last_modified,omitempty"`
	Sum      string `json:"sha256"` // of the copy that they belong to
}

// withoutSecrets is an address without user, password and query, which may hold
// what others must not read in a log.
func withoutSecrets(name string) string {
	u, err := url.Parse(name)
	if err != nil {
		return "(an address that can't be read)"
	}
	u.User, u.Fragment = nil, ""
	if u.RawQuery != "" {
		u.RawQuery = "…"
	}
	text, err := url.PathUnescape(u.String())
	if err != nil {
		return u.String()
	}
	return text
}

// fetch asks an address for elements and keeps them if they are good.
func (s *Supply) fetch(ctx context.Context, src *source) (got, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, src.name, nil)
	if err != nil {
		return got{}, plain(err)
	}
	r.Header.Set("User-Agent", s.config.Agent)
	r.Header.Set("Accept", "*/*")
	known := src.validators()
	if known.ETag != "" {
		r.Header.Set("If-None-Match", known.ETag)
	}
	if known.Modified != "" {
		r.Header.Set("If-Modified-Since", known.Modified)
	}
	resp, err := s.client.Do(r)
	if err != nil {
		return got{}, plain(err)
	}
	defer resp.Body.Close()
	switch resp.StatusCode {
	case http.StatusNotModified:
		now := time.Now() // the copy still is the newest
		return got{unchanged: true}, os.Chtimes(src.path, now, now)
	case http.StatusOK:
		return got{}, s.keep(src, resp)
	}
	return got{after: retryAfter(resp.Header.Get("Retry-After"), time.Now())},
		fmt.Errorf("the provider answers with HTTP status %d", resp.StatusCode)
}

// plain is an error without the address that it was about: of a redirection it
// could be any text.
func plain(err error) error {
	var u *url.Error
	if errors.As(err, &u) {
		return u.Err
	}
	return err
}

// keep puts what came in the place of the copy, if it holds a good set.
func (s *Supply) keep(src *source, resp *http.Response) error {
	body, err := io.ReadAll(io.LimitReader(resp.Body, maxBody+1))
	switch {
	case err != nil:
		return plain(err)
	case len(body) > maxBody:
		return fmt.Errorf("it is larger than %d bytes", maxBody)
	}
	sets, problems, err := predict.ReadElements(bytes.NewReader(body), src.shown)
	switch {
	case err != nil:
		return err
	case len(sets) == 0 && len(problems) > 0:
		return fmt.Errorf("no usable element set came: %w", problems[0])
	case len(sets) == 0:
		return errors.New("no usable element set came")
	}
	meta, err := json.Marshal(validators{
		Address: src.shown, ETag: sendable(resp.Header.Get("ETag")),
		Modified: sendable(resp.Header.Get("Last-Modified")), Sum: sum(body),
	})
	if err := errors.Join(err, os.MkdirAll(filepath.Dir(src.path), 0o700)); err != nil {
		return err
	}
	if err := replace(src.path, body); err != nil {
		return err
	}
	return replace(src.path+".json", meta)
}

// sendable is a header's value if it may be sent back: another would make every
// later request fail.
func sendable(value string) string {
	const longest = 200
	if len(value) > longest || strings.ContainsFunc(value, func(r rune) bool { return r < ' ' || r > '~' }) {
		return ""
	}
	return value
}

// validators are those of the copy; none if the copy is not what they belong to.
func (src *source) validators() (v validators) {
	meta, err := os.ReadFile(src.path + ".json")
	if err != nil || json.Unmarshal(meta, &v) != nil {
		return validators{}
	}
	if body, err := os.ReadFile(src.path); err != nil || sum(body) != v.Sum {
		return validators{}
	}
	return v
}

func sum(body []byte) string { return fmt.Sprintf("%x", sha256.Sum256(body)) }

// replace puts a file in the place of another at one stroke.
func replace(path string, body []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".fetched-*")
	if err != nil {
		return err
	}
	_, err = f.Write(body)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return os.Rename(f.Name(), path)
}

// retryAfter reads the header of that name: seconds, or a date.
func retryAfter(text string, now time.Time) time.Duration {
	if n, err := strconv.Atoi(text); err == nil && n > 0 && n < 1e9 {
		return time.Duration(n) * time.Second
	}
	if at, err := http.ParseTime(text); err == nil && at.After(now) {
		return at.Sub(now)
	}
	return 0
}
