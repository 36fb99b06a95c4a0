//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package database

import "os"

// unlock does nothing: the lock goes with the descriptor.
func unlock(*os.File) error { return nil }
