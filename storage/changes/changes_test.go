package changes

import (
	"maps"
	"math/rand/v2"
	"testing"
)

func change(key, value string, rev uint64) Change { return Change{Key: key, Value: &value, Rev: rev} }

// values are the latest as they hold.
func values(h *History) map[string]string {
	vs := map[string]string{}
	for k, c := range h.Latest {
		if c.Value != nil {
			vs[k] = *c.Value
		}
	}
	return vs
}

// The order in which changes are noted doesn't matter, nor does it how often.
func TestTheNewestHold(t *testing.T) {
	all := []Change{
		change("a", "old", 1), change("b", "old", 2),
		{Rev: 3, Reset: true},
		change("a", "new", 3), change("c", "gone", 4),
		{Key: "c", Rev: 5},
		change("d", "newer", 6),
		{Rev: 7},
	}
	want := map[string]string{"a": "new", "d": "newer"}
	random := rand.New(rand.NewPCG(7, 42))
	for range 200 {
		h := New()
		for range 2 {
			random.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
			for _, c := range all {
				h.Note(c)
			}
		}
		if got := values(h); !maps.Equal(got, want) || h.Rev != 7 {
			t.Fatalf("%v at %d after %+v", got, h.Rev, all)
		}
		for _, c := range all {
			if holds := c.Rev == 3 || c.Rev >= 5; h.Holds(c) != holds {
				t.Errorf("%+v holds: %v", c, !holds)
			}
		}
	}
}

func TestStale(t *testing.T) {
	h := New()
	for rev := range uint64(5) {
		h.Note(change("a", "x", rev+1))
	}
	h.Note(Change{Rev: 6, Reset: true})
	h.Note(change("b", "below the reset", 2))
	if h.Stale != 5 || len(h.Latest) != 0 {
		t.Errorf("%d are stale, %v hold", h.Stale, h.Latest)
	}
}
