package parse

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

// TestSpokenLanguages says made contacts with the figures of each language of the
// table: digit by digit and as numbers, with an aside before the grid. Nothing is
// read wrong, and of twenty lines one may be asked about at most.
func TestSpokenLanguages(t *testing.T) {
	m := newMaker(t, 7)
	for lang := 1; lang+1 < len(tables().languages); lang++ {
		figures, asides := map[string][]string{}, []string{""}
		for _, word := range slices.Sorted(maps.Keys(tables().entries)) {
			for _, s := range tables().entries[word].senses {
				switch {
				case int(s.lang) != lang:
				case s.trust >= loose && isDigit(s.syms[0]):
					figures[s.syms] = append(figures[s.syms], word)
				case s.role == asideWord && len(word) > 1:
					asides = append(asides, word)
				}
			}
		}
		say := func(s string) string {
			if list := figures[s]; len(list) > 0 {
				return m.one(list...)
			}
			var said []string
			for i := range len(s) {
				if list := figures[s[i:i+1]]; len(list) > 0 {
					said = append(said, m.one(list...))
				} else {
					said = append(said, m.words[s[i]][0])
				}
			}
			return strings.Join(said, " ")
		}
		asked, lines := 0, 400
		for range lines {
			call, grid := m.call(), m.grid()[:4]
			digits := grid[2:]
			if m.IntN(2) == 0 {
				digits = say(grid[2:3]) + " " + say(grid[3:])
			} else {
				digits = say(digits)
			}
			pause := m.one("", ",")
			if _, cut := runOn(call, grid); cut {
				pause = ","
			}
			text := strings.Join([]string{say(call) + pause, m.one(asides...), say(grid[:2]), digits}, " ")
			switch got := logged(Read(text, Known{})); {
			case len(got) == 0:
				asked++
				t.Logf("asked %q %s %s", text, call, grid)
			case !slices.Equal(got, []string{contactKey(call, []string{grid})}):
				t.Errorf("%s: %q is read as %v, not %s %s", tables().languages[lang+1], text, got, call, grid)
			}
		}
		t.Logf("%s: %d of %d asked", tables().languages[lang+1], asked, lines)
		if 20*asked > lines {
			t.Errorf("%s: %d of %d asked about without need", tables().languages[lang+1], asked, lines)
		}
	}
}
