package contact

import (
	"testing"

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
		ignored       Ignored
	}{
		"cdf":   {call: "DI4CDF/P"},
		" ZAC ": {call: "DI4ZAB/P", offered: "DI4ZAC/P"},
		"Bob":   {ignored: NoRewrite},
		"tnx":   {},
	} {
		l := &line{text: text, message: &message{said: &storage.Evidence{}}}
		said, ok := shortAnswer(l, &c)
		offered := ""
		if said.Verdict == parse.Ask {
			offered = said.Candidates[0].Call.String()
		}
		if said.Call.String() != want.call || offered != want.offered || l.message.outcome.Ignored != want.ignored || ok != (want.call != "") {
			t.Errorf("%q: got %q, offered %q, %q", text, said.Call, offered, l.message.outcome.Ignored)
		}
	}
}
