//go:build unix

package main

import (
	"os"
	"syscall"
	"testing"
	"time"
)

func TestZZSeed(t *testing.T) {
	l := newLoad(t)
	dir := "/dev/shm/store10k"
	os.RemoveAll(dir)
	l.data = dir
	for i := range l.args {
		if l.args[i] == "-data" {
			l.args[i+1] = dir
		}
	}
	seedLoad(t, dir, l.sky, len(l.phones))
	l.start()
	l.rest("plan")
	l.end(syscall.SIGTERM)
	_ = time.Now
}
