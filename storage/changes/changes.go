// Package changes is a history of small values by their keys: numbered changes, in any
// order and some of them twice, of which the newest of each key hold.
package changes

import "maps"

// Change is a change of a value. Rev counts all changes: of one key the highest holds.
// Reset voids all that is lower, and without a key nothing changed but the count.
type Change struct {
	Key   string  `json:"key,omitempty"`
	Value *string `json:"value,omitempty"` // nil: it was removed
	Rev   uint64  `json:"rev"`
	Reset bool    `json:"reset,omitempty"`
}

// History is the outcome of changes.
type History struct {
	Latest map[string]Change // by key
	Rev    uint64            // the highest
	Stale  int               // how many were replaced since

	reset uint64 // the Rev of the last reset
}

// New is the history of no change yet.
func New() *History { return &History{Latest: map[string]Change{}} }

// Note takes a change into the history.
func (h *History) Note(c Change) {
	if c.Reset && c.Rev > h.reset {
		h.reset = c.Rev
		maps.DeleteFunc(h.Latest, func(_ string, old Change) bool { return old.Rev < h.reset })
	}
	h.Rev = max(h.Rev, c.Rev)
	old, known := h.Latest[c.Key]
	if known || c.Rev < h.reset {
		h.Stale++
	}
	if c.Key != "" && c.Rev >= max(old.Rev, h.reset) {
		h.Latest[c.Key] = c
	}
}

// Holds reports whether a change that was noted has not been replaced.
func (h *History) Holds(c Change) bool {
	switch {
	case c.Reset && c.Rev == h.reset:
		return true
	case c.Key == "":
		return c.Rev == h.Rev
	}
	return h.Latest[c.Key].Rev == c.Rev
}
