package bot

import (
	"time"

	"skyslate/bot/sound"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// Ahead returns the reminders, by their keys, that are to be given between now
// and the next look, although they fall due later: so many posts go out in a
// second.
func (d *Desk) Ahead(now time.Time, look time.Duration, perSecond float64) ([]string, error) {
	planned, err := d.store.Planned(tx.MomentRemind+"/", now, now.Add(sound.Earliest))
	if err != nil {
		return nil, err
	}
	return sound.Ahead(planned, now.Add(look), d.store.OwedOf(storage.ClassReminder), perSecond), nil
}

// MomentAhead handles an item of the agenda before its moment, if it is still there.
func (d *Desk) MomentAhead(key string, now time.Time) error {
	it, ok, err := d.store.Item(key)
	if err != nil || !ok {
		return err
	}
	return d.moment(it, now)
}

// Counts is how much there is to do.
func (d *Desk) Counts(now time.Time) (storage.Counts, error) { return d.store.Counts(now) }
