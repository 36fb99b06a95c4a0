package predict

import "testing"

// Where the reference tables have a pass a satellite must be said to rise, and
// where they have none in 48 hours it must be said not to: none of the invented
// orbits keeps to one side of the Earth.
func TestEverRisesAgainstReference(t *testing.T) {
	seen := map[[2]string]bool{}
	for _, r := range readTable(t, "passes.csv") {
		seen[[2]string{r["sat"], r["grid"]}] = true
	}
	never := 0
	for _, e := range readSets(t, passTables+"sats.tle") {
		for grid, site := range tableSites(t) {
			want := seen[[2]string{e.Name, grid}]
			if got := e.EverRises(site); got != want {
				t.Errorf("%s over %s: EverRises = %v, the tables say %v", e.Name, grid, got, want)
			}
			if !want {
				never++
			}
		}
	}
	if never == 0 {
		t.Error("the tables hold no satellite that never rises: nothing was shown")
	}
}
