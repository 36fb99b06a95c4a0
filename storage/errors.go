package storage

import (
	"errors"
	"fmt"
	"runtime/debug"
	"syscall"

	boltErrors "go.etcd.io/bbolt/errors"

	"skyslate/storage/block"
)

// What Open, OpenForRead and Verify refuse: the error's own text is a sentence
// for the person at the machine.
var (
	ErrLocked  = errors.New("the store is in use")
	ErrDamaged = block.ErrDamaged
	ErrForeign = errors.New("not a skyslate store")
	ErrNewer   = errors.New("the store is of a newer skyslate")
)

// errNoDatabase is a file in the place of a store that nothing can be made of:
// another program's, or ours damaged beyond recognition.
var errNoDatabase = fmt.Errorf("%w: no database", ErrForeign)

// ErrNoSpace is a write that found no room; nothing was changed, and the store
// goes on as soon as there is room again.
var ErrNoSpace = errors.New("no space left for the store")

// ErrClosed is any call after Close.
var ErrClosed = errors.New("the store is closed")

// ErrRefused is a change that the rules of the store don't allow: a fault of the
// program, which another try would meet again. Nothing was changed.
var ErrRefused = errors.New("against the rules of the store")

// refusal is such an error in its own words.
type refusal struct{ error }

// Is makes it known as ErrRefused.
func (refusal) Is(target error) bool { return target == ErrRefused }

// Unwrap returns what was refused.
func (r refusal) Unwrap() error { return r.error }

// fault is an error of one of the kinds above that speaks for itself.
type fault struct {
	kind     error
	sentence string
}

func (f *fault) Error() string { return f.sentence }
func (f *fault) Unwrap() error { return f.kind }

func damaged(format string, args ...any) error {
	return &fault{ErrDamaged, fmt.Sprintf(format, args...)}
}

// wrap names what failed.
func wrap(doing string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", doing, err)
}

// uncertain is a transaction that may or may not be on disk.
type uncertain struct{ cause error }

func (u *uncertain) Error() string { return u.cause.Error() }
func (u *uncertain) Unwrap() error { return u.cause }

func noSpace(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) ||
		errors.Is(err, boltErrors.ErrMaxSizeReached)
}

// sayNoSpace makes a lack of space known by our name.
func sayNoSpace(err error) error {
	if noSpace(err) && !errors.Is(err, ErrNoSpace) {
		return fmt.Errorf("%w: %w", ErrNoSpace, err)
	}
	return err
}

// guard runs fn such that a fault of the memory map, which a file cut short
// causes, comes back as an error instead of ending the process. With all set,
// so does every other panic: the database library's when a page makes no sense.
func guard(all bool, fn func() error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		switch r := recover(); {
		case r == nil:
		case all || isFault(r):
			err = &fault{ErrDamaged, fmt.Sprintf("the database file can't be read: %v", r)}
		default:
			panic(r)
		}
	}()
	return fn()
}

// isFault tells a fault of the memory map from a mistake in a program: only
// the former knows an address.
func isFault(r any) bool {
	_, ok := r.(interface{ Addr() uintptr })
	return ok
}
