package passname

import (
	"testing"
	"time"
)

// A name tells what was named, and names sort by AOS.
func TestNames(t *testing.T) {
	aos := time.Date(2026, 11, 24, 17, 42, 5, 0, time.UTC)
	id := Of(aos, 99123)
	if id != "20261124T174205Z-99123" || Of(aos.Add(time.Second), 1) < id {
		t.Errorf("%q", id)
	}
	if at, catalog, ok := id.Read(); !at.Equal(aos) || catalog != 99123 || !ok {
		t.Errorf("%s, %d, %v", at, catalog, ok)
	}
	for _, other := range []ID{"", "-", "20261124T174205Z", "20261124T174205Z-x", "2026-1"} {
		if _, _, ok := other.Read(); ok {
			t.Errorf("%q is a name of ours", other)
		}
	}
}
