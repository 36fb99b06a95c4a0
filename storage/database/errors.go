package database

import (
	"errors"
	"fmt"
	"syscall"

	boltErrors "go.etcd.io/bbolt/errors"
)

// What is refused at an opening.
var (
	ErrLocked  = errors.New("the store is in use")
	ErrForeign = errors.New("not a skyslate store")
	// ErrNoDatabase is a file that nothing can be made of: another program's, or ours
	// damaged beyond recognition.
	ErrNoDatabase = fmt.Errorf("%w: no database", ErrForeign)
)

// ErrNoSpace is a write that found no room; nothing was changed, and writes succeed as
// soon as there is room again.
var ErrNoSpace = errors.New("no space left for the store")

// NoSpace makes a lack of space, as the system or the library tells it, known as
// ErrNoSpace, and leaves all other errors as they are.
func NoSpace(err error) error {
	for _, full := range []error{syscall.ENOSPC, syscall.EDQUOT, boltErrors.ErrMaxSizeReached} {
		if errors.Is(err, full) && !errors.Is(err, ErrNoSpace) {
			return fmt.Errorf("%w: %w", ErrNoSpace, err)
		}
	}
	return err
}
