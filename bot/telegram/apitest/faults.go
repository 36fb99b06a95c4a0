package apitest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"syscall"
	"testing/iotest"
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
func (s *Server) nextFault(method string) Fault {
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
		return st.fault
	}
	if s.script != nil {
		if f := s.script(method, s.counts[method]); f != nil {
			return *f
		}
	}
	return Fault{}
}

// strike does the work of a call as far as its fault lets it, and spoils the answer.
func (s *Server) strike(method string, gone <-chan struct{}, work func() answer) answer {
	f := s.nextFault(method)
	if f.Slow > 0 {
		select {
		case <-time.After(f.Slow):
		case <-gone:
		}
	}
	var a answer
	worked := f.After || f.Code == 0 && !f.Reset && !f.Cut && !f.Hang
	if worked {
		a = work()
	}
	if !worked || f.Code != 0 {
		a = f.answer()
	}
	a.fault = f
	return a
}

// answer is what comes instead of the work's result.
func (f Fault) answer() answer {
	switch {
	case f.Code == 0:
		return refusal(http.StatusBadGateway, "Bad Gateway")
	case f.HTML:
		return answer{
			status: f.Code, header: http.Header{"Content-Type": {"text/html"}},
			body: []byte("<html><body><h1>" + http.StatusText(f.Code) + "</h1></body></html>"),
		}
	}
	e := apiError{code: f.Code, description: f.Description}
	switch {
	case f.Description != "":
	case f.RetryAfter != 0:
		e.description = fmt.Sprintf("Too Many Requests: retry after %d", f.RetryAfter)
	case f.Code == http.StatusInternalServerError:
		e.description = "Internal Server Error: restart"
	default:
		e.description = http.StatusText(f.Code)
	}
	e.RetryAfter, e.MigrateTo = f.RetryAfter, f.MigrateTo
	a := e.answer()
	if f.Code >= 300 && f.Code < 400 {
		a.header = http.Header{"Location": {"http://127.0.0.1:1/elsewhere"}}
	}
	return a
}

// carry is the answer's body, with what goes wrong on its way.
func (a answer) carry(ctx context.Context) (io.Reader, error) {
	switch f := a.fault; {
	case f.Hang:
		<-ctx.Done()
		return nil, ctx.Err()
	case f.Reset:
		return nil, &net.OpError{Op: "read", Net: "tcp", Err: syscall.ECONNRESET}
	case f.Cut:
		half := bytes.NewReader(a.body[:len(a.body)/2])
		return io.MultiReader(half, iotest.ErrReader(io.ErrUnexpectedEOF)), nil
	case f.Drip > 0:
		return &dripping{ctx, bytes.NewReader(a.body), f.Drip}, nil
	}
	return bytes.NewReader(a.body), nil
}

// dripping is a body that comes a byte at a time.
type dripping struct {
	ctx   context.Context
	body  io.Reader
	every time.Duration
}

// Read implements io.Reader.
func (d *dripping) Read(b []byte) (int, error) {
	select {
	case <-time.After(d.every):
		return d.body.Read(b[:min(1, len(b))])
	case <-d.ctx.Done():
		return 0, d.ctx.Err()
	}
}

// ServeHTTP is the loopback face.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	resp, err := s.RoundTrip(r)
	if err != nil {
		reset(w)
		return
	}
	for name := range resp.Header {
		w.Header().Set(name, resp.Header.Get(name))
	}
	w.Header().Set("Content-Length", fmt.Sprint(resp.ContentLength))
	w.WriteHeader(resp.StatusCode)
	_, err = io.Copy(w, resp.Body)
	if err != nil || resp.Close {
		_ = http.NewResponseController(w).Flush()
		panic(http.ErrAbortHandler) // closes the connection without a word
	}
}

// reset breaks the connection.
func reset(w http.ResponseWriter) {
	conn, _, err := http.NewResponseController(w).Hijack()
	if err != nil {
		panic(errors.Join(http.ErrAbortHandler, err))
	}
	if tcp, ok := conn.(*net.TCPConn); ok {
		_ = tcp.SetLinger(0) // makes the close a reset
	}
	_ = conn.Close()
}
