package main

import (
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/rogpeppe/go-internal/txtar"
)

// What a phone shows at arm's length without scrolling or breaking lines.
const (
	phoneColumns = 38
	phoneLines   = 15
)

// TestConversationsFitAPhone looks at everything that the bot says in the
// conversations. The caption of a file may have more lines: what a file holds
// stands beside it in full, and is read at home. Labels of buttons are not text:
// a phone gives each a frame of its own.
func TestConversationsFitAPhone(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(conversations, "*.txtar"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no conversations: %v", err)
	}
	said := 0
	for _, name := range files {
		ar, err := txtar.ParseFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range ar.Files {
			if f.Name != "want" {
				continue
			}
			for _, post := range posts(string(f.Data)) {
				said++
				post.check(t, filepath.Base(name))
			}
		}
	}
	if said < 100 {
		t.Errorf("only %d posts were looked at", said)
	}
}

// saying is one post as a conversation shows it.
type saying struct {
	head string
	text []string
}

func posts(want string) []saying {
	want, _, _ = strings.Cut(want, "\n==> ") // the files that were sent
	var all []saying
	for line := range strings.SplitSeq(want, "\n") {
		text, indented := strings.CutPrefix(line, "    ")
		switch {
		case !indented:
			all = append(all, saying{head: line})
		case len(all) > 0 && !strings.HasPrefix(text, "[1 "):
			all[len(all)-1].text = append(all[len(all)-1].text, text)
		}
	}
	return all
}

func (s saying) check(t *testing.T, file string) {
	t.Helper()
	if len(s.text) > phoneLines && !strings.Contains(s.head, " file ") {
		t.Errorf("%s, %s: %d lines", file, s.head, len(s.text))
	}
	for _, line := range s.text {
		if n := utf8.RuneCountInString(line); n > phoneColumns {
			t.Errorf("%s, %s: %d columns: %s", file, s.head, n, line)
		}
	}
}
