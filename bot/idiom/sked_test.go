package idiom

import (
	"cmp"
	"strings"
	"testing"
)

func TestSkedOff(t *testing.T) {
	for text, want := range map[string]string{
		"ox9qzt off": "OX9QZT", "off ox9qzt": "OX9QZT", "OX9QZT OFF": "OX9QZT",
		"ox9qzt can't make it": "OX9QZT", "ox9qzt kann leider nicht": "OX9QZT", "off": "?",
		"": "", "ox9qzt": "", "ox9qzt jo33": "", "ox9qzt off now": "", "it off": "",
	} {
		call, ok := SkedOff(text)
		if ok != (want != "") || ok && cmp.Or(call.String(), "?") != want {
			t.Errorf("%q: %s, %v, want %q", text, call, ok, want)
		}
	}
}

// A line that tells of a contact arranged for a day to come is what a command for it could be.
func TestSked(t *testing.T) {
	for text, want := range map[string]string{
		"can you set a sked with hx7abc jo33 for tomorrow 18:02": "hx7abc jo33 for tomorrow 18:02",
		"tomorrow 18:02 hx7abc jo33":                             "hx7abc tomorrow 18:02 jo33",
		"hx7abc jo33 tomorrow":                                   "hx7abc jo33 tomorrow",
		"hx7abc jo33 next saturday at 18:02 local":               "hx7abc jo33 next saturday at 18:02 local",
		"move the sked with hx7abc to tuesday":                   "hx7abc to tuesday",
		"meet hx7abc on saturday on the 18h pass":                "hx7abc on saturday on the 18:00",
		"mit hx7abc jo33 für morgen Abend verabredet":            "hx7abc jo33 für morgen Abend",
		"hx7abc jo33 wants a sked on wicket tomorrow evening":    "hx7abc jo33 on wicket tomorrow evening",
		"quedé con hx7abc jo33 para mañana a las 20h":            "hx7abc jo33 para mañana a las 20:00",
		"meeting hx7abc jo33 tonight":                            "hx7abc jo33 tonight",
		"hx7abc jo33 wicket tomorrow evening":                    "hx7abc jo33 wicket tomorrow evening",
		"mañana por la tarde hx7abc jo33":                        "hx7abc mañana por la tarde jo33",
		"hx7abc jo33 morgen":                                     "", // a name
		"hx7abc jo33 saturday 18:02":                             "", // the last one
		"hx7abc jo33 18:02":                                      "",
		"tomorrow jo33":                                          "",
	} {
		if words, _, ok := Sked(text, isWicket); ok != (want != "") || ok && words != want {
			t.Errorf("%q: %q, %v, want %q", text, words, ok, want)
		}
	}
}

// What a station said or was like holds nothing of a contact.
func TestTalk(t *testing.T) {
	for text, want := range map[string]string{
		"hx7abc said he heard ox9qzt": "said he heard ox9qzt", "hx7abc was a really good one!": "was a really good one",
		"hx7abc is calling ox9qzt": "is calling ox9qzt", "hx7abc calling cq again": "calling cq again", "HX7ABC war sehr laut": "war sehr laut",
		"hx7abc said jo33": "", "hx7abc was loud, 57": "", "hx7abc was jo33": "", "hx7abc was a dupe": "", "hx7abc is calling": "",
		"hx7abc was heard only": "", "hx7abc jo33 was loud": "", "bob was loud": "", "": "",
	} {
		if call, words, ok := Talk(text); words != want && ok || ok != (want != "") || ok && call.String() != "HX7ABC" {
			t.Errorf("%q: %s, %q, %v, want %q", text, call, words, ok, want)
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

func isWicket(name string) bool { return name == "wicket" }

// isTalk reports whether words behind a call say what its station said or was like.
func isTalk(words string) bool { _, said, ok := Talk("hx7abc " + words); return ok && said == words }
