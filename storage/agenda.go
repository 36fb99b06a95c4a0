package storage

import "time"

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

func (t tx) putItem(i Item) error { return itemRecords.put(t, i) }

// cancel takes an item off the agenda if it is there.
func (t tx) cancel(itemKey string) error { return itemRecords.remove(t, textKey(itemKey)) }
