package idiom

import (
	"strings"
	"testing"
)

func TestSkedOff(t *testing.T) {
	for text, want := range map[string]string{
		"ox9qzt off": "OX9QZT", "off ox9qzt": "OX9QZT", "OX9QZT OFF": "OX9QZT",
		"": "", "off": "", "ox9qzt": "", "ox9qzt jo33": "", "ox9qzt off now": "", "it off": "",
	} {
		call, ok := SkedOff(text)
		if ok != (want != "") || ok && call.String() != want {
			t.Errorf("%q: %s, %v, want %q", text, call, ok, want)
		}
	}
}

func TestGridBehind(t *testing.T) {
	for text, want := range map[string]string{
		"saturday 09:45 wicket-1 for jn18": "JN18 saturday 09:45 wicket-1",
		"tomorrow jn18 card?":              "JN18 tomorrow card?",
		"in jn18xk tomorrow":               "JN18xk tomorrow",
		"tomorrow":                         "", "": "",
	} {
		grid, rest, ok := GridBehind(strings.Fields(text))
		if got := strings.TrimSpace(grid.String() + " " + strings.Join(rest, " ")); ok != (want != "") || ok && got != want {
			t.Errorf("%q: %q, %v, want %q", text, got, ok, want)
		}
	}
}

func TestCorrectsGrid(t *testing.T) {
	for text, want := range map[string]bool{
		"f0zza jn18 was jn19": true, "jn18 not jn19": true,
		"hx7kzq is in ip62": false, "hx7kzq jo62 jo72": false, "": false,
	} {
		if CorrectsGrid(text) != want {
			t.Errorf("%q: want %v", text, want)
		}
	}
}
