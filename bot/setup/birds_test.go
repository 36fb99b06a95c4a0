package setup

import (
	"strings"
	"testing"
)

// A bird's name can be typed in the field, and is no call, path or markup.
func TestBirdNames(t *testing.T) {
	for name, want := range map[string]bool{
		"MOTH-1": true, "MO 1": true, "Mücke 2": true, "99": true, "M": false, "": false, "/forget": false, "../x": false,
		"</b>": false, "<EOR>": false, "HX7ABC": false, "hx7abc": false, "A\u202eB": false, "A\u200bB": false, "M\u0301\u0301": false,
		strings.Repeat("W", 21): false, "A\nB": false,
	} {
		if got := nameable(name); got != want {
			t.Errorf("%q: %v", name, got)
		}
	}
}
