package sound

import (
	"math"
	"time"

	"skyslate/storage"
)

// Many follow the same pass from places where it rises within seconds, so their
// reminders fall due together: a storm. Where more do than go out in time, they
// begin up to Earliest before their moment, so that none is more than latest
// behind it. With the usual lead of ten minutes they come from 15 to 8 minutes
// before AOS. One that is taken early while another pass is at its best doesn't wait
// for the end of that, as it would else (see the package comment), but comes silently: put back, it
// would be taken again and again, and be too late in the end. And a post that waited
// its turn until such minutes makes no sound any more (Hush).
const (
	Earliest = 5 * time.Minute
	latest   = 2 * time.Minute
)

// Ahead are the keys of the reminders, of those planned in order, that must go before
// next: without them some would be too late, because the rate and the posts that are
// owed already let each out no sooner than its turn comes.
func Ahead(planned []storage.Planned, next time.Time, owed int, perSecond float64) (keys []string) {
	most := 0
	for i, it := range planned {
		out := next.Add(time.Duration(float64(owed+i+1) / perSecond * float64(time.Second)))
		if late := out.Sub(it.At.Add(latest)); late > 0 {
			most = max(most, int(math.Ceil(late.Seconds()*perSecond)))
		}
	}
	for _, it := range planned[:min(most, len(planned))] {
		keys = append(keys, it.Key)
	}
	return keys
}
