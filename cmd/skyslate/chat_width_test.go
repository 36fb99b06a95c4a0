package main

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// What a phone shows at arm's length without scrolling or breaking lines.
const (
	phoneColumns = 38
	phoneLines   = 15
	tableColumns = 30 // of letters of one width
)

// TestConversationsFitAPhone looks at everything that the bot says in the
// conversations. The caption of a file may have more lines: what a file holds
// stands beside it in full, and is read at home. Labels of buttons are not text:
// a phone gives each a frame of its own.
func TestConversationsFitAPhone(t *testing.T) {
	said := 0
	for _, talk := range readConversations(t) {
		for _, s := range talk.sayings() {
			said++
			s.fits(t, talk.name())
		}
	}
	if said < 100 {
		t.Errorf("only %d posts were looked at", said)
	}
}

func (s saying) fits(t *testing.T, conversation string) {
	t.Helper()
	lines := slices.Collect(strings.Lines(s.text))
	if n := len(lines); n > 0 && strings.HasPrefix(lines[n-1], indent+"[1 ") {
		lines = lines[:n-1]
	}
	if len(lines) > phoneLines && !strings.Contains(s.head, " file ") {
		t.Errorf("%s, %s: %d lines", conversation, s.head, len(lines))
	}
	for _, line := range lines {
		line = strings.TrimSuffix(strings.TrimPrefix(line, indent), "\n")
		line, isRow := strings.CutPrefix(line, "| ")
		most := phoneColumns
		if isRow {
			most = tableColumns
		}
		if n := utf8.RuneCountInString(strings.Trim(line, "*")); n > most {
			t.Errorf("%s, %s: %d columns: %s", conversation, s.head, n, line)
		}
	}
}
