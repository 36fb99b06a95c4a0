package storage

import (
	"time"

	"skyslate/storage/keys"
)

// Counts is how much there is, counted without a walk through the database.
type Counts struct {
	Operators int
	Waiting   int   // in the inbox
	Owed      int   // posts
	Due       int   // on the agenda; no more than MostDue are counted
	Bytes     int64 // the size of the database
}

// MostDue is how many due moments are counted.
const MostDue = 10_000

// Counts counts as of now.
func (s *Store) Counts(now time.Time) (c Counts, err error) {
	err = s.read(func(t *tx) {
		c.Bytes = t.Size()
		for range t.In(inAgendaByTime).Up(nil, keys.Time(now.Add(1))) {
			if c.Due++; c.Due == MostDue {
				break
			}
		}
	})
	c.Operators = int(s.operators.Load())
	c.Waiting, c.Owed = s.pending.Count()
	return c, err
}
