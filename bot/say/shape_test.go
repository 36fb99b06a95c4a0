package say

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// fits reports what is wrong with a text on a phone, empty if nothing is.
func unfitOnPhone(text string) string {
	lines := strings.Split(text, "\n")
	if len(lines) > Lines {
		return "too many lines"
	}
	for _, line := range lines {
		if mark, read := markOf(line); utf8.RuneCountInString(read) > lineStyles[mark].columns {
			return "too wide: " + line
		}
	}
	return ""
}

func FuzzFit(f *testing.F) {
	for _, seed := range []string{"", "a", strings.Repeat("é", 200), strings.Repeat("ab cd ", 300), strings.Repeat("x\n", 40), strings.Repeat(" ", 90) + "end", boldMark + "a\n" + tableMark + strings.Repeat("a 12 ", 9)} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		text = strings.ToValidUTF8(text, "?") // what goes out is cleaned before: see Plain
		got := Fit(text)
		if why := unfitOnPhone(got); why != "" {
			t.Errorf("%q: %s", text, why)
		}
		if again := Fit(got); again != got {
			t.Errorf("shaped again: %q, then %q", got, again)
		}
		squeeze := func(s string) string { return strings.Join(strings.Fields(unstyled(s)), "") }
		if whole := Narrow(text); squeeze(whole) != squeeze(text) {
			t.Errorf("%q lost something: %q", text, whole)
		}
		if unfitOnPhone(text) == "" && got != text {
			t.Errorf("%q fits and became %q", text, got)
		}
	})
}

// An answer in several messages is what Fit makes of its lines, none lost.
func FuzzPages(f *testing.F) {
	for _, seed := range []string{"", "a", strings.Repeat("é", 2000), strings.Repeat("ab cd ", 300), strings.Repeat("x\n", 400), strings.Repeat(" ", 90) + "end"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		text = strings.ToValidUTF8(text, "?") // what goes out is cleaned before: see Plain
		pages := Pages(text)
		for _, page := range pages {
			if why := unfitOnPhone(page); why != "" {
				t.Fatalf("%s in %q of %q", why, page, text)
			}
		}
		whole := strings.Join(pages, "\n")
		cut := strings.HasSuffix(whole, "\n"+more) && len(pages) == MostPages
		if got, want := strings.Join(strings.Fields(unstyled(whole)), ""), strings.Join(strings.Fields(unstyled(text)), ""); !cut && got != want {
			t.Fatalf("%q became %q", text, whole)
		}
	})
}
