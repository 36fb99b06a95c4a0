//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
)

// patience is how long a program under test may take over one answer: much more
// than it needs, so that only a program that hangs runs into it.
const patience = 30 * time.Second

// TestChatProgram tries chat in the built program.
func TestChatProgram(t *testing.T) {
	t.Parallel()
	p := buildProgram(t)
	t.Run("at a terminal", p.atTerminal)
	t.Run("by pipe", p.byPipe)
	t.Run("exit status", p.exitStatus)
	t.Run("signals", p.signals)
}

var builtOnce = sync.OnceValue(func() error {
	out, err := exec.Command("go", "build", "-o", filepath.Join(builtIn, "skyslate"), ".").CombinedOutput()
	if err != nil {
		return fmt.Errorf("%w\n%s", err, out)
	}
	return nil
})

// buildProgram builds the program, unless another test has.
func buildProgram(t *testing.T) program {
	t.Helper()
	if err := builtOnce(); err != nil {
		t.Fatal(err)
	}
	return program{path: filepath.Join(builtIn, "skyslate")}
}

// program is the built program.
type program struct {
	path string
	wrap func(*exec.Cmd) *exec.Cmd // nil: run as it is
}

func (p program) chat(args ...string) *exec.Cmd {
	return exec.Command(p.path, append([]string{"chat"}, args...)...)
}

// watched is what a program writes, as it comes.
type watched struct {
	mu   sync.Mutex
	text strings.Builder
	news chan struct{}
}

func watch(r io.Reader) *watched {
	w := &watched{news: make(chan struct{}, 1)}
	go func() {
		buf := make([]byte, 4096)
		for {
			n, err := r.Read(buf)
			w.mu.Lock()
			w.text.Write(buf[:n])
			w.mu.Unlock()
			select {
			case w.news <- struct{}{}:
			default:
			}
			if err != nil {
				return
			}
		}
	}()
	return w
}

func (w *watched) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.text.String()
}

// await waits until the program has written s.
func (w *watched) await(t *testing.T, s string) {
	t.Helper()
	late := time.After(patience)
	for !strings.Contains(w.String(), s) {
		select {
		case <-w.news:
		case <-late:
			t.Fatalf("%q did not come; so far:\n%s", s, w)
		}
	}
}

// ended waits for the end and returns the exit status.
func ended(t *testing.T, cmd *exec.Cmd) int {
	t.Helper()
	kill := time.AfterFunc(patience, func() { _ = cmd.Process.Kill() })
	defer kill.Stop()
	err := cmd.Wait()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return cmd.ProcessState.ExitCode()
}

// A newcomer at a terminal: the clock runs by itself, lines are typed, and the
// file is there in the end.
func (p program) atTerminal(t *testing.T) {
	data := t.TempDir()
	cmd := p.chat("-rehearse", "-speed", "120", "-data", data)
	tty, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 40, Cols: 100})
	if err != nil {
		t.Fatal(err)
	}
	defer tty.Close()
	screen := watch(tty)
	typed := func(s string) {
		t.Helper()
		if _, err := io.WriteString(tty, s+"\r"); err != nil {
			t.Fatal(err)
		}
	}
	screen.await(t, "invented")
	screen.await(t, "(rings)") // two simulated minutes: a second
	typed("~ until 2027-05-23T10:44:00Z")
	typed("DI4ZAB JO43")
	screen.await(t, " m1\r\n")
	screen.await(t, "to m1")
	typed("~ until 2027-05-23T10:56:00Z")
	typed("/adif")
	screen.await(t, "file "+data)
	if _, err := io.WriteString(tty, "\x04"); err != nil { // end of input
		t.Fatal(err)
	}
	if status := ended(t, cmd); status != 0 {
		t.Errorf("exit status %d; on the screen:\n%s", status, screen)
	}
	files, err := filepath.Glob(filepath.Join(data, "sent", "*.adi"))
	if err != nil || len(files) != 1 {
		t.Errorf("files %v, %v: want one", files, err)
	}
}

// typing runs the program over a pipe.
func (p program) typing(t *testing.T, in string, args ...string) (out, errOut string, status int) {
	t.Helper()
	cmd := p.chat(args...)
	var o, e bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(in), &o, &e
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	status = ended(t, cmd)
	return o.String(), e.String(), status
}

func (p program) byPipe(t *testing.T) {
	data := t.TempDir()
	out, errOut, status := p.typing(t, "~ 2m\n/help\n~ edit 1 /log\n", "-rehearse", "-json", "-data", data)
	if status != 0 {
		t.Fatalf("exit status %d: %s", status, errOut)
	}
	if !strings.Contains(errOut, "invented") {
		t.Errorf("the opening is not on standard error: %q", errOut)
	}
	want := []string{"at", "buttons", "op", "path", "post", "silent", "text", "to"}
	lines := strings.SplitSeq(strings.TrimSuffix(out, "\n"), "\n")
	for line := range lines {
		var fields map[string]any
		if err := json.Unmarshal([]byte(line), &fields); err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		if keys := slices.Sorted(maps.Keys(fields)); !slices.Equal(keys, want) {
			t.Errorf("keys %v, want %v", keys, want)
		}
		if at, _ := fields["at"].(string); len(at) != len("2027-05-23T10:31:59.900Z") || !strings.HasSuffix(at, "Z") {
			t.Errorf("at is %q, want three decimals and Z", at)
		}
	}
	if !strings.Contains(out, `"silent":false`) || !strings.Contains(out, `"to":"m1"`) {
		t.Errorf("want a reminder that makes a sound, and an answer:\n%s", out)
	}
}

func (p program) exitStatus(t *testing.T) {
	for _, tt := range []struct {
		in     string
		args   []string
		status int
		says   string
	}{
		{"", []string{"-rehearse"}, 0, ""},
		{"~ 5s\n~ fly\n", []string{"-rehearse"}, 1, `line 2: found "~ fly", expected one of`},
		{"~ 90s\n", nil, 1, "this is the real one"},
		{"/help", nil, 0, ""},
		{"", []string{"-elements", "nosuch.txt"}, 1, "nosuch.txt"},
		{"", []string{"-from", "yesterday"}, 2, "-from"},
		{"", []string{"-rehearse", "-from", "2027-05-23T10:00:00Z"}, 2, "-rehearse"},
		{"", []string{"-speed", "2"}, 2, "-speed"},
		{"", []string{"-rehearse", "-speed", "0"}, 2, "-speed"},
		{"", []string{"-nosuch"}, 2, "nosuch"},
		{"", []string{"more"}, 2, "more"},
		{"", []string{"-h"}, 0, ""},
	} {
		args := append([]string{"-data", t.TempDir()}, tt.args...)
		_, errOut, status := p.typing(t, tt.in, args...)
		if status != tt.status || !strings.Contains(errOut, tt.says) {
			t.Errorf("%v with %q: exit status %d and %q, want %d and %q", tt.args, tt.in, status, errOut, tt.status, tt.says)
		}
	}
}

// A signal ends the program cleanly, in simulated and in real time, and the
// next start goes on.
func (p program) signals(t *testing.T) {
	for _, tt := range []struct {
		signal syscall.Signal
		args   []string
	}{
		{syscall.SIGTERM, []string{"-rehearse"}},
		{syscall.SIGINT, []string{"-rehearse"}},
		{syscall.SIGTERM, nil},
	} {
		args := append([]string{"-data", t.TempDir()}, tt.args...)
		cmd := p.chat(args...)
		in, err := cmd.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		screen := watch(out)
		if _, err := io.WriteString(in, "/help\n"); err != nil {
			t.Fatal(err)
		}
		screen.await(t, "to m1")
		if err := cmd.Process.Signal(tt.signal); err != nil {
			t.Fatal(err)
		}
		if status := ended(t, cmd); status != 0 {
			t.Errorf("%v with %v: exit status %d", tt.signal, tt.args, status)
		}
		again, errOut, status := p.typing(t, "/help\n", args...)
		if status != 0 || !strings.Contains(again, "to m2") {
			t.Errorf("started again: exit status %d, %s\n%s", status, errOut, again)
		}
	}
}
