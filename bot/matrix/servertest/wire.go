package servertest

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"testing"
)

// wire is the way to a server.
type wire struct {
	URL    string
	client *http.Client
}

// call makes a call that has to work.
func (w wire) call(t *testing.T, token, method, path string, body, answer any) {
	t.Helper()
	if status, text := w.try(t, token, method, path, body, answer); status != http.StatusOK {
		t.Fatalf("%s %s: status %d: %s", method, path, status, text)
	}
}

// try makes a call.
func (w wire) try(t *testing.T, token, method, path string, body, answer any) (status int, text string) {
	t.Helper()
	var sent io.Reader
	if raw, is := body.([]byte); is {
		sent = bytes.NewReader(raw)
	} else if body != nil {
		text, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		sent = bytes.NewReader(text)
	}
	req, err := http.NewRequestWithContext(t.Context(), method, w.URL+path, sent)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bearer "+token)
	resp, err := w.client.Do(req)
	if err != nil {
		return 0, err.Error()
	}
	defer resp.Body.Close()
	all, err := io.ReadAll(resp.Body)
	if err != nil {
		return 0, err.Error()
	}
	if resp.StatusCode == http.StatusOK && answer != nil {
		if raw, is := answer.(*[]byte); is {
			*raw = all
		} else if err := json.Unmarshal(all, answer); err != nil {
			t.Fatalf("%s %s: %v", method, path, err)
		}
	}
	return resp.StatusCode, string(all)
}
