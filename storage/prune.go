package storage

import (
	"bytes"
	"errors"
	"slices"
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
		removeWhere(s, inSeen, func(_ []byte, seen sighting) bool { return seen.At.Before(now.Add(-seenFor)) }),
		removeWhere(s, inPosts, func(_ []byte, p outPost) bool {
			return !p.owed() && p.Ended.Before(now.Add(-postsFor))
		}),
	))
}

// What is removed from a large bucket is looked for in transactions that only read and
// removed in short ones, between which work goes on.
const (
	readAtOnce    = 5000
	removedAtOnce = 200
)

// removeWhere removes the values of a bucket that are not wanted any more, with what
// belongs to them elsewhere.
func removeWhere[T any](s *Store, name string, unwanted func(key []byte, v T) bool) error {
	for next := []byte{}; next != nil; {
		var found [][]byte
		err := s.read(func(t *tx) {
			n, from := 0, next
			next = nil
			for k, text := range t.In(name).Up(from, nil) {
				if n++; n > readAtOnce {
					next = bytes.Clone(k)
					return
				}
				if v, ok := table.Read[T](t.In(name), k, text); ok && unwanted(k, v) {
					found = append(found, bytes.Clone(k))
				}
			}
		})
		for some := range slices.Chunk(found, removedAtOnce) {
			if err == nil {
				err = s.update(func(t *tx) {
					for _, k := range some {
						if v, still := table.Get[T](t.In(name), k); still && unwanted(k, v) {
							t.remove(name, k)
						}
					}
				})
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// remove removes a value with what belongs to it elsewhere.
func (t *tx) remove(name string, k []byte) {
	switch name {
	case inPosts:
		p, _ := table.Get[outPost](t.In(inPosts), k)
		t.deletePost(p)
	case inAgenda:
		itemRecords.remove(t, k)
	default:
		t.In(name).Delete(k)
	}
}
