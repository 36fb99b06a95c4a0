package layout

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

// unfitOnPhone reports what is wrong with a text on a phone, empty if nothing is.
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

// cleaned is a text as it goes out: what was typed is plain, and only the beginnings of
// lines are marks.
func cleaned(text string) string {
	var lines []string
	for line := range strings.SplitSeq(text, "\n") {
		mark, read := markOf(line)
		lines = append(lines, mark+Plain(read))
	}
	return strings.Join(lines, "\n")
}

func FuzzFit(f *testing.F) {
	for _, seed := range []string{"", "a", strings.Repeat("é", 200), strings.Repeat("ab cd ", 300), strings.Repeat("x\n", 40), strings.Repeat(" ", 90) + "end", boldMark + "a\n" + tableMark + strings.Repeat("a 12 ", 9)} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		text = cleaned(text)
		got := Fit(text)
		if why := unfitOnPhone(got); why != "" {
			t.Errorf("%q: %s", text, why)
		}
		if again := Fit(got); again != got {
			t.Errorf("shaped again: %q, then %q", got, again)
		}
		squeeze := func(s string) string { return strings.Join(strings.Fields(unstyled(s)), "") }
		if whole := Caption(text); squeeze(whole) != squeeze(text) {
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
		text = cleaned(text)
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

func TestLines(t *testing.T) {
	at := time.Date(2026, 9, 1, 23, 0, 0, 0, time.UTC)
	hours := []int{0, 1, 2}
	text := func(lines []string) string { return strings.Join(lines, "\n") }
	name := Column([]string{"A", "OCHRE-1", "SIENNA"}, 6, strings.Clone)
	grids := strings.Fields(strings.Repeat("JO62qm ", 7))
	long := strings.Join(grids, " ")
	for _, tt := range []struct{ about, got, want string }{
		{"cut to the width", Clip("OCHRE-1", 5), "OCHR…"},
		{"not cut", Clip("OCHRE", 5), "OCHRE"},
		{"no room at all", Clip("OCHRE", 0), "…"},
		{"typed with line breaks", Short("a\n  b\tcd", 5), "a b …"},
		{"between words", text(Wrap(long)), "JO62qm JO62qm JO62qm JO62qm JO62qm\nJO62qm JO62qm"},
		{"nothing to wrap is a line", text(Wrap("")) + "|", "|"},
		{"nothing to hang is none", text(Hang("a", "", "b")), "a\nb"},
		{"later lines hang", text(Hang(long)), "JO62qm JO62qm JO62qm JO62qm JO62qm\n  JO62qm JO62qm"},
		{"blanks stay where a line fits", text(Break("1  OX9QZT", "   ")), "1  OX9QZT"},
		{"and where it doesn't, it hangs", text(Break("1  "+long, "   ")), "1 JO62qm JO62qm JO62qm JO62qm JO62qm\n   JO62qm JO62qm"},
		{"a list of two lines", text(Two(long, "rest")), text(Hang(long))},
		{"a list of more", text(Two(long+" "+long, "rest")), "JO62qm JO62qm JO62qm JO62qm JO62qm\nrest"},
		{"no item is broken", text(Enumerate("In", grids)), "In JO62qm, JO62qm, JO62qm, JO62qm\n  JO62qm, JO62qm, JO62qm"},
		{"a column", name("A") + "|" + name("OCHRE-1") + "|", "A     |OCHRE…|"},
		{"a caption is as long as it is", Caption(strings.Repeat("a\n", 40)), strings.Repeat("a\n", 40)},
		{
			"a date above the rows of a day", unstyled(text(ByDay(hours,
				func(h int) time.Time { return at.Add(time.Duration(h) * time.Hour) }, strconv.Itoa))),
			"Tue 1 Sep\n0\nWed 2 Sep\n1\n2",
		},
	} {
		if tt.got != tt.want {
			t.Errorf("%s: %q, want %q", tt.about, tt.got, tt.want)
		}
	}
	pages := Group([][]string{{"a", "b"}, {"c"}, {"d", "e"}, {"f", "g", "h", "i"}, {"j"}}, 3)
	if got, want := fmt.Sprint(pages), "[[[a b] [c]] [[d e]] [[f g h i]] [[j]]]"; got != want {
		t.Errorf("blocks became %s, want %s", got, want)
	}
	ways := func(n int) []string { return slices.Repeat([]string{"x"}, n) }
	for _, tt := range []struct {
		ways []int
		want int
	}{{[]int{99, 15, 3}, 15}, {[]int{99, 16}, 16}} {
		if got := strings.Count(FirstFit(tt.ways, ways), "x"); got != tt.want {
			t.Errorf("of the ways %v that with %d lines was taken", tt.ways, got)
		}
	}
}

// Lines of one style below each other are one span; what isn't to be seen is not read.
func TestStyled(t *testing.T) {
	lines := append(BoldLines("é\x07"), append(TableRows("1", "22"), "end")...)
	read, spans := Styled(strings.Join(lines, "\n"))
	want := []Span{{0, 2, Bold}, {3, 7, Table}}
	if read != "é\n1\n22\nend" || !slices.Equal(spans, want) {
		t.Errorf("%q, %v", read, spans)
	}
}

func unstyled(text string) string {
	read, _ := Styled(text)
	return read
}

// A page ends with a sentence or a block where it can, else after its last line.
func TestPagesEndWithBlocks(t *testing.T) {
	rows := strings.Repeat("a row\n", 13)
	long := strings.TrimSpace(strings.Repeat("words that fill the line up to here, x\n", 20))
	for text, want := range map[string]int{
		rows + "A last one\nCheck before you transmit. More of\n  one: /birds":                       14,
		rows + "Check before you transmit, and all of\nit. More of one and more of another is\nhere": 13,
		rows + "and one\n\x02On:\n\x02a bird":                                                        14,
		rows + "\x02a bird\n\x02 1 another\n\x02a third":                                             15,
		long: 15,
	} {
		if pages := Pages(text); strings.Count(pages[0], "\n")+1 != want {
			t.Errorf("%d lines on the first page, want %d:\n%s", strings.Count(pages[0], "\n")+1, want, pages[0])
		}
	}
}
