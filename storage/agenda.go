package storage

import (
	"iter"
	"time"
)

// Next is the earliest moment on the agenda.
func (s *Store) Next() (at time.Time, ok bool, err error) {
	err = s.read(func(t *tx) {
		for i := range t.items() {
			at, ok = i.At, true
			return
		}
	})
	return at, ok, err
}

// Due are the items on the agenda up to now, in order. Committing an item's key
// takes it off.
func (s *Store) Due(now time.Time) (due []Item, err error) {
	err = s.read(func(t *tx) {
		for i := range t.items() {
			if i.At.After(now) {
				return
			}
			due = append(due, i)
		}
	})
	return due, err
}

// items are the agenda in order.
func (t *tx) items() iter.Seq[Item] {
	return func(yield func(Item) bool) {
		for k := range t.in(inAgendaByTime).up(nil, nil) {
			if i, ok := get[Item](t.in(inAgenda), k[timeKeyLen:]); !ok || !yield(i) {
				return
			}
		}
	}
}

// cancel takes an item off the agenda if it is there.
func (t *tx) cancel(itemKey string) { itemRecords.remove(t, textKey(itemKey)) }
