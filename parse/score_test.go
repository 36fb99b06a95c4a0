package parse

import (
	"bufio"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// truth is one line of the public set with what should become of it.
type truth struct {
	ID       string
	Class    string
	Text     string
	Expected string
	AlsoOK   []string `json:"also_ok"`
	Reason   string
	Contacts []struct {
		Call, Expected string
		Grids          []string
		Minute         *int
		Name, Report   *string
		Beside         []string `json:"-"` // as beside writes them
	}
}

func readTruth(t testing.TB) (set []truth) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "authorities", "reading", "lines.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for in := bufio.NewScanner(f); in.Scan(); {
		var l truth
		if err := json.Unmarshal(in.Bytes(), &l); err != nil {
			t.Fatal(err)
		}
		set = append(set, l)
	}
	return set
}

func contactKey(call string, grids []string) string {
	up := strings.Split(strings.ToUpper(strings.Join(grids, " ")), " ")
	slices.Sort(up)
	return strings.ToUpper(call) + " " + strings.Join(up, " ")
}

// logged returns the keys of the contacts that would be written, sorted.
func logged(lines []Line) (keys []string) {
	for _, l := range lines {
		for _, c := range l.Contacts {
			if c.Verdict != Log {
				continue
			}
			var gs []string
			for _, g := range c.Grids {
				gs = append(gs, g.String())
			}
			keys = append(keys, contactKey(c.Call.String(), gs))
		}
	}
	slices.Sort(keys)
	return keys
}

// heldBack reports whether a contact is certain but for words in its comment: it
// leaves only after the operator has seen them.
func heldBack(lines []Line) bool {
	for _, l := range lines {
		for _, c := range l.Contacts {
			if c.Verdict == Log && c.Comment != "" {
				return true
			}
		}
	}
	return false
}

// judgeTruth scores one line: a wrong log writes something false, a rash one
// something true that the line did not allow. A contact that is held back for its
// comment is neither asked in vain nor rash, but what it holds must be true.
func judgeTruth(l truth, lines []Line) string {
	verdict := overall(lines)
	if verdict == Log && heldBack(lines) {
		var want []string
		for _, c := range l.Contacts {
			want = append(want, contactKey(c.Call, c.Grids))
		}
		slices.Sort(want)
		switch got := logged(lines); {
		case len(want) > 0 && !slices.Equal(got, want):
			return "wrong log"
		case l.Expected == "log":
			return "held"
		}
		return "held, deniable"
	}
	var want, certain []string
	for _, c := range l.Contacts {
		want = append(want, contactKey(c.Call, c.Grids))
		if c.Expected == "log" {
			certain = append(certain, contactKey(c.Call, c.Grids))
		}
	}
	slices.Sort(want)
	got := logged(lines)
	if verdict != Log && l.Reason != "one_of_several" {
		got = nil
	}
	also := func(v string) bool { return slices.Contains(l.AlsoOK, v) }
	switch {
	case l.Expected == "ignore":
		return [...]string{Ignore: "ok", Ask: pick(also("ask"), "ok", "needless ask"), Log: "wrong log"}[verdict]
	case l.Expected == "log":
		return [...]string{Ignore: "missed", Ask: pick(also("ask"), "ok", "needless ask"), Log: pick(slices.Equal(got, want), "ok", "wrong log")}[verdict]
	case l.Reason == "one_of_several":
		for _, g := range got {
			if !slices.Contains(certain, g) {
				return pick(slices.Contains(want, g), "rash log", "wrong log")
			}
		}
		return [...]string{Ignore: "missed", Ask: "ok", Log: "rash log"}[verdict]
	case verdict == Ask:
		return "ok"
	case verdict == Ignore:
		return "missed"
	case slices.Equal(got, want):
		return pick(also("log"), "ok", "rash log")
	}
	return "wrong log"
}

// The public set: nothing false may be logged, and hardly anything may be
// asked or missed without need.
func TestPublicLines(t *testing.T) {
	classes := map[string]map[string]int{}
	total := map[string]int{}
	sides := map[string]int{}
	for _, l := range readTruth(t) {
		lines := Read(l.Text, Known{})
		score := judgeTruth(l, lines)
		total[score]++
		if classes[l.Class] == nil {
			classes[l.Class] = map[string]int{}
		}
		classes[l.Class][score]++
		if score == "wrong log" || score == "rash log" {
			t.Errorf("%s: %s %q: %v", score, l.ID, l.Text, logged(lines))
		}
		if os.Getenv("WHY") != "" && score != "ok" {
			t.Logf("%s %s %v", l.Class, score, lines[0].Contacts[0].Why)
		}
		if show := os.Getenv("SHOW"); show != "" && score != "ok" && strings.ContainsAny(l.ID[3:], show) {
			t.Logf("%s: %s %s %q %+v", score, l.ID, l.Class, l.Text, lines[0].Contacts)
		}
		if (score == "ok" || score == "held") && overall(lines) == Log {
			countSides(t, l, lines, sides)
		}
	}
	for _, c := range slices.Sorted(maps.Keys(classes)) {
		t.Logf("%-18s %v", c, classes[c])
	}
	t.Logf("%-18s %v, side fields %v", "total", total, sides)
	const lines = 600
	if n := total["needless ask"] + total["missed"]; n > lines*3/100 {
		t.Errorf("%d needless questions and misses", n)
	}
	if sides["differs"] > 0 {
		t.Errorf("side fields: %v", sides)
	}
}

// countSides compares minute, name and report.
func countSides(t *testing.T, l truth, lines []Line, sides map[string]int) {
	got := map[string]Contact{}
	for _, line := range lines {
		for _, c := range line.Contacts {
			got[c.Call.String()] = c
		}
	}
	for _, want := range l.Contacts {
		c := got[strings.ToUpper(want.Call)]
		text := func(s *string) string {
			if s == nil {
				return ""
			}
			return *s
		}
		minute := want.Minute != nil
		if c.Name != text(want.Name) || c.Report != text(want.Report) || c.Clock.IsSet() != minute || minute && c.Clock.Minute() != *want.Minute {
			sides["differs"]++
			t.Logf("side fields: %s %q: %q %q %v", l.ID, l.Text, c.Name, c.Report, c.Clock)
		} else {
			sides["ok"]++
		}
	}
}

// overall returns the verdict on several lines together: Ask if anything in
// them must be asked, else Log if there is a contact at all.
func overall(lines []Line) Verdict {
	v := Ignore
	for i := range lines {
		if lines[i].Verdict == Ask {
			return Ask
		}
		v = max(v, lines[i].Verdict)
	}
	return v
}
