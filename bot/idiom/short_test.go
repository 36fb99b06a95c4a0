package idiom

import (
	"testing"

	"skyslate/parse"
)

// All calls are invented.
func TestRewrite(t *testing.T) {
	call, err := parse.ParseCallsign("DI4ZAB/P")
	if err != nil {
		t.Fatal(err)
	}
	for answer, want := range map[string]struct {
		call string
		how  Rewriting
	}{
		"cdf":   {"DI4CDF/P", Rewritten},
		"zxc":   {"DI4ZXC/P", Rewritten},
		" ZAC ": {"DI4ZAC/P", MayRewrite},
		"anna":  {"DI4ANNA/P", MayNot},
		"Bob":   {"DI4BOB/P", MayNot},
		"dup":   {},
		"sri":   {},
		"tnx":   {},
		"ok":    {},
		"ab cd": {},
		"abcde": {},
		"jo33":  {},
		"":      {},
	} {
		if now, how := Rewrite(answer, call); now.String() != want.call || how != want.how {
			t.Errorf("suffix %q: %s, %d, want %s, %d", answer, now, how, want.call, want.how)
		}
	}
	bare, err := parse.ParseCallsign("DI4ZAB")
	if now, how := Rewrite("/p", bare); err != nil || now != call || how != Rewritten {
		t.Errorf("a mark alone: %s, %d, %v", now, how, err)
	}
}

func TestFigures(t *testing.T) {
	for answer, want := range map[string]string{" 44 ": "44", "4": "", "444": "", "jo44": ""} {
		if got, ok := Figures(answer); got != want || ok != (want != "") {
			t.Errorf("figures %q: got %q, %v", answer, got, ok)
		}
	}
}
