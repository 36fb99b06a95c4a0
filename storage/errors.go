package storage

import (
	"errors"

	"skyslate/storage/block"
	"skyslate/storage/database"
)

// What Open, OpenForRead and Verify refuse: the error's own text is a sentence
// for the person at the machine.
var (
	ErrLocked  = database.ErrLocked
	ErrDamaged = block.ErrDamaged
	ErrForeign = database.ErrForeign
	ErrNewer   = errors.New("the store is of a newer skyslate")
)

// ErrNoSpace is a write that found no room; nothing was changed, and the store
// goes on as soon as there is room again.
var ErrNoSpace = database.ErrNoSpace

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

// uncertain is a transaction that may or may not be on disk.
type uncertain struct{ cause error }

func (u *uncertain) Error() string { return u.cause.Error() }
func (u *uncertain) Unwrap() error { return u.cause }
