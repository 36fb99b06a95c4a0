package idiom

import (
	"strings"
	"testing"
	"time"
)

func TestNumbered(t *testing.T) {
	type numbered struct {
		n    int
		says string
	}
	for line, want := range map[string]numbered{
		"3 is /p":               {3, "/p"},
		"#3 is jo44":            {3, "jo44"},
		"contact 12 was ox9qzt": {12, "ox9qzt"},
		"3 was: jo44":           {3, "jo44"},
		"drop 3":                {3, dropped},
		"Drop #3!":              {3, dropped},
		"3 drop":                {3, dropped},
		"lösche 2":              {2, dropped},
		"3 ist jo44":            {3, "jo44"},
		"3 hx7abc jo33":         {},
		"3: hx7abc jo33":        {},
		"3. hx7abc jo33":        {},
		"10:43 is right":        {},
		"drop it":               {},
		"drop hx7abc":           {},
		"drop 3 hx7abc":         {},
		"hx7abc is /p":          {},
		"3":                     {},
		"1043 is late":          {},
	} {
		n, says, ok := Numbered(line)
		if got := (numbered{n, says}); got != want || ok != (want.n > 0) {
			t.Errorf("%q: %+v, %v", line, got, ok)
		}
	}
}

// Berlin is two hours ahead of UTC in May and one in November (the European Union's
// directive 2000/84/EC).
func TestInUTC(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	may, november := time.Date(2027, 5, 23, 12, 0, 0, 0, time.UTC), time.Date(2026, 11, 24, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		text string
		at   time.Time
		want string
	}{
		{"hx7abc jo33 15:00 local", may, "hx7abc jo33 13:00"},
		{"hx7abc jo33 1500 local", november, "hx7abc jo33 14:00"},
		{"15:00 local hx7abc jo33", may, "13:00 hx7abc jo33"},
		{"15.00 Uhr Ortszeit", may, "13:00"},
		{"15h00 heure locale", may, "13:00"},
		{"slate 15:00:05 local", may, "slate 13:00:05"},
		{"00:30 local", may, "22:30"},
		{"15:00 utc", may, "15:00 utc"},
		{"hx7abc 1500 loc jo33", may, "hx7abc 1500 loc jo33"}, // a locator
		{"lt7abc jo33", may, "lt7abc jo33"},
		{"1500 lt7abc", may, "1500 lt7abc"},
		{"a local station", may, "a local station"},
	} {
		if got := InUTC(c.text, c.at, berlin); got != c.want {
			t.Errorf("%q in %s: %q, want %q", c.text, c.at.Month(), got, c.want)
		}
		if HasLocal(c.text) != (c.want != c.text) {
			t.Errorf("%q: has a local time: %v", c.text, HasLocal(c.text))
		}
	}
}

func TestWithoutSame(t *testing.T) {
	for line, want := range map[string]string{
		"hx7abc same grid":           "hx7abc",
		"hx7abc same as before":      "hx7abc",
		"hx7abc same grid as before": "hx7abc",
		"same grid":                  "",
		"Hx7abc gleicher Locator":    "Hx7abc",
		"hx7abc mismo grid 59":       "hx7abc   59",
		"hx7abc onaji grid":          "hx7abc",
	} {
		if rest, same := WithoutSame(line); !same || rest != want {
			t.Errorf("%q: %q, %v", line, rest, same)
		}
	}
	for _, line := range []string{"hx7abc jo33", "all the same", "same here", "hx7abc the same op"} {
		if rest, same := WithoutSame(line); same {
			t.Errorf("%q: %q", line, rest)
		}
	}
}

// Each form of the table, with each variant of its words, is read as its kind says.
func TestTable(t *testing.T) {
	reads := map[string]func(form string) bool{
		"number": func(form string) bool {
			n, says, _ := Numbered("drop " + form + " 3")
			return n == 3 && says == dropped
		},
		"drop": func(form string) bool { n, says, _ := Numbered("3 " + form); return n == 3 && says == dropped },
		"is":   func(form string) bool { n, says, _ := Numbered("3 " + form + " /p"); return n == 3 && says == "/p" },
		"local": func(form string) bool {
			zone, _ := ZoneIn(strings.Fields(form))
			return HasLocal("hx7abc 15:00 "+form) && zone.Local
		},
		"same": func(form string) bool { rest, same := WithoutSame("hx7abc " + form); return same && rest == "hx7abc" },
	}
	for row := range strings.Lines(idioms) {
		cells := strings.Split(strings.TrimSpace(row), " | ")
		if len(cells) == 1 || strings.HasPrefix(row, "#") {
			continue
		}
		for _, form := range cells[1:] {
			for _, words := range variants(part.FindAllString(form, -1)) {
				if read := reads[cells[0]]; read == nil || !read(words) {
					t.Errorf("%s: %q is not read", cells[0], words)
				}
			}
		}
	}
}

// variants are all the ways in which the parts of a form can be said.
func variants(parts []string) []string {
	if len(parts) == 0 {
		return []string{""}
	}
	first, may := strings.CutSuffix(parts[0], "?")
	rests := variants(parts[1:])
	var all []string
	if may {
		all = append(all, rests...)
	}
	for word := range strings.SplitSeq(strings.Trim(first, "{}"), "|") {
		for _, rest := range rests {
			all = append(all, strings.TrimSpace(word+" "+rest))
		}
	}
	return all
}
