package contact

import (
	"testing"

	"skyslate/bot/filing"
	"skyslate/parse"
	"skyslate/storage"
)

// What may be a slip of the suffix, or a name, is asked; a word changes nothing, and
// that is said. All calls are invented.
func TestShortAnswers(t *testing.T) {
	var c contact
	if err := c.Call.UnmarshalText([]byte("DI4ZAB/P")); err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]struct {
		call, offered string
		ignored       filing.Ignored
	}{
		"cdf":   {call: "DI4CDF/P"},
		" ZAC ": {call: "DI4ZAB/P", offered: "DI4ZAC/P"},
		"Bob":   {ignored: filing.NoRewrite},
		"tnx":   {},
	} {
		l := &filing.Line{Text: text, Message: &filing.Message{Said: &storage.Evidence{}}}
		said, ok := shortAnswer(l, &c)
		offered := ""
		if said.Verdict == parse.Ask {
			offered = said.Candidates[0].Call.String()
		}
		if said.Call.String() != want.call || offered != want.offered || l.Message.Outcome.Ignored != want.ignored || ok != (want.call != "") {
			t.Errorf("%q: got %q, offered %q, %q", text, said.Call, offered, l.Message.Outcome.Ignored)
		}
	}
}
