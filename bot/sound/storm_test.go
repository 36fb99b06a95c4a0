package sound

import (
	"testing"
	"time"

	"skyslate/storage"
)

func TestAhead(t *testing.T) {
	now := time.Date(2026, 9, 1, 13, 0, 0, 0, time.UTC)
	together := func(n int, in time.Duration) (planned []storage.Planned) {
		for range n {
			planned = append(planned, storage.Planned{At: now.Add(in)})
		}
		return planned
	}
	for name, tt := range map[string]struct {
		planned []storage.Planned
		owed    int
		want    int
	}{
		"nothing":                        {},
		"few":                            {together(100, time.Minute), 0, 0},
		"as many as go out in time":      {together(4500, time.Minute), 0, 0},
		"more, by a second's":            {together(4525, time.Minute), 0, 25},
		"as many, behind others":         {together(4500, time.Minute), 100, 100},
		"more than can be in time":       {together(100_000, time.Minute), 0, 100_000 - 4500},
		"all are late already":           {together(10, -3*time.Minute), 0, 10},
		"a storm behind a quiet quarter": {append(together(1, time.Minute), together(10_525, 5*time.Minute)...), 0, 26},
	} {
		t.Run(name, func(t *testing.T) {
			if got := len(Ahead(tt.planned, now, tt.owed, 25)); got != tt.want {
				t.Errorf("%d are early, want %d", got, tt.want)
			}
		})
	}
}
