package apitest

import (
	"crypto/subtle"
	"encoding/json"
	"io"
	"maps"
	"net/http"
	"strconv"
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
	files    map[string][]byte
	taps     map[string]time.Time // that wait for their answer
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
		chats:   map[int64]*chat{}, files: map[string][]byte{}, taps: map[string]time.Time{}, counts: map[string]int{},
	}
}

// touch tells whoever waits that something has changed. The caller holds mu.
func (s *Server) touch() {
	close(s.changed)
	s.changed = make(chan struct{})
}

// answer is what goes back, and what goes wrong with it on the way.
type answer struct {
	status int
	header http.Header
	body   []byte
	fault  Fault
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
	body, err := a.carry(r.Context())
	if err != nil {
		return nil, err
	}
	header := http.Header{"Content-Type": {"application/json"}}
	maps.Copy(header, a.header)
	return &http.Response{
		Status: http.StatusText(a.status), StatusCode: a.status, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1,
		Header: header, Body: io.NopCloser(body), ContentLength: int64(len(a.body)),
		Close: a.fault.CloseAfter, Request: r,
	}, nil
}

// serve works a request off.
func (s *Server) serve(r *http.Request) answer {
	rest, isFile := strings.CutPrefix(r.URL.Path, "/file/bot")
	isCall := false
	if !isFile {
		rest, isCall = strings.CutPrefix(r.URL.Path, "/bot")
	}
	token, name, _ := strings.Cut(rest, "/")
	known := subtle.ConstantTimeCompare([]byte(token), []byte(s.Token)) == 1
	method := strings.ToLower(strings.TrimPrefix(name, "test/"))
	gone := r.Context().Done()
	switch {
	case !isFile && (!isCall || method == ""):
		return refusal(http.StatusNotFound, "Not Found")
	case !known || isFile && r.Method != http.MethodGet:
		return refusal(http.StatusUnauthorized, "Unauthorized")
	case isFile:
		return s.strike("file", gone, func() answer { return s.download(name) })
	}
	f, err := readForm(r)
	if err != nil {
		return refusal(http.StatusBadRequest, "Bad Request: "+err.Error())
	}
	if method == "getupdates" {
		return s.strike(method, gone, func() answer { return s.getUpdates(f, gone) })
	}
	return s.strike(method, gone, func() answer { return s.dispatch(method, f) })
}

func (s *Server) dispatch(method string, f form) answer {
	do, ok := methods[method]
	if !ok {
		return refusal(http.StatusNotFound, "Not Found: method not found")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	result, err := do(s, f)
	if err != nil {
		return err.answer()
	}
	s.touch()
	return success(result)
}

// downloads is where files lie on the server.
const downloads = "documents/"

// download hands out a file's bytes.
func (s *Server) download(path string) answer {
	s.mu.Lock()
	defer s.mu.Unlock()
	id, _ := strings.CutPrefix(path, downloads)
	body, ok := s.files[id]
	if !ok {
		return refusal(http.StatusNotFound, "Not Found")
	}
	return answer{status: http.StatusOK, header: http.Header{"Content-Type": {"application/octet-stream"}}, body: body}
}

func success(result any) answer {
	return answer{status: http.StatusOK, body: encode(map[string]any{"ok": true, "result": result})}
}

// encode writes values of this package, which can always be written.
func encode(v any) json.RawMessage {
	body, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return body
}

// apiError is the service's no.
type apiError struct {
	code        int
	description string
	parameters
}

type parameters struct {
	RetryAfter int   `json:"retry_after,omitzero"`
	MigrateTo  int64 `json:"migrate_to_chat_id,omitzero"`
}

func (e *apiError) answer() answer {
	reply := map[string]any{"ok": false, "error_code": e.code, "description": e.description}
	header := http.Header{}
	if e.parameters != (parameters{}) {
		reply["parameters"] = e.parameters
	}
	if e.RetryAfter != 0 {
		header.Set("Retry-After", strconv.Itoa(e.RetryAfter))
	}
	return answer{status: e.code, header: header, body: encode(reply)}
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
