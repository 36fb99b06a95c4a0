package apitest

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"syscall"
	"time"
)

// Fault is something that goes wrong with a call. The zero value of each field
// means that this does not go wrong.
type Fault struct {
	// After lets the work be done before the answer goes wrong: the client can't
	// know.
	After bool

	Code        int    // this HTTP status, with a JSON error unless HTML
	Description string // "": one that fits the code
	RetryAfter  int    // seconds, in the body and in a header
	MigrateTo   int64  // with code 400
	HTML        bool   // the body is a page, as from a proxy

	Reset      bool          // the connection breaks before a header
	Cut        bool          // it breaks in mid-body
	Hang       bool          // no answer ever
	CloseAfter bool          // the connection is closed after the answer, unannounced
	Slow       time.Duration // it takes that long
	Drip       time.Duration // each byte of the body does (in simulated time)
}

// standing is a fault that waits for its call.
type standing struct {
	method string
	skip   int
	times  int
	fault  Fault
}

// Fail lets something go wrong with calls of a method ("" means any but
// getUpdates, "file" the download of a file): with those after the next skip
// ones, times of them.
func (s *Server) Fail(method string, skip, times int, f Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = append(s.faults, &standing{strings.ToLower(method), skip, times, f})
}

// Script is asked at every call what goes wrong with it: method is in lower
// case, nth counts the calls of that method from 1. It must not call the server.
func (s *Server) Script(f func(method string, nth int) *Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.script = f
}

// nextFault is what goes wrong with this call.
func (s *Server) nextFault(method string) *Fault {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.counts[method]++
	for i, st := range s.faults {
		if st.method != method && (st.method != "" || method == "getupdates") {
			continue
		}
		if st.skip > 0 {
			st.skip--
			continue
		}
		st.times--
		if st.times <= 0 {
			s.faults = append(s.faults[:i:i], s.faults[i+1:]...)
		}
		return &st.fault
	}
	if s.script != nil {
		return s.script(method, s.counts[method])
	}
	return nil
}

// breaks reports whether anything beyond slowness goes wrong.
func (f *Fault) breaks() bool {
	return f.Code != 0 || f.Reset || f.Cut || f.Hang || f.CloseAfter
}

// instead reports whether the work is not done at all.
func (f *Fault) instead() bool {
	return !f.After && (f.Code != 0 || f.Reset || f.Cut || f.Hang)
}

// answer is what comes instead of the work's result.
func (f *Fault) answer() answer {
	a := refusal(http.StatusBadGateway, "Bad Gateway")
	a.fault = f
	switch {
	case f.HTML:
		a.status, a.body = f.Code, []byte("<html><body><h1>"+http.StatusText(f.Code)+"</h1></body></html>")
		a.header = http.Header{"Content-Type": {"text/html"}}
	case f.Code >= 300 && f.Code < 400:
		a.status, a.header = f.Code, http.Header{"Location": {"http://127.0.0.1:1/elsewhere"}}
	case f.Code != 0:
		e := apiError{code: f.Code, description: f.description(), parameters: f.parameters()}
		a = e.answer()
		a.fault = f
	}
	if !f.Reset && !f.Cut && !f.Hang && !f.CloseAfter {
		a.fault = nil
	}
	return a
}

func (f *Fault) parameters() map[string]any {
	p := map[string]any{}
	if f.RetryAfter != 0 {
		p["retry_after"] = f.RetryAfter
	}
	if f.MigrateTo != 0 {
		p["migrate_to_chat_id"] = f.MigrateTo
	}
	if len(p) == 0 {
		return nil
	}
	return p
}

func (f *Fault) description() string {
	switch {
	case f.Description != "":
		return f.Description
	case f.RetryAfter != 0:
		return fmt.Sprintf("Too Many Requests: retry after %d", f.RetryAfter)
	case f.Code == http.StatusInternalServerError:
		return "Internal Server Error: restart"
	}
	return http.StatusText(f.Code)
}

// spoil is what goes wrong with the answer on the loopback face.
func (f *Fault) spoil(w http.ResponseWriter, r *http.Request, a answer) {
	switch {
	case f.Hang:
		<-r.Context().Done()
		panic(http.ErrAbortHandler)
	case f.Reset:
		reset(w)
	case f.Cut:
		a.head(w.Header())
		w.Header().Set("Content-Length", fmt.Sprint(len(a.body)))
		w.WriteHeader(a.status)
		_, _ = w.Write(a.body[:len(a.body)/2]) // it is to break anyway
		_ = http.NewResponseController(w).Flush()
		panic(http.ErrAbortHandler)
	case f.CloseAfter:
		closeAfter(w, a)
	default:
		a.write(w)
	}
}

func reset(w http.ResponseWriter) {
	conn, _, err := http.NewResponseController(w).Hijack()
	if err != nil {
		panic(http.ErrAbortHandler)
	}
	if tcp, ok := conn.(*net.TCPConn); ok {
		_ = tcp.SetLinger(0) // makes the close a reset
	}
	_ = conn.Close()
}

// closeAfter answers as if the connection stayed open, and closes it.
func closeAfter(w http.ResponseWriter, a answer) {
	conn, buf, err := http.NewResponseController(w).Hijack()
	if err != nil {
		panic(http.ErrAbortHandler)
	}
	defer conn.Close()
	fmt.Fprintf(buf, "HTTP/1.1 %d %s\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s",
		a.status, http.StatusText(a.status), len(a.body), a.body)
	_ = buf.Flush()
}

// carry is what goes wrong with the answer in simulated time.
func (a answer) carry(r *http.Request) (io.Reader, error) {
	f := a.fault
	switch {
	case f == nil || f.CloseAfter:
		return bytes.NewReader(a.body), nil
	case f.Hang:
		<-r.Context().Done()
		return nil, r.Context().Err()
	case f.Reset:
		return nil, &net.OpError{Op: "read", Net: "tcp", Err: syscall.ECONNRESET}
	case f.Cut:
		return io.MultiReader(bytes.NewReader(a.body[:len(a.body)/2]), broken{}), nil
	}
	if f.Drip > 0 {
		return &dripping{r.Context(), a.body, f.Drip}, nil
	}
	return bytes.NewReader(a.body), nil
}

// dripping is a body that comes a byte at a time.
type dripping struct {
	ctx   context.Context
	left  []byte
	every time.Duration
}

// Read implements io.Reader.
func (d *dripping) Read(b []byte) (int, error) {
	if len(d.left) == 0 {
		return 0, io.EOF
	}
	select {
	case <-time.After(d.every):
	case <-d.ctx.Done():
		return 0, d.ctx.Err()
	}
	n := copy(b[:min(1, len(b))], d.left)
	d.left = d.left[n:]
	return n, nil
}

// broken is a connection that ended too early.
type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }
