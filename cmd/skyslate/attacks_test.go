//go:build unix

package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
)

// Attacks on the built program, each with its outcome.

// run runs the program to its end.
func (p program) run(in string, env []string, args ...string) (out string, code int) {
	cmd := exec.Command(p.path, args...)
	cmd.Stdin, cmd.Env = strings.NewReader(in), append(os.Environ(), env...)
	b, _ := cmd.CombinedOutput() // the exit status says it
	return string(b), cmd.ProcessState.ExitCode()
}

func checkNoCrash(t *testing.T, out string) {
	t.Helper()
	for _, sign := range []string{"panic:", "goroutine ", "fatal error:", "SIG"} {
		if strings.Contains(out, sign) {
			t.Errorf("the process died:\n%s", out)
			return
		}
	}
}

func TestAttackProgram(t *testing.T) {
	if testing.Short() {
		t.Skip("builds and runs the program many times")
	}
	t.Parallel()
	p := buildProgram(t)
	t.Run("two on one directory", p.twoOnOneDirectory)
	t.Run("killed in a loop", p.killedInALoop)
	t.Run("nothing may be written", p.nothingMayBeWritten)
	t.Run("damaged in every file", p.damagedInEveryFile)
	t.Run("the token shows nowhere", p.tokenShowsNowhere)
	t.Run("files of other kinds", p.filesOfOtherKinds)
}

// rehearsed is a directory with a few contacts in it.
func (p program) rehearsed(t *testing.T) string {
	t.Helper()
	data := filepath.Join(t.TempDir(), "data")
	out, code := p.run("~ 13m\nhx7abc jo33\ndi4zab jo43\n", nil, "chat", "-rehearse", "-data", data)
	if code != 0 {
		t.Fatalf("exit %d\n%s", code, out)
	}
	return data
}

// The second one says who holds the data, and ends.
func (p program) twoOnOneDirectory(t *testing.T) {
	data := p.rehearsed(t)
	store, err := storage.Open(data)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	for _, args := range [][]string{
		{"chat", "-rehearse", "-data", data},
		{"serve", "-data", data},
		{"export", "-data", data, "-operator", "local"},
		{"verify", "-data", data},
	} {
		out, code := p.run("", []string{telegramVars.text + "=42:apitest_token-0123456789"}, args...)
		if code != 1 || !strings.Contains(out, "another skyslate is running") {
			t.Errorf("%v: exit %d\n%s", args, code, out)
		}
	}
}

// Killed at any moment, the log holds everything that was acknowledged, once.
func (p program) killedInALoop(t *testing.T) {
	data := p.rehearsed(t)
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	acknowledged := map[string]bool{}
	echo := regexp.MustCompile(`(?m)^\s+\d+  (OX\w+) JO\d\d (?:about \d\d:\d\d )?\d+ km`)
	// Where the machine is so busy that none is acknowledged, it lives longer.
	const rounds, most = 15, 26
	for round := 0; round < rounds || round < most && len(acknowledged) == 0; round++ {
		longer := time.Duration(max(0, round-rounds+1)) * 200 * time.Millisecond
		cmd := p.chat("-rehearse", "-data", data)
		var out bytes.Buffer
		cmd.Stdout = &out
		in, err := cmd.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		life := time.AfterFunc(longer+time.Duration(150+rng.IntN(250))*time.Millisecond, func() { _ = cmd.Process.Kill() })
		for i := range 40 {
			if _, err := fmt.Fprintf(in, "ox%c%c%c%c jo3%d\n", '0'+rune(round%10), 'A'+rune(round), 'A'+rune(i%26), 'A'+rune(i/26), i%10); err != nil {
				break
			}
		}
		_ = in.Close()
		_ = cmd.Wait() // killed, or done before that
		life.Stop()
		for _, m := range echo.FindAllStringSubmatch(out.String(), -1) {
			acknowledged[m[1]] = true
		}
	}
	// Killed between the commit and the journal, the journal is made whole by the next start.
	out, code := p.run("", nil, "chat", "-rehearse", "-data", data)
	if code != 0 {
		t.Errorf("chat: exit %d\n%s", code, out)
	}
	out, code = p.run("", nil, "verify", "-data", data)
	if code != 0 {
		t.Errorf("verify: exit %d\n%s", code, out)
	}
	log, code := p.run("", nil, "export", "-data", data, "-operator", "local")
	if code != 0 {
		t.Fatalf("export: exit %d\n%s", code, log)
	}
	calls := map[string]int{}
	for _, field := range strings.Split(log, "<CALL:")[1:] {
		calls[strings.Fields(field)[0]]++
	}
	for call, n := range calls {
		if n > 1 {
			t.Errorf("%s is logged %d times", call, n)
		}
	}
	t.Logf("%d contacts acknowledged, %d logged", len(acknowledged), len(calls))
	for call := range acknowledged {
		if calls[fmt.Sprintf("%d>%s", len(call), call)] != 1 {
			t.Errorf("%s was acknowledged and is not in the log", call)
		}
	}
	if len(acknowledged) == 0 {
		t.Error("nothing was acknowledged")
	}
}

// What can't be written is said; nothing is changed.
func (p program) nothingMayBeWritten(t *testing.T) {
	if os.Getuid() == 0 {
		t.Skip("the superuser may write everywhere")
	}
	data := p.rehearsed(t)
	for _, path := range []string{filepath.Join(data, "skyslate.db"), filepath.Join(data, "contacts.journal"), data} {
		if err := os.Chmod(path, 0o500); err != nil {
			t.Fatal(err)
		}
	}
	defer os.Chmod(data, 0o700) //nolint:errcheck // for the cleanup alone
	out, code := p.run("ox7dk jo34\n", nil, "chat", "-rehearse", "-data", data)
	checkNoCrash(t, out)
	if code != 1 {
		t.Errorf("exit %d\n%s", code, out)
	}
}

// Each file of the store in turn becomes empty, short, rubbish or missing: the
// contacts come back, or the program says what is wrong and ends.
func (p program) damagedInEveryFile(t *testing.T) {
	whole := p.rehearsed(t)
	harms := map[string]func(path string, b []byte) error{
		"empty": func(path string, _ []byte) error { return os.WriteFile(path, nil, 0o600) },
		"half":  func(path string, b []byte) error { return os.WriteFile(path, b[:len(b)/2], 0o600) },
		"rubbish": func(path string, b []byte) error {
			return os.WriteFile(path, bytes.Repeat([]byte("rubbish\n"), len(b)/8+1), 0o600)
		},
		"missing": func(path string, _ []byte) error { return os.Remove(path) },
		"a directory": func(path string, _ []byte) error {
			if err := os.Remove(path); err != nil {
				return err
			}
			return os.Mkdir(path, 0o700)
		},
	}
	for _, file := range []string{"skyslate.db", "contacts.journal"} {
		for how, harm := range harms {
			t.Run(file+" "+how, func(t *testing.T) {
				data := filepath.Join(t.TempDir(), "data")
				if err := os.CopyFS(data, os.DirFS(whole)); err != nil {
					t.Fatal(err)
				}
				path := filepath.Join(data, file)
				b, err := os.ReadFile(path)
				if err != nil {
					t.Fatal(err)
				}
				if err := harm(path, b); err != nil {
					t.Fatal(err)
				}
				out, code := p.run("/log\n", nil, "chat", "-rehearse", "-data", data)
				checkNoCrash(t, out)
				if how == "a directory" {
					if code != 1 || !strings.Contains(out, "directory") {
						t.Errorf("exit %d\n%s", code, out)
					}
					return
				}
				log, _ := p.run("", nil, "export", "-data", data, "-operator", "local")
				if code != 0 || strings.Count(log, "<EOR>") != 2 {
					t.Errorf("exit %d, the log holds %d contacts\n%s", code, strings.Count(log, "<EOR>"), out)
				}
			})
		}
	}
}

// The token is in no output and not in the list of processes.
func (p program) tokenShowsNowhere(t *testing.T) {
	const secret = "secretsecretsecret0123456789abcdef"
	for _, tt := range []struct {
		name, token string
		args        []string
	}{
		{"no such service", "42:" + secret, []string{"serve", "-api", "http://127.0.0.1:1"}},
		{"no token", "42 " + secret, []string{"serve"}},
		{"two lines", "42:" + secret + "\n42:" + secret, []string{"serve"}},
		{"a bad flag", "42:" + secret, []string{"serve", "-nonsense"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			data := t.TempDir()
			cmd := exec.Command(p.path, append(tt.args, "-data", data)...)
			cmd.Env = append(os.Environ(), telegramVars.text+"="+tt.token)
			var out bytes.Buffer
			cmd.Stdout, cmd.Stderr = &out, &out
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			ended := make(chan struct{})
			go func() { defer close(ended); _ = cmd.Wait() }()
			line, _ := os.ReadFile(fmt.Sprintf("/proc/%d/cmdline", cmd.Process.Pid)) // empty where there is none
			stop := time.AfterFunc(3*time.Second, func() { _ = cmd.Process.Signal(os.Interrupt) })
			defer stop.Stop()
			select {
			case <-ended:
			case <-time.After(patience):
				_ = cmd.Process.Kill()
				t.Error("it did not end")
				<-ended
			}
			if strings.Contains(out.String()+string(line), "secretsecret") {
				t.Errorf("the token shows:\n%s\n%s", out.String(), line)
			}
			checkNoCrash(t, out.String())
			err := filepath.WalkDir(data, func(path string, d os.DirEntry, err error) error {
				if err != nil || d.IsDir() {
					return err
				}
				b, err := os.ReadFile(path)
				if bytes.Contains(b, []byte("secretsecret")) {
					t.Errorf("the token is in %s", path)
				}
				return err
			})
			if err != nil {
				t.Error(err)
			}
		})
	}
}

// Files that aren't what they should be are refused by a sentence.
func (p program) filesOfOtherKinds(t *testing.T) {
	data := p.rehearsed(t)
	dir := t.TempDir()
	zeros := filepath.Join(dir, "zeros")
	if err := os.WriteFile(zeros, make([]byte, 1<<20), 0o600); err != nil {
		t.Fatal(err)
	}
	line := filepath.Join(dir, "line")
	if err := os.WriteFile(line, bytes.Repeat([]byte("<CALL:999999999>"), 1<<18), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"passes", "-elements", zeros, "-at", "JO33", "-from", "2026-01-01T00:00:00Z", "-hours", "1"},
		{"passes", "-elements", dir, "-at", "JO33", "-from", "2026-01-01T00:00:00Z", "-hours", "1"},
		{"passes", "-elements", line, "-at", "JO33", "-from", "2026-01-01T00:00:00Z", "-hours", "1"},
		{"import", "-data", data, "-operator", "local", dir},
		{"import", "-data", data, "-operator", "../../x", zeros},
		{"export", "-data", zeros, "-operator", "local"},
		{"verify", "-data", line},
		{"backup", "-data", data, "-o", filepath.Join(dir, "none", "x.db")},
	} {
		out, code := p.run("", nil, args...)
		checkNoCrash(t, out)
		if code != 1 && code != 2 || len(out) > 2000 {
			t.Errorf("%v: exit %d, %d bytes: %.300s", args, code, len(out), out)
		}
	}
}
