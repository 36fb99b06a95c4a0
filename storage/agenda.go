package storage

import (
	"errors"
	"time"
)

// Next is the earliest moment on the agenda.
func (s *Store) Next() (at time.Time, ok bool, err error) {
	err = s.read(func(t tx) error {
		k, _ := t.in(inAgendaByTime).Cursor().First()
		if k == nil {
			return nil
		}
		item, known, err := get[Item](t.in(inAgenda), k[timeKeyLen:])
		at, ok = item.At, known
		return err
	})
	return at, ok, err
}

// Due are the items on the agenda up to now, in order. Committing an item's key
// takes it off.
func (s *Store) Due(now time.Time) (due []Item, err error) {
	err = s.read(func(t tx) error {
		c := t.in(inAgendaByTime).Cursor()
		for k, _ := c.First(); k != nil; k, _ = c.Next() {
			item, ok, err := get[Item](t.in(inAgenda), k[timeKeyLen:])
			if err != nil || !ok || item.At.After(now) {
				return err
			}
			due = append(due, item)
		}
		return nil
	})
	return due, err
}

func (t tx) putItem(i Item) error {
	if err := t.cancel(i.Key); err != nil {
		return err
	}
	if err := mark(t.in(inAgendaByTime), itemTimeKey(i)); err != nil {
		return err
	}
	return put(t.in(inAgenda), textKey(i.Key), i)
}

// cancel takes an item off the agenda if it is there.
func (t tx) cancel(itemKey string) error {
	k := textKey(itemKey)
	old, known, err := get[Item](t.in(inAgenda), k)
	if err != nil || !known {
		return err
	}
	return errors.Join(
		t.in(inAgendaByTime).Delete(itemTimeKey(old)),
		t.in(inAgenda).Delete(k),
	)
}

func itemTimeKey(i Item) []byte { return key(timeKey(i.At), textKey(i.Key)) }
