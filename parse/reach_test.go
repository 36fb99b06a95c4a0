package parse

import (
	"slices"
	"strings"
	"testing"
)

// TestOutOfReach: a grid that the bird can't serve is read as it is and asked
// about, never dropped and never logged.
func TestOutOfReach(t *testing.T) {
	only := func(reachable ...string) Known {
		return Known{Reachable: func(g Grid) bool { return slices.Contains(reachable, g.Square().String()) }}
	}
	for _, tt := range []struct {
		text  string
		known Known
		want  string // call and grids
		why   Why
	}{
		{"di4zab jo43", only(), "DI4ZAB JO43", BadGrid},
		{"jo43 di4zab", only(), "DI4ZAB JO43", BadGrid},
		{"di4zabjo43", only(), "DI4ZAB JO43", BadGrid},
		{"di4zab jo43ab anna 59", only(), "DI4ZAB JO43ab", BadGrid},
		{"di4zab jo31/32", only(), "DI4ZAB JO31 JO32", BadGrid},
		{"di4zab jo31/32", only("JO31"), "DI4ZAB JO31 JO32", BadGrid},
		{"delta india four zulu alfa bravo juliett oscar four three", only(), "DI4ZAB JO43", BadGrid},
		{"jo43", only(), " JO43", BadGrid},
		{"di4zab jo43", only("JO43"), "DI4ZAB JO43", ""},
		{"di4zab jo43", only("JO44"), "DI4ZAB JO43", BadGrid},
		{"fk40vm3j2qe", only(), "3J2QE FK40vm", Ambiguous},
	} {
		lines := Read(tt.text, tt.known)
		if len(lines) != 1 || len(lines[0].Contacts) != 1 {
			t.Errorf("%q: %+v, want one contact", tt.text, lines)
			continue
		}
		c := lines[0].Contacts[0]
		var read strings.Builder
		read.WriteString(c.Call.String())
		for _, g := range c.Grids {
			read.WriteString(" " + g.String())
		}
		if read.String() != tt.want || c.Why != tt.why || (c.Verdict == Log) != (tt.why == "") {
			t.Errorf("%q: %q, %q, %v; want %q, %q", tt.text, read.String(), c.Why, c.Verdict, tt.want, tt.why)
		}
		offered := slices.ContainsFunc(c.Candidates, func(cand Candidate) bool {
			return cand.Call == c.Call && slices.Equal(cand.Grids, c.Grids)
		})
		if c.Call.IsValid() && offered != (tt.why != "") {
			t.Errorf("%q: candidates %v; the reading itself belongs there exactly if it is asked", tt.text, c.Candidates)
		}
	}
	if lines := Read("hx7abc ko33 di4zab jo43", only("JO43")); lines[0].Contacts[0].Why != BadGrid || lines[0].Contacts[1].Why != "" {
		t.Errorf("one of two out of reach: %+v", lines[0].Contacts)
	}
}
