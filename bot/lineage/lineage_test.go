package lineage

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func numbers(l *Lineage) []int {
	var all []int
	for _, line := range l.Lines {
		all = append(all, line.Number)
	}
	return all
}

// TestReturning is the law that makes an edit taken back no edit: whatever was in
// between, lines that say what they said at first are the lines they were.
func TestReturning(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.Custom(func(r *rapid.T) string {
			return strings.Join(rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c", "d", ""}), 1, 5).Draw(r, "lines"), "\n")
		})
		first := text.Draw(r, "first")
		var l Lineage
		l.Say(first)
		want := numbers(&l)
		for _, s := range rapid.SliceOfN(text, 0, 6).Draw(r, "edits") {
			l.Say(s)
		}
		l.Say(first)
		got := numbers(&l)
		for i := range want {
			if got[i] != want[i] {
				r.Fatalf("%q came back as lines %v, were %v", first, got, want)
			}
		}
	})
}
