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

// What calls of an open store return.
var (
	// ErrNoSpace is a write that found no room; nothing was changed, and the store
	// goes on as soon as there is room again.
	ErrNoSpace = database.ErrNoSpace
	// ErrClosed is any call after Close.
	ErrClosed = database.ErrClosed
	// ErrRefused is a change that the rules of the store don't allow: a fault of the
	// program, which another try would meet again. Nothing was changed.
	ErrRefused = database.ErrRefused
)
