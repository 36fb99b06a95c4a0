package storage

import "time"

// Next is the earliest moment on the agenda.
func (s *Store) Next() (at time.Time, ok bool, err error) {
	err = s.read(func(t tx) error {
		return t.eachItem(func(i Item) (more bool) {
			at, ok = i.At, true
			return false
		})
	})
	return at, ok, err
}

// Due are the items on the agenda up to now, in order. Committing an item's key
// takes it off.
func (s *Store) Due(now time.Time) (due []Item, err error) {
	err = s.read(func(t tx) error {
		return t.eachItem(func(i Item) (more bool) {
			if !i.At.After(now) {
				due = append(due, i)
			}
			return !i.At.After(now)
		})
	})
	return due, err
}

// eachItem visits the agenda in order, until visit says stop.
func (t tx) eachItem(visit func(Item) (more bool)) error {
	c := t.in(inAgendaByTime).Cursor()
	for k, _ := c.First(); k != nil; k, _ = c.Next() {
		item, ok, err := get[Item](t.in(inAgenda), k[timeKeyLen:])
		if err != nil || !ok || !visit(item) {
			return err
		}
	}
	return nil
}

func (t tx) putItem(i Item) error { return itemRecords.put(t, i) }

// cancel takes an item off the agenda if it is there.
func (t tx) cancel(itemKey string) error { return itemRecords.remove(t, textKey(itemKey)) }
