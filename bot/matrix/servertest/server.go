// Package servertest runs a real Matrix server for a test, on loopback, with accounts
// of its own, and is the phone of a person with one of them.
//
// The server is a program of its own, named by the environment variable that Variable
// is the name of, or found in the path; .ci/server builds it. Where it is missing, the
// test is skipped and says so. [Home] is a small one in memory.
package servertest

import (
	"bytes"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha1"
	"encoding/hex"
	"encoding/pem"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Variable names the server's program.
const Variable = "MATRIX_SERVER"

// Name is the server's own name, which the addresses of people end with.
const Name = "birds.invalid"

// Server is a running server.
type Server struct {
	wire

	dir     string
	address string
	program string
	cmd     *exec.Cmd
}

// secret lets accounts be made on a server that nobody else reaches.
const secret = "invented"

// New starts a server, which ends with the test.
func New(t *testing.T) *Server {
	t.Helper()
	program := os.Getenv(Variable)
	if program == "" {
		var err error
		if program, err = exec.LookPath("dendrite"); err != nil {
			t.Skipf("skipped: there is no Matrix server; .ci/server builds one, and %s names it", Variable)
		}
	}
	s := &Server{dir: t.TempDir(), address: freeAddress(t), program: program}
	s.wire = wire{"http://" + s.address, http.DefaultClient}
	s.configure(t)
	s.Start(t)
	t.Cleanup(s.Kill)
	return s
}

// freeAddress is an address of this machine on which nothing listens.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// components each have a database of their own.
var components = map[string]string{
	"app_service_api": "appservice", "federation_api": "federation", "key_server": "keys", "media_api": "media",
	"mscs": "mscs", "relay_api": "relay", "room_server": "rooms", "sync_api": "sync",
}

// configure writes the server's configuration and its key.
func (s *Server) configure(t *testing.T) {
	t.Helper()
	seed := make([]byte, 32)
	_, _ = rand.Read(seed) // never fails
	key := pem.EncodeToMemory(&pem.Block{
		Type: "MATRIX PRIVATE KEY", Headers: map[string]string{"Key-ID": "ed25519:invented"}, Bytes: seed,
	})
	s.write(t, "key.pem", string(key))
	database := func(name string) string {
		return fmt.Sprintf("\n    connection_string: file:%s", filepath.Join(s.dir, name+".db"))
	}
	var b strings.Builder
	fmt.Fprintf(&b, "version: 2\nglobal:\n  server_name: %s\n  private_key: %s\n  disable_federation: true\n", Name, filepath.Join(s.dir, "key.pem"))
	fmt.Fprintf(&b, "  jetstream:\n    storage_path: %s\n    in_memory: false\n  presence:\n    enable_inbound: false\n", s.dir)
	fmt.Fprintf(&b, "client_api:\n  registration_shared_secret: %s\n  rate_limiting:\n    enabled: false\n", secret)
	for component, name := range components {
		fmt.Fprintf(&b, "%s:\n  database:%s\n", component, database(name))
		if component == "media_api" {
			fmt.Fprintf(&b, "  base_path: %s\n", filepath.Join(s.dir, "media"))
		}
	}
	fmt.Fprintf(&b, "user_api:\n  bcrypt_cost: 4\n  account_database:%s\n  device_database:%s\n", database("accounts"), database("devices"))
	b.WriteString("logging:\n- type: std\n  level: error\n")
	s.write(t, "server.yaml", b.String())
}

func (s *Server) write(t *testing.T, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(s.dir, name), []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// Start starts a server that was killed, and waits until it answers.
func (s *Server) Start(t *testing.T) {
	t.Helper()
	s.cmd = exec.Command(s.program, "-config", filepath.Join(s.dir, "server.yaml"), "-http-bind-address", s.address)
	s.cmd.Dir = s.dir
	var said bytes.Buffer
	s.cmd.Stdout, s.cmd.Stderr = &said, &said
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	for range 600 {
		if resp, err := http.Get(s.URL + "/_matrix/client/versions"); err == nil {
			resp.Body.Close()
			return
		}
		<-time.After(100 * time.Millisecond) // another program's start can't be waited for otherwise
	}
	s.Kill()
	t.Fatalf("the server does not start:\n%s", said.String())
}

// Kill ends the server at once.
func (s *Server) Kill() {
	_ = s.cmd.Process.Kill() // it may have ended
	_ = s.cmd.Wait()
}

// Save copies all that the server has, Restore gives it back as it was then: as from a
// backup. Both end the server before, and start it again.
func (s *Server) Save(t *testing.T) (saved string) {
	t.Helper()
	saved = t.TempDir()
	s.Kill()
	if err := os.CopyFS(saved, os.DirFS(s.dir)); err != nil {
		t.Fatal(err)
	}
	s.Start(t)
	return saved
}

// Restore is Save's way back.
func (s *Server) Restore(t *testing.T, saved string) {
	t.Helper()
	s.Kill()
	if err := os.RemoveAll(s.dir); err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(s.dir, os.DirFS(saved)); err != nil {
		t.Fatal(err)
	}
	s.Start(t)
}

// Account makes an account and returns its access token.
func (s *Server) Account(t *testing.T, name string) (token string) {
	t.Helper()
	const password = "invented password"
	var made struct {
		Nonce string `json:"nonce"`
		Token string `json:"access_token"`
	}
	const path = "/_synapse/admin/v1/register"
	s.call(t, "", http.MethodGet, path, nil, &made)
	mac := hmac.New(sha1.New, []byte(secret))
	io.WriteString(mac, strings.Join([]string{made.Nonce, name, password, "notadmin"}, "\x00")) // never fails
	s.call(t, "", http.MethodPost, path, map[string]any{
		"nonce": made.Nonce, "username": name, "password": password, "admin": false,
		"mac": hex.EncodeToString(mac.Sum(nil)),
	}, &made)
	return made.Token
}
