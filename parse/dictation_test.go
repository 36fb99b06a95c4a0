package parse

import "testing"

// Dictated lines, in all languages that the table of spoken words knows: nothing
// is read wrong, and nineteen of twenty are read right.
func TestDictation(t *testing.T) {
	const percent = 95
	for _, name := range []string{"dictation.txt", "dictation2.txt", "dictation3.txt", "dictation4.txt", "dictation5.txt", "dictation6.txt", "dictation7.txt"} {
		t.Run(name, func(t *testing.T) {
			var c tally
			for _, l := range fieldSet(t, name) {
				c.score(t, l, Known{})
				checkLaws(t, l.Text)
			}
			c.tell(t)
			if n := c.total["wrong log"] + c.total["rash log"] + c.total["beside wrong"]; n > 0 {
				t.Errorf("%d lines read wrong", n)
			}
			if n := c.total["ok"]; 100*n < percent*c.lines {
				t.Errorf("%d of %d lines read right", n, c.lines)
			}
		})
	}
}
