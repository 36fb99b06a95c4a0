package parse

import (
	"strings"
	"testing"
)

// fires returns the lines of phrases.txt whose rows hold in a text.
func fires(text string) map[int]bool {
	rows := map[int]bool{}
	for _, e := range Explain(text, Known{}) {
		for _, p := range e.Phrases {
			rows[p.Row] = true
		}
	}
	return rows
}

// Every row of the table holds in its own examples, and not in its
// counterexamples.
func TestPhrases(t *testing.T) {
	for _, r := range tables().rows {
		for _, list := range [...]struct {
			texts []string
			want  bool
		}{{r.does, true}, {r.not, false}} {
			if len(list.texts) == 0 {
				t.Errorf("phrases.txt:%d: %s %q lacks an example or a counterexample", r.line, r.sense, r.pattern)
			}
			for _, text := range list.texts {
				text = strings.NewReplacer("@", "di4zab jo43", `\n`, "\n").Replace(text)
				if got := fires(text); got[r.line] != list.want {
					t.Errorf("%q: phrases.txt:%d: %v, want %v; rows that hold: %v; %s %q", text, r.line, got[r.line], list.want, got, r.sense, r.pattern)
				}
			}
		}
	}
}
