package supply

import (
	"compress/gzip"
	"context"
	"encoding/binary"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestInward(t *testing.T) {
	for text, want := range map[string]bool{
		"127.0.0.1": true, "127.8.8.8": true, "10.1.2.3": true, "172.16.0.1": true, "192.168.1.1": true,
		"169.254.169.254": true, "100.64.0.1": true, "0.0.0.0": true, "255.255.255.255": true, "224.0.0.1": true,
		"198.18.0.1": true, "192.0.0.8": true, "::": true, "::1": true, "fe80::1": true, "fe80::1%eth0": true, "fc00::1": true, "ff02::1": true,
		"::ffff:127.0.0.1": true, "::ffff:10.0.0.1": true, "64:ff9b::7f00:1": true, "2002:7f00:1::": true, "fec0::1": true,
		"192.0.2.1": false, "203.0.113.9": false, "8.8.8.8": false, "2001:db8::1": false, "::ffff:8.8.8.8": false,
	} {
		if got := inward(netip.MustParseAddr(text)); got != want {
			t.Errorf("%s: %v", text, got)
		}
	}
	for host, want := range map[string]bool{
		"localhost": true, "LOCALHOST.": true, "shack": true, "shack.local": true, "x.home.arpa": true, "10.0.0.1": true, "::1": true,
		"elements.example": false, "local.example": false, "10.0.0.1.example": false,
	} {
		if got := meant(host); got != want {
			t.Errorf("%s: %v", host, got)
		}
	}
}

// nameServer answers every question with one address, over loopback.
func nameServer(t *testing.T, answer netip.Addr) *net.Resolver {
	t.Helper()
	conn, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	go func() {
		b := make([]byte, 1500)
		for {
			n, from, err := conn.ReadFrom(b)
			if err != nil {
				return
			}
			if n < 17 {
				continue
			}
			end := 12 // of the one question: RFC 1035, section 4.1.2
			for b[end] != 0 {
				end += int(b[end]) + 1
			}
			end += 5
			reply := append([]byte{b[0], b[1], 0x81, 0x80, 0, 1, 0, 0, 0, 0, 0, 0}, b[12:end]...)
			if kind := binary.BigEndian.Uint16(b[end-4:]); kind == 1 {
				reply[7] = 1
				reply = append(reply, 0xc0, 12, 0, 1, 0, 1, 0, 0, 0, 0, 0, 4)
				reply = append(reply, answer.AsSlice()...)
			}
			_, _ = conn.WriteTo(reply, from) // the test fails if it gets lost
		}
	}()
	return &net.Resolver{PreferGo: true, Dial: func(ctx context.Context, _, _ string) (net.Conn, error) {
		return new(net.Dialer).DialContext(ctx, "udp", conn.LocalAddr().String())
	}}
}

// fetchOnce fetches an address once and returns how that ended.
func fetchOnce(t *testing.T, g *guard, address string) error {
	t.Helper()
	s, err := New(Config{Sources: []string{address}, Dir: t.TempDir(), Agent: "test", Through: g})
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.fetch(t.Context(), s.sources[0])
	return err
}

// Each attack of a provider, or of who stands between: nothing is fetched that was
// not asked for.
func TestAttackElements(t *testing.T) {
	good := elements(t)
	var hits int
	mux := http.NewServeMux()
	mux.HandleFunc("/good", func(w http.ResponseWriter, _ *http.Request) { hits++; _, _ = io.WriteString(w, good) })
	mux.HandleFunc("/to", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Location", r.URL.Query().Get("x"))
		w.WriteHeader(http.StatusFound)
	})
	mux.HandleFunc("/loop", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/loop", http.StatusFound) })
	mux.HandleFunc("/bomb", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Encoding", "gzip")
		z := gzip.NewWriter(w)
		defer z.Close()
		for range 2 * maxBody >> 16 {
			if _, err := z.Write(make([]byte, 1<<16)); err != nil {
				return
			}
		}
	})
	mux.HandleFunc("/zipped", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Encoding", "gzip")
		z := gzip.NewWriter(w)
		defer z.Close()
		_, _ = io.WriteString(z, good)
	})
	mux.HandleFunc("/header", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("X", strings.Repeat("x", 1<<20))
		_, _ = io.WriteString(w, good)
	})
	web := httptest.NewServer(mux)
	defer web.Close()
	other := httptest.NewServer(mux)
	defer other.Close()
	secure := httptest.NewTLSServer(mux) // with a certificate that nobody vouches for
	defer secure.Close()
	secure.Config.ErrorLog = nil
	_, port, _ := net.SplitHostPort(web.Listener.Addr().String())

	inside := newGuard(nameServer(t, netip.MustParseAddr("127.0.0.1")))
	to := func(x string) string { return web.URL + "/to?x=" + url.QueryEscape(x) }
	for _, tt := range []struct {
		name, address, fails string
	}{
		{"the configured address", web.URL + "/good", ""},
		{"compressed", web.URL + "/zipped", ""},
		{"on the same host", to("/good"), ""},
		{"another port of the own machine", to(other.URL + "/good"), "own network"},
		{"the own network by number", to("http://10.0.0.1/"), "own network"},
		{"the machine's own description", to("http://169.254.169.254/latest"), "own network"},
		{"the own network by name", to("http://shack.local/"), "own network"},
		{"the own network by a public name", to("http://elements.example:" + port + "/good"), "own network"},
		{"a number in another form", to("http://0x7f.1:" + port + "/good"), "own network"},
		{"a public name that is answered inward", "http://elements.example:" + port + "/good", "own network"},
		{"a file", to("file:///etc/passwd"), "another scheme"},
		{"another protocol", to("gopher://127.0.0.1/"), "another scheme"},
		{"in a circle", web.URL + "/loop", "five redirections"},
		{"a bomb", web.URL + "/bomb", "larger than"},
		{"a huge header", web.URL + "/header", "header"},
		{"a certificate of nobody's", secure.URL + "/good", "certificate"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			before := hits
			err := fetchOnce(t, inside, tt.address)
			switch {
			case tt.fails == "" && err != nil:
				t.Error(err)
			case tt.fails != "" && (err == nil || !strings.Contains(err.Error(), tt.fails)):
				t.Errorf("%v, want %q", err, tt.fails)
			case tt.fails != "" && hits != before:
				t.Error("it was fetched")
			}
		})
	}
}

// dripping is a body of which a byte comes now and then.
type dripping struct{ ctx context.Context }

func (d dripping) Read(b []byte) (int, error) {
	select {
	case <-time.After(5 * time.Second):
		b[0] = ' '
		return 1, nil
	case <-d.ctx.Done():
		return 0, d.ctx.Err()
	}
}

func (dripping) Close() error { return nil }

type roundTripper func(*http.Request) (*http.Response, error)

func (f roundTripper) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }

// A body that drips, and an answer that never comes, are given up after a minute.
func TestAttackSlowElements(t *testing.T) {
	for name, through := range map[string]roundTripper{
		"drips": func(r *http.Request) (*http.Response, error) {
			return &http.Response{StatusCode: 200, Header: http.Header{}, Body: dripping{r.Context()}, Request: r}, nil
		},
		"hangs": func(r *http.Request) (*http.Response, error) { <-r.Context().Done(); return nil, r.Context().Err() },
	} {
		inTime(t, func(t *testing.T) {
			s, err := New(Config{Sources: []string{address}, Dir: t.TempDir(), Through: through})
			if err != nil {
				t.Fatal(err)
			}
			start := time.Now()
			_, err = s.fetch(t.Context(), s.sources[0])
			if took := time.Since(start); err == nil || took > fetchFor+time.Second {
				t.Errorf("%s: %v after %s", name, err, took)
			}
		})
	}
}

// What a provider says of its file is sent back only if it can be.
func TestAttackValidators(t *testing.T) {
	inTime(t, func(t *testing.T) {
		dir := t.TempDir()
		p := &provider{body: elements(t), etag: "\"a\r\nX: y\""}
		b := newBench(t, dir, p, address)
		b.run(t, time.Minute)
		kept, err := filepath.Glob(filepath.Join(dir, "*.json"))
		if err != nil || len(kept) != 1 {
			t.Fatal(kept, err)
		}
		if text, err := os.ReadFile(kept[0]); err != nil || strings.Contains(string(text), "X: y") {
			t.Errorf("kept: %s, %v", text, err)
		}
	})
}
