//go:build unix

package main

import (
	"context"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"skyslate/bot/telegram/apitest"
)

// TestAttackSecrets looks for the token and the codes in all that a run of the
// program puts out: the log while everything goes wrong, the dump of a process that dies, the
// list of processes, the names of all files, what other commands print, and the
// files handed over.
func TestAttackSecrets(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program and lets it die")
	}
	t.Parallel()
	p := buildProgram(t)
	for _, signal := range []syscall.Signal{syscall.SIGQUIT, syscall.SIGABRT, syscall.SIGSEGV} {
		t.Run(signal.String(), func(t *testing.T) { p.keepsSecrets(t, signal) })
	}
}

func (p program) keepsSecrets(t *testing.T, signal syscall.Signal) {
	server := apitest.New(serveToken)
	web := httptest.NewServer(server)
	defer web.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 2*patience)
	defer cancel()
	data := filepath.Join(t.TempDir(), "data")
	elements := web.URL + "/file/bot" + serveToken + "/none" // a token in an address, too
	s := p.serve(t, web.URL, "-data", data)
	s.out.await(t, "owner-code\n")
	code, err := os.ReadFile(filepath.Join(data, "owner-code"))
	if err != nil {
		t.Fatal(err)
	}
	_, token, _ := strings.Cut(serveToken, ":")
	secrets := map[string]string{"the token": token, "the owner's code": strings.TrimSpace(string(code))}
	cmdline, err := os.ReadFile(fmt.Sprintf("/proc/%d/cmdline", s.cmd.Process.Pid))
	if err != nil && !os.IsNotExist(err) {
		t.Error(err)
	}

	phone := server.Phone(7, "Inga")
	c := talk{t, ctx, phone, s}
	phone.Say("/start " + string(code))
	c.says("Your call sign")
	phone.Say("HX7KZQ")
	c.says("Where are you")
	phone.Say("JO33")
	c.says("Your grid")
	phone.Say("/invite")
	link := c.says("takes it back.\n").Text
	link = link[strings.LastIndexByte(link, '\n')+1:]
	secrets["an invitation's code"] = link[strings.LastIndexByte(link, '=')+1:]

	for _, f := range []apitest.Fault{
		{Code: 502, HTML: true},
		{Reset: true},
		{Cut: true},
		{Code: 400, Description: "Bad Request: https://api.example/bot" + serveToken + "/x"},
		{Code: 302},
		{Code: 500, Description: serveToken},
	} {
		for _, method := range []string{"getupdates", "sendmessage", "getfile", "file", "senddocument"} {
			server.Fail(method, 0, 1, f)
		}
	}
	server.Push("message", `{"message_id":"`+serveToken+`","from":{"id":7},"chat":{"id":7,"type":"private"},"date":1}`)
	phone.Document("x.tle", []byte("nothing of use"), "")
	phone.Say(strings.TrimSpace(string(code))) // used: a note like any other
	phone.Say("di4zab jo43")
	phone.Say("/adif all")
	s.err.await(t, "set aside")
	s.err.await(t, "a post did not go out")
	waitUntil(t, func() bool { return server.Calls("sendmessage") > 8 })

	if err := s.cmd.Process.Signal(signal); err != nil {
		t.Fatal(err)
	}
	ended(t, s.cmd)
	s.err.await(t, "goroutine ") // the dump
	out := s.out.String() + s.err.String()
	var listing strings.Builder
	listing.WriteString(filesBelow(t, data))
	for _, args := range [][]string{
		{"verify", "-data", data},
		{"export", "-data", data, "-operator", "7"},
		{"backup", "-data", data, "-o", filepath.Join(t.TempDir(), "copy.db")},
		{"serve", "-data", data, "-api", "http://127.0.0.1:1", "-elements", elements, "-nonsense"},
		{"serve", "-data", data, "-api", "http://127.0.0.1:1", "-elements", "http://%zz" + serveToken},
	} {
		text, _ := p.run("", []string{telegramVars.text + "=" + serveToken, telegramVars.file + "="}, args...)
		listing.WriteString(text)
	}
	for _, m := range phone.Chat() {
		listing.WriteString(string(m.Body))
	}
	// What was typed as a note is the operator's own text, and used.
	for what, secret := range secrets {
		for where, text := range map[string]string{"output": out, "list of processes": string(cmdline), "names, commands and files": listing.String()} {
			if i := strings.Index(text, secret); i >= 0 {
				t.Errorf("%s is in the %s: …%s…", what, where, text[max(0, i-200):min(len(text), i+100)])
			}
		}
	}
}

// waitUntil asks now and then whether something has come about.
func waitUntil(t *testing.T, there func() bool) {
	t.Helper()
	late := time.After(patience)
	tick := time.NewTicker(20 * time.Millisecond)
	defer tick.Stop()
	for !there() {
		select {
		case <-tick.C:
		case <-late:
			t.Fatal("it did not come about")
		}
	}
}

// filesBelow are the names of all files below a directory.
func filesBelow(t *testing.T, dir string) string {
	t.Helper()
	var all strings.Builder
	err := filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
		all.WriteString(path + "\n")
		return err
	})
	if err != nil {
		t.Error(err)
	}
	return all.String()
}
