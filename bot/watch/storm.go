package watch

import (
	"math"
	"time"
)

// Many follow the same pass from places where it rises within seconds, so their
// reminders fall due together: a storm. Where more do than go out in time, they
// begin up to Earliest before their moment, so that none is more than latest
// behind it. With the usual lead of ten minutes they come from 15 to 8 minutes
// before AOS.
const (
	Earliest = 5 * time.Minute
	latest   = 2 * time.Minute
)

// Ahead is how many of the reminders that fall due at those moments, in order,
// must go before next: without them some would be too late, because the rate and
// the posts that are owed already let each out no sooner than its turn comes.
func Ahead(due []time.Time, next time.Time, owed int, perSecond float64) (n int) {
	for i, at := range due {
		out := next.Add(time.Duration(float64(owed+i+1) / perSecond * float64(time.Second)))
		if late := out.Sub(at.Add(latest)); late > 0 {
			n = max(n, int(math.Ceil(late.Seconds()*perSecond)))
		}
	}
	return min(n, len(due))
}
