package question

import (
	"strings"
	"testing"
)

func isBird(name string) bool { return name == "wicket-1" || name == "wicket" || name == "ao 123" }

// Each form of the table has an example that it fits and a line near it that it
// doesn't; examples are read as what they ask.
func TestTable(t *testing.T) {
	for _, r := range rows {
		fits, misses := 0, 0
		for _, e := range r.examples {
			sign, line, _ := strings.Cut(e, " ")
			q, ok := Read(line, isBird)
			words, _ := withoutGrids(fold(line))
			words, _ = withoutBird(words, isBird)
			itself := r.form.MatchString(politely.ReplaceAllString(strings.Join(words, " ")+" ", ""))
			switch sign {
			case "+":
				fits++
				if !ok || q.Kind != r.kind || !itself {
					t.Errorf("%q: read as %q, %v; wanted %s by %s", line, q.Kind, ok, r.kind, r.form)
				}
			case "-":
				misses++
				if ok && q.Kind == r.kind {
					t.Errorf("%q: read as %s", line, r.kind)
				}
			default:
				t.Errorf("%q has no sign", e)
			}
		}
		if fits == 0 || misses == 0 {
			t.Errorf("%s has no example, or none against it", r.form)
		}
	}
}

// What is told of contacts, and of the weather, asks nothing.
func TestNoQuestion(t *testing.T) {
	for _, line := range []string{
		"", "?", "hx7abc", "hx7abc jo33", "di4zab jo43?", "jo43?", "windy up here", "wicket-1", "12:24", "slate 10:42:05",
		"heard hx7abc", "59 anna", "was that bob", "no contact", "correction jo43", "name anna", "where it was nice", "now jo43",
		"what a signal", "next time", "when hx7abc came back he had faded", strings.Repeat("where is it now ", 9),
	} {
		if q, ok := Read(line, isBird); ok {
			t.Errorf("%q: read as %q of %q", line, q.Kind, q.Bird)
		}
	}
}

func TestBirdAskedAbout(t *testing.T) {
	for line, want := range map[string]Question{
		"where is wicket-1 now?":           {Where, "wicket-1", ""},
		"When does AO 123 rise?":           {Next, "ao 123", ""},
		"hey, what frequency is wicket?":   {Radio, "wicket", ""},
		"please, where is it now":          {Where, "", ""},
		"I'm on the line of jo62 and jo72": {Move, "", "jo62 jo72"},
	} {
		if q, ok := Read(line, isBird); !ok || q != want {
			t.Errorf("%q: %+v, %v", line, q, ok)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("¿dónde está wicket-1?")
	f.Fuzz(func(t *testing.T, line string) {
		if q, ok := Read(line, isBird); ok && q.Kind == "" {
			t.Errorf("%q asks nothing", line)
		}
	})
}
