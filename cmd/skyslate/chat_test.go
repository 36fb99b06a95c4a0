package main

import (
	"bytes"
	"flag"
	"fmt"
	"image/png"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"

	"skyslate/bot/rehearsal"
	"skyslate/bot/terminal"
)

var update = flag.Bool("update", false, "rewrite what the bot answers in testdata/chat")

const (
	conversations = "../../testdata/chat"
	rehearsing    = "-rehearse -data skyslate-data"
)

// TestConversations plays the conversations of testdata/chat. Each is a txtar
// archive: a comment that says what it shows, and then, one or several times,
// args (the arguments of chat, on one line; -rehearse where it is missing), in
// (what is typed) and want (what is shown). Each in starts the program anew over
// the same data. Other files of the archive are there for the program to read.
//
// In want the files that the bot sent follow what was printed. With -update the
// answers are written into the archive: read them before they are committed. They
// are recorded in a short form: see [inFull]. With -short every twelfth is played.
func TestConversations(t *testing.T) {
	all := readConversations(t)
	for i, talk := range all {
		if testing.Short() && !*update && i%12 != 0 {
			continue
		}
		t.Run(talk.name(), func(t *testing.T) {
			t.Chdir(t.TempDir())
			play(t, talk.Archive)
		})
	}
	if *update && !t.Failed() {
		writeConversations(t, all)
	}
}

// play runs the programs of a conversation in order. With -update it puts what
// they answer into ar.
func play(t *testing.T, ar *txtar.Archive) {
	t.Helper()
	args, runs := rehearsing, 0
	files := slices.Clone(ar.Files)
	for i, f := range files {
		switch f.Name {
		case "args":
			args = strings.TrimSpace(string(f.Data))
		case "in":
			runs++
			answer := converse(t, args, f.Data)
			if i+1 == len(files) || files[i+1].Name != "want" {
				t.Fatalf("in number %d is not followed by want", runs)
			}
			if *update {
				ar.Files[i+1].Data = answer
			} else if d := cmp.Diff(string(files[i+1].Data), string(answer)); d != "" {
				t.Errorf("run %d (-want +got):\n%s", runs, d)
			}
		case "want":
		default:
			if err := os.WriteFile(f.Name, f.Data, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	if runs == 0 {
		t.Fatal("nothing is typed in this conversation")
	}
}

// converse runs chat as the program does and returns all that can be seen of
// it.
func converse(t *testing.T, args string, in []byte) []byte {
	t.Helper()
	before := sentFiles(t)
	var out, errOut bytes.Buffer
	status := run(append([]string{"chat"}, strings.Fields(args)...), stdio{bytes.NewReader(in), &out, &errOut})
	var b strings.Builder
	b.WriteString(withoutOpening(t, out.String()))
	for line := range strings.Lines(errOut.String()) {
		fmt.Fprintf(&b, "stderr: %s", line)
	}
	if status != 0 {
		fmt.Fprintf(&b, "exit status %d\n", status)
	}
	for _, path := range sentFiles(t) {
		if slices.Contains(before, path) {
			continue
		}
		body, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, "\n==> %s <==\n%s", filepath.ToSlash(path), readable(t, body))
	}
	return []byte(b.String())
}

// readable is a file's content, of a picture its form and size.
func readable(t *testing.T, body []byte) []byte {
	t.Helper()
	if http.DetectContentType(body) != "image/png" {
		return body
	}
	c, err := png.DecodeConfig(bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Appendf(nil, "PNG, %d × %d\n", c.Width, c.Height)
}

func sentFiles(t *testing.T) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join("*", "sent", "*"))
	if err != nil {
		t.Fatal(err)
	}
	return paths
}

// withoutOpening leaves the rehearsal's opening out: it would stand in every
// conversation.
func withoutOpening(t *testing.T, out string) string {
	t.Helper()
	scene, err := rehearsal.Open(terminal.Operator)
	if err != nil {
		t.Fatal(err)
	}
	return strings.Replace(out, scene.Opening, "", 1)
}
