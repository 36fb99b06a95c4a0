package bot

import (
	"time"

	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/storage"
)

// Ahead returns the reminders, by their keys, that are to be given between now
// and the next look, although they fall due later: so many posts go out in a
// second.
func (d *Desk) Ahead(now time.Time, look time.Duration, perSecond float64) ([]string, error) {
	planned, err := d.store.Planned(tx.MomentRemind+"/", now, now.Add(watch.Earliest))
	if err != nil {
		return nil, err
	}
	due := make([]time.Time, len(planned))
	for i, it := range planned {
		due[i] = it.At
	}
	owed := d.store.OwedOf(storage.ClassReminder)
	var keys []string
	for _, it := range planned[:watch.Ahead(due, now.Add(look), owed, perSecond)] {
		keys = append(keys, it.Key)
	}
	return keys, nil
}

// Early handles an item of the agenda before its moment, if it is still there.
func (d *Desk) Early(key string, now time.Time) error {
	it, ok, err := d.store.Item(key)
	if err != nil || !ok {
		return err
	}
	return d.moment(it, now)
}

// Counts is how much there is to do.
func (d *Desk) Counts(now time.Time) (storage.Counts, error) { return d.store.Counts(now) }
