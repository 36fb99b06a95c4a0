package fault

import (
	"errors"
	"testing"

	"skyslate/storage/block"
)

// An error of a kind reads as its own sentence alone, also beneath others.
func TestFaults(t *testing.T) {
	err := In("open", Damaged("page %d is cut short", 7))
	if !errors.Is(err, block.ErrDamaged) || err.Error() != "open: page 7 is cut short" {
		t.Errorf("%v", err)
	}
	if err := In("open", nil); err != nil {
		t.Errorf("nothing went wrong: %v", err)
	}
}
