package along

import (
	"slices"
	"testing"
	"time"
)

func TestThinned(t *testing.T) {
	start := time.Date(2027, 5, 23, 10, 42, 0, 0, time.UTC)
	at := func(minutes ...int) (all []time.Time) {
		for _, m := range minutes {
			all = append(all, start.Add(time.Duration(m)*time.Minute))
		}
		return all
	}
	for every, want := range map[int][]time.Time{0: at(0, 1, 2, 3, 4, 5), 2: at(0, 2, 4, 5), 4: at(0, 4, 5)} {
		if got := Thinned(at(5, 1, 3, 0, 2, 4, 4), every); !slices.Equal(got, want) {
			t.Errorf("every %d: %v", every, got)
		}
	}
	if got := LatestOf(append(at(0), start.Add(4*time.Second), start.Add(9*time.Second)), Together); len(got) != 2 {
		t.Errorf("told as one: %v", got)
	}
}
