package idiom

import (
	"strings"
	"testing"
)

// All calls are invented.
func TestFitsPart(t *testing.T) {
	for _, c := range []struct {
		part, call string
		want       bool
	}{
		{"..ZAB", "DI4ZAB", true},
		{"DI4Z*", "DI4ZAB", true},
		{"DI?ZAB", "DI4ZAB", true},
		{"DI?ZAB", "DI44ZAB", false},
		{"D…ZAB", "DI4ZAB", true},
		{"..ZAB", "DI4ZAC", false},
		{"..AB", "DI4ZAB", false},   // too little was heard
		{"DI4ZAB", "DI4ZAB", false}, // no part
		{"DI4ZAB..", "DI4ZAB/P", true},
		{strings.Repeat(".", 4000) + "ZAB", "DI4ZAC", false},
		{strings.Repeat("?", 4000) + "ZAB", "DI4ZAC", false},
	} {
		if got := FitsPart(c.part, c.call); got != c.want {
			t.Errorf("%s and %s: %v, want %v", c.part, c.call, got, c.want)
		}
	}
}
