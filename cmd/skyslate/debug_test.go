package main

import (
	"bytes"
	"context"
	"io"
	"log/slog"
	"net/http"
	"regexp"
	"strings"
	"testing"
)

func TestDebugIsForThisMachine(t *testing.T) {
	for _, s := range []string{"127.0.0.1:6060", "127.8.9.1:1", "[::1]:6060"} {
		if at, err := parseDebug(s); err != nil || at != s {
			t.Errorf("%s: %q %v", s, at, err)
		}
	}
	for _, s := range []string{"", "6060", ":6060", "0.0.0.0:6060", "192.0.2.1:6060", "[::]:6060", "localhost:6060", "127.0.0.1", "127.0.0.1:99999"} {
		at, err := parseDebug(s)
		if err == nil || at != "" || !strings.Contains(err.Error(), "127.0.0.1:6060") {
			t.Errorf("%q: %q %v", s, at, err)
		}
	}
}

func TestDebugServesProfiles(t *testing.T) {
	ctx, end := context.WithCancel(t.Context())
	defer end()
	var log bytes.Buffer
	if err := serveDebug(ctx, "127.0.0.1:0", slog.New(slog.NewTextHandler(&log, nil))); err != nil {
		t.Fatal(err)
	}
	address := regexp.MustCompile(`http://[^"\s]+`).FindString(log.String())
	resp, err := http.Get(address + "goroutine?debug=1")
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	if body, err := io.ReadAll(resp.Body); err != nil || !strings.Contains(string(body), "TestDebugServesProfiles") {
		t.Errorf("%v\n%s", err, body)
	}
}
