package run

import (
	"context"
	"sync"
)

// marks counts rounds of work, so that one can wait until everything asked for
// so far is done without knowing what it is: a loop remembers how much had been
// asked for before it looked, and if it then finds nothing to do, that much is
// done.
type marks struct {
	mu      sync.Mutex
	asked   uint64
	worked  uint64 // all asked for up to here is out of the inbox
	sent    uint64 // and what came of it is out, or was tried
	backlog uint64 // what had waited is in when worked reaches it; 0: not known yet
	moved   chan struct{}
}

// ask makes a new mark.
func (m *marks) ask() uint64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.asked++
	return m.asked
}

func (m *marks) latest() uint64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.asked
}

// caughtUp marks the end of what had waited before the start.
func (m *marks) caughtUp() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.asked++
	if m.backlog == 0 {
		m.backlog = m.asked
	}
}

// backlogIn reports whether what had waited is in and worked off.
func (m *marks) backlogIn() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.backlog > 0 && m.worked >= m.backlog
}

// workedUpTo says that the inbox was empty after mark n, and reports whether
// that is news.
func (m *marks) workedUpTo(n uint64) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	if n <= m.worked {
		return false
	}
	m.worked = n
	return true
}

func (m *marks) workedSoFar() uint64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.worked
}

// sentUpTo says that nothing was left to send after the work up to mark n.
func (m *marks) sentUpTo(n uint64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if n <= m.sent {
		return
	}
	m.sent = n
	close(m.moved)
	m.moved = make(chan struct{})
}

// waitSent waits until mark n is sent.
func (m *marks) waitSent(ctx context.Context, n uint64) error {
	for {
		m.mu.Lock()
		done, moved := m.sent >= n, m.moved
		m.mu.Unlock()
		if done {
			return nil
		}
		select {
		case <-moved:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}
