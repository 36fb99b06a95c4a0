package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"github.com/rogpeppe/go-internal/txtar"

	"skyslate/bot/telegram/apitest"
	"skyslate/bot/terminal"
	"skyslate/storage"
)

// theTerminalsOwn are conversations about the terminal itself, and one whose messages come
// faster than the app lets its answers out.
var theTerminalsOwn = []string{"bad-line", "burst-names-bird"}

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
// terminal and on Telegram and compares the log and what the bot does: see
// [apart]. With -short it plays every third.
func TestSameConversationOnTelegram(t *testing.T) {
	var all, paced, contacts atomic.Int64
	t.Cleanup(func() {
		if all.Load() < 20 {
			return // some were chosen with -run
		}
		if paced.Load() > all.Load()/2 || contacts.Load() == 0 {
			t.Errorf("of %d conversations %d are compared with what the app's pace explains; they have %d contacts",
				all.Load(), paced.Load(), contacts.Load())
		}
	})
	for i, talk := range readConversations(t) {
		name := talk.name()
		if slices.Contains(theTerminalsOwn, name) || severalPhones(talk.Archive) || testing.Short() && i%3 != 0 {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			ar := unpacked(t, talk.Archive)
			want := inTerminal(t, ar)
			var got played
			telegrams := filepath.Join(t.TempDir(), "telegram")
			synctest.Test(t, func(t *testing.T) { got = onTelegram(t, ar, telegrams) })
			all.Add(1)
			contacts.Add(int64(len(want.contacts)))
			if got.paced {
				paced.Add(1)
			}
			if len(want.deeds) == 0 && name != "elements-damaged" {
				t.Error("nothing happens in this conversation")
			}
			if d := apart(want, got); d != "" {
				t.Errorf("paced: %t (-terminal +telegram):\n%s", got.paced, d)
			}
		})
	}
}

// severalPhones reports whether others speak in a conversation, too: the stage has one
// phone.
func severalPhones(ar *txtar.Archive) bool {
	return slices.ContainsFunc(ar.Files, func(f txtar.File) bool {
		return f.Name == "in" && slices.ContainsFunc(strings.Split(string(f.Data), "\n"), func(line string) bool {
			return strings.HasPrefix(line, "@")
		})
	})
}

// unpacked is a conversation whose files stand in a directory of its own: args and
// in name them with their whole path, so that conversations run side by side.
func unpacked(t *testing.T, ar *txtar.Archive) *txtar.Archive {
	t.Helper()
	dir := t.TempDir()
	whole := func(name string) string { return filepath.Join(dir, name) }
	var ours []string
	for _, f := range ar.Files {
		if slices.Contains([]string{"args", "in", "want"}, f.Name) {
			continue
		}
		ours = append(ours, f.Name)
		if err := os.WriteFile(whole(f.Name), f.Data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for i, f := range ar.Files {
		text := string(f.Data)
		for _, name := range ours {
			switch f.Name {
			case "args":
				text = strings.ReplaceAll(text, " "+name, " "+whole(name))
			case "in":
				text = strings.ReplaceAll(text, "~ file "+name+"\n", "~ file "+whole(name)+"\n")
			}
		}
		ar.Files[i].Data = []byte(text)
	}
	return ar
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

// inTerminal plays a conversation in the terminal.
func inTerminal(t *testing.T, ar *txtar.Archive) played {
	dir := filepath.Join(t.TempDir(), "terminal")
	var all []deed
	eachRun(ar, func(args []string, in string) {
		var out, errOut bytes.Buffer
		run(slices.Concat([]string{"chat"}, args, []string{"-data", dir, "-json"}), stdio{strings.NewReader(in), &out, &errOut})
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
	as := func(message int64) int64 { return message }
	return played{deeds: all, contacts: contactsIn(t, dir, terminal.Operator, as)}
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

// onTelegram plays a conversation in simulated time, over a store in dir. Call it
// in a bubble.
func onTelegram(t *testing.T, ar *txtar.Archive, dir string) played {
	s := &stage{t: t, server: apitest.New("42:conformance"), dir: dir}
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
	number := func(id int64) int64 { return int64(slices.Index(s.sent, id) + 1) }
	return played{deeds: s.deeds(), contacts: contactsIn(t, dir, "7", number), paced: s.late}
}
