package parse

import (
	"bufio"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// fieldLine is a hand-written line with what should become of it.
func fieldLine(t *testing.T, kind, s string) truth {
	t.Helper()
	parts := strings.SplitN(s, " | ", 3)
	if len(parts) != 3 {
		t.Fatalf("no field line: %q", s)
	}
	text, err := strconv.Unquote(`"` + strings.ReplaceAll(parts[2], `"`, `\"`) + `"`)
	if err != nil {
		t.Fatalf("%q: %v", s, err)
	}
	return makeTruth(kind, text, parts[0], parts[1])
}

// makeTruth makes a truth of a verdict like "log" or "log/ask", and contacts
// like "AB1CDE JO32; +AB2CDE JO33 JO34 @17:42 +95 r59 nDoug".
func makeTruth(kind, text, verdict, contacts string) truth {
	l := truth{Class: kind, Text: text}
	var also string
	if l.Expected, also, _ = strings.Cut(verdict, "/"); also != "" {
		l.AlsoOK = []string{also}
	}
	if l.Expected == "one" {
		l.Expected, l.Reason = "ask", "one_of_several"
	}
	for c := range strings.SplitSeq(contacts, "; ") {
		words := strings.Fields(c)
		if words[0] == "-" {
			continue
		}
		call, sure := strings.CutPrefix(words[0], "+")
		l.Contacts = slices.Grow(l.Contacts, 1)[:len(l.Contacts)+1]
		d := &l.Contacts[len(l.Contacts)-1]
		d.Call, d.Expected = call, pick(sure || l.Expected == "log", "log", "ask")
		for _, w := range words[1:] {
			if strings.ContainsAny(w[:1], "@+rn") {
				d.Beside = append(d.Beside, w)
			} else {
				d.Grids = append(d.Grids, w)
			}
		}
	}
	return l
}

// besideWrong returns what stands beside the contacts of a line in its truth and
// not in its reading.
func besideWrong(l truth, lines []Line) (wrong []string) {
	for _, line := range lines {
		for _, c := range line.Contacts {
			for _, d := range l.Contacts {
				if d.Call != c.Call.String() {
					continue
				}
				got := []string{"@" + c.Clock.String(), fmt.Sprintf("+%.0f", c.Offset.Duration().Seconds()), "r" + c.Report, "n" + strings.ReplaceAll(c.Name, " ", "_")}
				for _, w := range d.Beside {
					if !slices.Contains(got, w) {
						wrong = append(wrong, w)
					}
				}
			}
		}
	}
	return wrong
}

// tally counts scores by kind and tells of the lines that missed.
type tally struct {
	kinds map[string]map[string]int
	total map[string]int
	lines int
}

func (c *tally) score(t *testing.T, l truth, known Known) {
	lines := Read(l.Text, known)
	takeBack(lines)
	score := judgeTruth(l, lines)
	if (score == "ok" || score == "held") && overall(lines) == Log && len(besideWrong(l, lines)) > 0 {
		score = "beside wrong"
	}
	if c.kinds == nil {
		c.kinds, c.total = map[string]map[string]int{}, map[string]int{}
	}
	if c.kinds[l.Class] == nil {
		c.kinds[l.Class] = map[string]int{}
	}
	c.kinds[l.Class][score]++
	c.total[score]++
	c.lines++
	show := os.Getenv("SHOW") // a score, or part of one
	if score == "wrong log" || show != "" && strings.Contains(score, show) {
		why := Why("")
		for _, line := range lines {
			for _, x := range line.Contacts {
				why += " " + x.Why
			}
		}
		t.Logf("%s: %s %q: %v%s", score, l.Class, l.Text, logged(lines), why)
	}
}

// takeBack asks about contacts that a line below denies or takes back, as their reader does.
func takeBack(lines []Line) {
	for i := range lines {
		if !lines[i].Denies && !lines[i].Withdraws {
			continue
		}
		for above := i - 1; above >= 0; above-- {
			if n := len(lines[above].Contacts); n > 0 {
				lines[above].Verdict, lines[above].Contacts[n-1].Verdict, lines[above].Contacts[n-1].Why = Ask, Ask, Doubted
				break
			}
		}
	}
}

// tell tells the scores.
func (c *tally) tell(t *testing.T) {
	t.Helper()
	for _, k := range slices.Sorted(maps.Keys(c.kinds)) {
		t.Logf("%-14s %v", k, c.kinds[k])
	}
	t.Logf("%-14s %d: %v", "total", c.lines, c.total)
}

// hold tells the scores and holds them against the bars.
func (c *tally) hold(t *testing.T) {
	t.Helper()
	c.tell(t)
	if n := c.total["wrong log"]; n > 0 {
		t.Errorf("%d wrong logs", n)
	}
	if n := c.total["beside wrong"]; n > 0 {
		t.Errorf("%d times, reports or names wrong or lost", n)
	}
	if n := c.total["rash log"]; 1000*n > 3*c.lines {
		t.Errorf("%d rash logs", n)
	}
	if n := c.total["needless ask"] + c.total["missed"]; 100*n > 3*c.lines {
		t.Errorf("%d needless questions and misses", n)
	}
}

// Lines of the field, written by hand; each set by somebody who had not seen
// the code as it was then.
func TestFieldLines(t *testing.T) {
	for _, name := range []string{"fieldlines.txt", "unseen1.txt", "unseen2.txt", "unseen3.txt", "unseen4.txt", "unseen5.txt", "unseen6.txt", "unseen7.txt", "unseen8.txt", "unseen9.txt", "unseen10.txt", "unseen11.txt", "unseen12.txt", "unseen13.txt", "unseen14.txt", "unseen15.txt", "unseen16.txt", "unseen17.txt", "unseen18.txt", "unseen19.txt", "unseen20.txt", "classes.txt", "fresh.txt"} {
		t.Run(name, func(t *testing.T) {
			var c tally
			for _, l := range fieldSet(t, name) {
				c.score(t, l, Known{})
			}
			c.hold(t)
		})
	}
}

// fieldSet reads a set of hand-written lines.
func fieldSet(t *testing.T, name string) (set []truth) {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	kind := ""
	for in := bufio.NewScanner(f); in.Scan(); {
		s := in.Text()
		switch head, isHead := strings.CutPrefix(s, "== "); {
		case isHead:
			kind = head
		case s != "" && s[0] != '#':
			set = append(set, fieldLine(t, kind, s))
		}
	}
	return set
}
