package filing

import (
	"slices"
	"time"

	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// How far a line may be from the pass it belongs to.
const (
	// LookBack is how long the last pass stays the one that lines belong to.
	LookBack = 12 * time.Hour
	// KnownBack is how far back a line may name a day whose passes it can be of: a date before
	// that is one of a list.
	KnownBack = 8 * Day
	// LookAhead is how long before AOS a bird may be named.
	LookAhead = 20 * time.Minute
	// Lingering is how long after LOS a line may still be of the pass, where no
	// other bird is up.
	Lingering = 5 * time.Minute
	// Lately is how long after LOS a line is taken to be of a pass on which nothing was written
	// down: who writes hours later may mean any.
	Lately = 3 * time.Hour
	// HoldsSet is how long a pass holds that was chosen after it had set.
	HoldsSet = 5 * time.Minute
	// EarlySlack is how long before the AOS worked out a bird may be heard.
	EarlySlack = 30 * time.Second
	// TypingSlack is how long after a contact its line may be sent: common practice,
	// no source.
	TypingSlack = 5 * time.Minute

	Day = 24 * time.Hour
)

// Facts is what deriving leans on beside the evidence. Its functions must give
// the same answer whenever they are asked about the same sitting.
type Facts struct {
	Own []storage.OwnSide // what the operator's call and grids were, by Since
	// Passes are those any part of which lies in [from, to), by AOS.
	Passes func(from, to time.Time) []storage.Pass
	// Pass finds a pass by its ID.
	Pass func(storage.PassID) (storage.Pass, bool)
	// Listed reports whether a pass is of a bird that the operator works.
	Listed func(storage.Pass) bool
	// Bird finds a bird by one of its names, Catalogued by its catalog number.
	Bird       func(name string) (predict.Bird, bool)
	Catalogued func(catalog int) (predict.Bird, bool)
	// Predicted reports whether passes of a bird could be worked out.
	Predicted func(predict.Bird) bool
	Names     []string // of birds, as lines may tell them
	// Read reads lines as parse.Read does; what it returns is shared.
	Read func(string, parse.Known) []parse.Line
	// Zone is the time zone of the place of an own side.
	Zone func(storage.OwnSide) *time.Location
	// Numbered is the contact of a number on a pass, of those that messages before
	// one told; not known where another sitting holds it.
	Numbered func(pass storage.PassID, n int, before int64) (storage.ContactKey, bool)
	// Meant are the contacts that a line was found to mean when it was first heard, by what
	// names the line.
	Meant func(line string, find func() []storage.ContactKey) []storage.ContactKey
	// Elsewhere are the contacts of a pass that another sitting holds, by ID; none of "".
	Elsewhere func(storage.PassID) []storage.Contact

	Worked    func(parse.Callsign) []parse.Grid
	Confirmed func(parse.Callsign) bool
	Endings   func(string) []parse.Callsign
	Heads     func(string) []parse.Callsign
	Expected  func(storage.PassID) []parse.Station
	// Peers are the stations that may be on a pass at a moment because they say so of
	// themselves, whose call begins with a part or ends in it: first candidates, and no
	// more. It may be nil.
	Peers func(pass storage.Pass, at time.Time, part string, ends bool) []parse.Station
	// Reached reports whether a bird could serve a grid on a pass, in the part of it
	// between two moments; known is false where that can't be told.
	Reached func(pass storage.Pass, grid parse.Grid, from, to time.Time) (reached, known bool)
	// Dials are the receive and transmit MHz that go with a stated frequency on
	// a pass at a moment.
	Dials func(pass storage.Pass, bird predict.Bird, when time.Time, mhz float64, side predict.Side) (down, up float64, ok bool)
}

// localZone is the zone of a time that a message says to be local. A time of a pass is one
// of the place from where the pass is seen, as it is where passes are asked for: on an armed
// outing that is the outing's, wherever the operator types it and whatever place is set. It
// is what watches showed there. A time of no pass is one of the place set.
func (f *Facts) localZone(clock parse.Clock, said *storage.Evidence) *time.Location {
	for _, pass := range slices.Backward(f.Passes(said.At.Add(-LookBack), said.At.Add(LookAhead))) {
		if len(pass.Place.Grids) == 0 {
			continue
		}
		loc := f.Zone(storage.OwnSide{Grids: pass.Place.Grids, Zone: pass.Place.Zone})
		if timing.Fits(pass, timing.NearestIn(clock, loc, pass.TCA)) {
			return loc
		}
	}
	return f.Zone(f.OwnAt(said.At, said, storage.Pass{}))
}

// once answers a question about passes that was asked before with the same list,
// which nobody changes: a heap asks the same for each of its lines.
func once(passes func(from, to time.Time) []storage.Pass) func(from, to time.Time) []storage.Pass {
	known := map[[2]time.Time][]storage.Pass{}
	return func(from, to time.Time) []storage.Pass {
		span := [2]time.Time{from, to}
		all, asked := known[span]
		if !asked {
			all = passes(from, to)
			known[span] = all
		}
		return all
	}
}

// OwnAt is the operator's own side at a moment, as far as it was told when a
// message came. Before the first one known it is that one, but for the place: then
// it is where the pass was worked out for.
func (f *Facts) OwnAt(when time.Time, said *storage.Evidence, pass storage.Pass) storage.OwnSide {
	told := f.Own[:min(max(said.Own, 1), len(f.Own))]
	if len(told) == 0 {
		return storage.OwnSide{}
	}
	if last := told[len(told)-1]; !when.Before(said.At) {
		return last
	}
	own := told[0]
	if when.Before(own.Since) && len(pass.Place.Grids) > 0 {
		own.Grids = pass.Place.Grids
	}
	for _, o := range told[1:] {
		if !when.Before(o.Since) {
			own = o
		}
	}
	return own
}
