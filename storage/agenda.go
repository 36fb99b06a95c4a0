package storage

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"skyslate/storage/fault"
	"skyslate/storage/keys"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// Next is the earliest moment on the agenda.
func (s *Store) Next() (at time.Time, ok bool, err error) {
	err = s.read(func(t *tx) {
		for k := range t.In(schema.AgendaByTime).Up(nil, nil) {
			at, ok = keys.TimeOf(k), true
			return
		}
	})
	return at, ok, err
}

// Due are the first items on the agenda up to now, at most so many, in order.
// Committing an item's key takes it off.
func (s *Store) Due(now time.Time, most int) (due []Item, err error) {
	err = s.read(func(t *tx) {
		for k := range t.In(schema.AgendaByTime).Up(nil, nil) {
			i, ok := table.Get[Item](t.In(schema.Agenda), k[keys.TimeLen:])
			if !ok || i.At.After(now) || len(due) == most {
				return
			}
			due = append(due, i)
		}
	})
	return due, err
}

// Planned is when an item of the agenda falls due.
type Planned struct {
	Key string
	At  time.Time
}

// Planned are the items whose keys begin with prefix and that fall due after a
// moment, up to another one, in order. The items themselves are not read.
func (s *Store) Planned(prefix string, after, until time.Time) (found []Planned, err error) {
	err = s.read(func(t *tx) {
		for k := range t.In(schema.AgendaByTime).Up(keys.Time(after.Add(1)), keys.Time(until.Add(1))) {
			if key := string(bytes.TrimSuffix(k[keys.TimeLen:], []byte{0})); strings.HasPrefix(key, prefix) {
				found = append(found, Planned{key, keys.TimeOf(k)})
			}
		}
	})
	return found, err
}

// Item is the item under a key.
func (s *Store) Item(key string) (it Item, ok bool, err error) {
	err = s.read(func(t *tx) { it, ok = table.Get[Item](t.In(schema.Agenda), keys.Text(key)) })
	return it, ok, err
}

// Cancel takes an item off the agenda if it is there.
func (s *Store) Cancel(itemKey string) error {
	return fault.In(fmt.Sprintf("cancel %q", itemKey), s.update(func(t *tx) { t.cancel(itemKey) }))
}

// cancel takes an item off the agenda if it is there.
func (t *tx) cancel(itemKey string) { itemRecords.Remove(t.Tx, keys.Text(itemKey)) }
