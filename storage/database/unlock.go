//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package database

import (
	"os"
	"syscall"
)

// unlock frees the library's lock on a file. To close the file is not enough: its
// memory map holds on to it.
func unlock(fd *os.File) error { return syscall.Flock(int(fd.Fd()), syscall.LOCK_UN) }
