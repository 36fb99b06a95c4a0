package storage

import (
	"errors"
	"time"

	"skyslate/storage/fault"
	"skyslate/storage/table"
)

// How long things are remembered after they are over.
const (
	seenFor  = 8 * 24 * time.Hour // messaging apps repeat deliveries for a day, and draw ids anew after a week
	postsFor = 60 * 24 * time.Hour
)

// Prune forgets the IDs of events seen more than 8 days ago and posts that were
// out or dropped more than 60 days ago.
func (s *Store) Prune(now time.Time) error {
	return fault.In("prune", errors.Join(
		table.Sweep(s.read, s.update, inSeen, func(_ []byte, seen sighting) bool {
			return seen.At.Before(now.Add(-seenFor))
		}, nil),
		table.Sweep(s.read, s.update, inPosts, func(_ []byte, p outPost) bool {
			return !p.owed() && p.Ended.Before(now.Add(-postsFor))
		}, dropPost),
	))
}

func dropPost(t *tx, _ []byte, p outPost) { t.deletePost(p) }
