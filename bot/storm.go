package bot

import (
	"math"
	"time"

	"skyslate/bot/tx"
	"skyslate/storage"
)

// Many follow the same pass from places where it rises within seconds, so their
// reminders fall due together: a storm. Where more do than go out in time, they
// begin up to earliest before their moment, so that none is more than latest
// behind it. With the usual lead of ten minutes they come from 15 to 8 minutes
// before AOS.
const (
	earliest = 5 * time.Minute
	latest   = 2 * time.Minute
)

// Ahead returns the reminders, by their keys, that are to be given between now
// and the next look, although they fall due later: so many posts go out in a
// second.
func (d *Desk) Ahead(now time.Time, look time.Duration, perSecond float64) ([]string, error) {
	planned, err := d.store.Planned(tx.MomentRemind+"/", now, now.Add(earliest))
	if err != nil {
		return nil, err
	}
	due := make([]time.Time, len(planned))
	for i, it := range planned {
		due[i] = it.At
	}
	owed := d.store.OwedOf(storage.ClassReminder)
	var keys []string
	for _, it := range planned[:ahead(due, now.Add(look), owed, perSecond)] {
		keys = append(keys, it.Key)
	}
	return keys, nil
}

// ahead is how many of the reminders that fall due at those moments, in order,
// must go before next: without them some would be too late, because the rate and
// the posts that are owed already let each out no sooner than its turn comes.
func ahead(due []time.Time, next time.Time, owed int, perSecond float64) (n int) {
	for i, at := range due {
		out := next.Add(time.Duration(float64(owed+i+1) / perSecond * float64(time.Second)))
		if late := out.Sub(at.Add(latest)); late > 0 {
			n = max(n, int(math.Ceil(late.Seconds()*perSecond)))
		}
	}
	return min(n, len(due))
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
