package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/synctest"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"

	"skyslate/bot/telegram/apitest"
	"skyslate/storage"
)

// theTerminalsOwn are conversations about the terminal itself.
var theTerminalsOwn = []string{"bad-line"}

// deed is one thing that the bot did, whatever the transport.
type deed struct {
	Op      string
	To      string // m3, b7
	Text    string
	Silent  bool
	Buttons []string
	File    string // its name and what is in it
}

// TestSameConversationOnTelegram plays the conversations of testdata/chat in the
// terminal and on Telegram and compares what the bot does, in order.
func TestSameConversationOnTelegram(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(conversations, "*.txtar"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no conversations: %v", err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".txtar")
		if slices.Contains(theTerminalsOwn, name) {
			continue
		}
		t.Run(name, func(t *testing.T) {
			ar, err := txtar.ParseFile(file)
			if err != nil {
				t.Fatal(err)
			}
			t.Chdir(t.TempDir())
			for _, f := range ar.Files {
				if err := os.WriteFile(f.Name, f.Data, 0o600); err != nil {
					t.Fatal(err)
				}
			}
			want := inTerminal(t, ar)
			var got []deed
			synctest.Test(t, func(t *testing.T) { got = onTelegram(t, ar) })
			if bytes.Contains(txtar.Format(ar), []byte("~ online")) {
				want, got = inTheEnd(want), inTheEnd(got)
			}
			if len(want) == 0 && name != "elements-damaged" {
				t.Error("nothing happens in this conversation")
			}
			if d := cmp.Diff(want, got); d != "" {
				t.Errorf("(-terminal +telegram):\n%s", d)
			}
		})
	}
}

// madeAt is the second at which a file was made: an app has its rates, and the
// lines after many posts are sent a little later there.
var madeAt = regexp.MustCompile(`(CREATED_TIMESTAMP:15>\d{8} \d{4}|DTSTAMP:\d{8}T\d{4})\d\d`)

// inTheEnd is what stands in the chat at last: the posts as they were edited.
// When a phone comes back the app delivers one thing after the other, and how
// much of it the bot has seen when it first answers is a matter of speed.
func inTheEnd(all []deed) (last []deed) {
	at := map[string]int{} // by b7
	for _, d := range all {
		if d.Op == string(storage.Edit) {
			post := &last[at[d.To]]
			post.Text, post.Buttons = d.Text, d.Buttons
			continue
		}
		if d.Op != string(storage.React) {
			at[fmt.Sprintf("b%d", len(at)+1)] = len(last)
		}
		last = append(last, d)
	}
	return last
}

// eachRun calls play for each start of the program in a conversation.
func eachRun(ar *txtar.Archive, play func(args []string, in string)) {
	args := strings.Fields(rehearsing)
	for _, f := range ar.Files {
		switch f.Name {
		case "args":
			args = strings.Fields(string(f.Data))
		case "in":
			play(args, string(f.Data))
		}
	}
}

func inTerminal(t *testing.T, ar *txtar.Archive) (all []deed) {
	eachRun(ar, func(args []string, in string) {
		var out, errOut bytes.Buffer
		run(append(append([]string{"chat"}, args...), "-json"), stdio{strings.NewReader(in), &out, &errOut})
		for line := range strings.Lines(out.String()) {
			var r struct {
				Op, Text string
				To, Path *string
				Silent   bool
				Buttons  []string
			}
			if err := json.Unmarshal([]byte(line), &r); err != nil {
				t.Fatalf("%v: %s", err, line)
			}
			d := deed{Op: r.Op, Text: r.Text, Silent: r.Silent, Buttons: r.Buttons}
			if r.To != nil {
				d.To = *r.To
			}
			if r.Path != nil {
				body, err := os.ReadFile(*r.Path)
				if err != nil {
					t.Fatal(err)
				}
				d.File = plainName(filepath.Base(*r.Path)) + "\n" + string(body)
			}
			all = append(all, d.comparable())
		}
	})
	return all
}

// whose is what a calendar's entries hold of the operator's number.
var whose = regexp.MustCompile(`\.[0-9a-f]{8}@`)

// comparable leaves out what only one of the two apps has: an edit or a sign
// makes no sound anywhere.
func (d deed) comparable() deed {
	if d.Op == string(storage.Edit) || d.Op == string(storage.React) {
		d.Silent = false
	}
	if len(d.Buttons) == 0 {
		d.Buttons = nil
	}
	d.File = whose.ReplaceAllString(d.File, "@")
	d.File = madeAt.ReplaceAllString(d.File, "$1")
	return d
}

// plainName is a file's name without the number that the terminal adds where
// there is one of that name already.
func plainName(name string) string {
	ext := filepath.Ext(name)
	stem := strings.TrimSuffix(name, ext)
	if i := strings.LastIndexByte(stem, '-'); i > 0 && len(stem)-i == 2 {
		stem = stem[:i]
	}
	return stem + ext
}

// onTelegram plays a conversation in simulated time. Call it in a bubble.
func onTelegram(t *testing.T, ar *txtar.Archive) []deed {
	s := &stage{t: t, server: apitest.New("42:conformance"), dir: t.TempDir()}
	s.phone = s.server.Phone(7, "Inga")
	s.phone.Known()
	eachRun(ar, func(args []string, in string) {
		if !s.open(args) {
			return
		}
		defer s.close()
		for line := range strings.Lines(in) {
			if line = strings.TrimSuffix(line, "\n"); strings.TrimSpace(line) != "" {
				s.follow(line)
			}
		}
	})
	return s.deeds()
}
