// Package logtest holds what a program writes, for tests that look while it runs.
package logtest

import (
	"bytes"
	"sync"
)

// Record is what was written so far. It may be written and read from several goroutines;
// the zero value is empty.
type Record struct {
	mu sync.Mutex
	b  bytes.Buffer
}

// Write implements [io.Writer].
func (r *Record) Write(p []byte) (int, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.b.Write(p)
}

// String returns all of it.
func (r *Record) String() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.b.String()
}
