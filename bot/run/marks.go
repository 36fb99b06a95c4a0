package run

import (
	"context"
	"sync"
	"sync/atomic"
)

// marks counts rounds of work, so that one can wait until everything asked for
// so far is done without knowing what it is: a loop remembers how much had been
// asked for before it looked, and if it then finds nothing to do, that much is
// done.
type marks struct {
	asked   atomic.Uint64
	worked  atomic.Uint64 // all asked for up to here is out of the inbox; only the worker moves it
	backlog atomic.Uint64 // what had waited is in when worked reaches it; 0: not known yet

	mu    sync.Mutex
	sent  uint64        // what came of the work up to here is out, or was tried
	moved chan struct{} // closed and made anew when sent moves
}

// caughtUp marks the end of what had waited before the start. The mark stands
// before it is asked for, so that the worker can't pass it unnoticed.
func (m *marks) caughtUp() {
	m.backlog.CompareAndSwap(0, m.asked.Load()+1)
	m.asked.Add(1)
}

// backlogIn reports whether what had waited is in and worked off.
func (m *marks) backlogIn() bool {
	backlog := m.backlog.Load()
	return backlog > 0 && m.worked.Load() >= backlog
}

// sentUpTo says that nothing was left to send after the work up to mark n.
func (m *marks) sentUpTo(n uint64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if n > m.sent {
		m.sent = n
		close(m.moved)
		m.moved = make(chan struct{})
	}
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
