package apitest

import (
	"crypto/subtle"
	"encoding/json"
	"io"
	"maps"
	"net/http"
	"strings"
	"sync"
	"time"
)

// Server is the service. Set its exported fields before it is used; its methods
// may be called from any goroutine.
type Server struct {
	// Token is the one bot's, Name its user name.
	Token, Name string
	// Echo makes each reaction be followed by an update that says that the
	// message was edited although it was not, as the service does at times.
	Echo bool
	// Unpaced switches the limit of messages per second and chat off.
	Unpaced bool

	mu      sync.Mutex
	changed chan struct{} // closed and made anew at every change

	queue    []update // not confirmed yet
	past     []update // confirmed
	last     int64    // the id given last
	allowed  []string // nil: the default
	polls    polls
	chats    map[int64]*chat
	files    map[string]file
	taps     map[string]*tapping
	commands []Command
	faults   []*standing
	script   func(method string, nth int) *Fault
	counts   map[string]int // calls so far, by method in lower case
	conflict int
	deeds    []Deed
}

// New returns a service with one bot and nobody who has written to it.
func New(token string) *Server {
	return &Server{
		Token: token, Name: "skyslate_test_bot", last: 700_000_000,
		changed: make(chan struct{}),
		chats:   map[int64]*chat{}, files: map[string]file{}, taps: map[string]*tapping{}, counts: map[string]int{},
	}
}

// touch tells whoever waits that something has changed. The caller holds mu.
func (s *Server) touch() {
	close(s.changed)
	s.changed = make(chan struct{})
}

// answer is what goes back, and how.
type answer struct {
	status int
	header http.Header
	body   []byte
	fault  *Fault // nil: nothing goes wrong on the way
}

// call is one request.
type call struct {
	method string // in lower case
	form   form
	done   <-chan struct{} // the client has gone
}

// serve works a request off.
func (s *Server) serve(r *http.Request) answer {
	path := r.URL.Path
	if rest, ok := strings.CutPrefix(path, "/file/bot"); ok {
		return s.serveFile(r, rest)
	}
	rest, ok := strings.CutPrefix(path, "/bot")
	token, method, slash := strings.Cut(rest, "/")
	method = strings.ToLower(strings.TrimPrefix(method, "test/"))
	switch {
	case !ok || !slash || method == "":
		return refusal(http.StatusNotFound, "Not Found")
	case !s.knows(token):
		return refusal(http.StatusUnauthorized, "Unauthorized")
	}
	f, err := readForm(r)
	if err != nil {
		return refusal(http.StatusBadRequest, "Bad Request: "+err.Error())
	}
	return s.work(call{method: method, form: f, done: r.Context().Done()})
}

func (s *Server) knows(token string) bool {
	return subtle.ConstantTimeCompare([]byte(token), []byte(s.Token)) == 1
}

// work does what a call asks for, unless something goes wrong first.
func (s *Server) work(c call) answer {
	fault := s.nextFault(c.method)
	if fault != nil && fault.Slow > 0 {
		s.wait(c.done, fault.Slow)
	}
	if fault != nil && fault.instead() {
		return fault.answer()
	}
	a := s.dispatch(c)
	switch {
	case fault == nil || !fault.breaks():
	case fault.Code != 0:
		return fault.answer()
	default:
		a.fault = fault
	}
	return a
}

func (s *Server) dispatch(c call) answer {
	if c.method == "getupdates" {
		return s.getUpdates(c)
	}
	do, ok := methods[c.method]
	if !ok {
		return refusal(http.StatusNotFound, "Not Found: method not found")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	result, err := do(s, c.form)
	if err != nil {
		return err.answer()
	}
	s.touch()
	return success(result)
}

// wait lets time pass, or returns early when the client has gone.
func (s *Server) wait(done <-chan struct{}, d time.Duration) {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
	case <-done:
	}
}

func success(result any) answer {
	body, err := json.Marshal(map[string]any{"ok": true, "result": result})
	if err != nil {
		return refusal(http.StatusInternalServerError, err.Error())
	}
	return answer{status: http.StatusOK, body: body}
}

// apiError is the service's no.
type apiError struct {
	code        int
	description string
	parameters  map[string]any
}

func (e *apiError) answer() answer {
	reply := map[string]any{"ok": false, "error_code": e.code, "description": e.description}
	header := http.Header{}
	if e.parameters != nil {
		reply["parameters"] = e.parameters
	}
	if after, ok := e.parameters["retry_after"]; ok {
		text, _ := json.Marshal(after)
		header.Set("Retry-After", string(text))
	}
	body, _ := json.Marshal(reply) // a map of these can always be written
	return answer{status: e.code, header: header, body: body}
}

func refusal(code int, description string) answer {
	return (&apiError{code: code, description: description}).answer()
}

func bad(description string) *apiError {
	return &apiError{code: http.StatusBadRequest, description: "Bad Request: " + description}
}

func forbidden(description string) *apiError {
	return &apiError{code: http.StatusForbidden, description: "Forbidden: " + description}
}

func tooLarge() *apiError {
	return &apiError{code: http.StatusRequestEntityTooLarge, description: "Request Entity Too Large"}
}

// serveFile hands out a file's bytes: rest is TOKEN/PATH.
func (s *Server) serveFile(r *http.Request, rest string) answer {
	token, path, _ := strings.Cut(rest, "/")
	if r.Method != http.MethodGet || !s.knows(token) {
		return refusal(http.StatusUnauthorized, "Unauthorized")
	}
	fault := s.nextFault("file")
	if fault != nil && fault.breaks() {
		return fault.answer()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, f := range s.files {
		if f.path == path {
			return answer{status: http.StatusOK, header: http.Header{"Content-Type": {"application/octet-stream"}}, body: f.body, fault: fault}
		}
	}
	return refusal(http.StatusNotFound, "Not Found")
}

// ServeHTTP is the loopback face.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	a := s.serve(r)
	if a.fault != nil {
		a.fault.spoil(w, r, a)
		return
	}
	a.write(w)
}

func (a answer) write(w http.ResponseWriter) {
	a.head(w.Header())
	w.WriteHeader(a.status)
	_, _ = w.Write(a.body) // the client may have gone
}

func (a answer) head(h http.Header) {
	h.Set("Content-Type", "application/json")
	maps.Copy(h, a.header)
}

// RoundTrip is the face for simulated time.
func (s *Server) RoundTrip(r *http.Request) (*http.Response, error) {
	if r.Body != nil {
		defer r.Body.Close()
	}
	a := s.serve(r)
	if err := r.Context().Err(); err != nil {
		return nil, err
	}
	body, err := a.carry(r)
	if err != nil {
		return nil, err
	}
	resp := &http.Response{
		Status: http.StatusText(a.status), StatusCode: a.status, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1,
		Header: http.Header{}, Body: io.NopCloser(body), ContentLength: int64(len(a.body)), Request: r,
	}
	a.head(resp.Header)
	return resp, nil
}
