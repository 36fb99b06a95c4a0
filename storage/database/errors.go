package database

import (
	"errors"
	"fmt"
	"syscall"

	"skyslate/storage/fault"

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

// ErrClosed is any call after Close.
var ErrClosed = errors.New("the store is closed")

// How an update can fail, apart from these: fn's own error, which another try would meet
// again, and one of which nobody knows whether it is on disk.
var (
	ErrRefused   = errors.New("against the rules of the store")
	ErrUncertain = errors.New("written or not")
)

// known is an error in its own words that is known as one of these.
type known struct {
	kind error
	error
}

// Unwrap is what it is known as, and what it is.
func (k known) Unwrap() []error { return []error{k.kind, k.error} }

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

// named gives errors of the library and the system our names.
func named(err error) error {
	if errors.Is(err, boltErrors.ErrTimeout) {
		return fault.Of(ErrLocked, "it is in use")
	}
	return NoSpace(err)
}
