// Package fault makes errors that speak for themselves: a sentence for the person at
// the machine, and a kind that the program asks for.
package fault

import (
	"fmt"

	"skyslate/storage/block"
)

type fault struct {
	kind     error
	sentence string
}

func (f *fault) Error() string { return f.sentence }
func (f *fault) Unwrap() error { return f.kind }

// Of is an error of a kind.
func Of(kind error, format string, args ...any) error {
	return &fault{kind, fmt.Sprintf(format, args...)}
}

// Damaged is an error of the kind [block.ErrDamaged].
func Damaged(format string, args ...any) error { return Of(block.ErrDamaged, format, args...) }

// In says what was being done when an error came up, if one did.
func In(doing string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", doing, err)
}
