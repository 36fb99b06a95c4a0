// Package sky knows the birds and where they are: the list, the elements and the
// tables that all operators share, and what each has over them for themselves.
package sky

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"sync"
	"time"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// Sky knows the birds and their elements. The costly part of prediction, the
// table of where a bird is, is made once per bird and shared by all operators.
// Safe for concurrent use.
type Sky struct {
	birds  []predict.Bird // with their short names
	listed []predict.Bird // as the list has them
	// under is the shared Sky below an operator's own: whose elements are the
	// fresher serves. Nil for the shared one.
	under *Sky

	mu     sync.Mutex
	sets   map[int]predict.Elements     // by catalog number
	tables map[int][]*predict.Ephemeris // by catalog number, latest used first
	found  map[int]spots                // by catalog number
}

const day = 24 * time.Hour

// keptTables bounds what one bird holds in memory: the days being planned,
// the day of the pass at hand, and room for a look elsewhere.
const keptTables = 4

// New returns a Sky of these birds, in this order, with these elements; of
// several sets of one bird the newest epoch counts.
func New(birds []predict.Bird, sets []predict.Elements) *Sky {
	s := &Sky{
		birds:  withShort(birds),
		listed: slices.Clone(birds),
		sets:   map[int]predict.Elements{},
		tables: map[int][]*predict.Ephemeris{},
		found:  map[int]spots{},
	}
	s.Replace(sets)
	return s
}

// Replace takes fresher elements. Of each bird the newest epoch wins, so older
// sets, and birds that sets doesn't name, change nothing. Predictions made
// before are not touched: whoever wants the fresher ones asks again.
func (s *Sky) Replace(sets []predict.Elements) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, e := range predict.Newest(sets) {
		if had := s.sets[e.Catalog]; e != had && !e.Epoch.Before(had.Epoch) {
			s.sets[e.Catalog] = e
			delete(s.tables, e.Catalog)
			delete(s.found, e.Catalog)
		}
	}
}

// Birds returns the birds in the order of the list.
func (s *Sky) Birds() []predict.Bird { return slices.Clone(s.birds) }

// Bird finds a bird by its name, its name in the log, another name in use or
// its catalog number. Case, hyphens and spaces do not matter.
func (s *Sky) Bird(name string) (predict.Bird, bool) { return Find(s.birds, name) }

// ByCatalog finds a bird by its catalog number.
func (s *Sky) ByCatalog(n int) (predict.Bird, bool) {
	if i := indexOf(s.birds, n); i >= 0 {
		return s.birds[i], true
	}
	return predict.Bird{}, false
}

// Orphans returns the elements that belong to no bird of the list, nor of the
// shared one, the operator's own first, by catalog number.
func (s *Sky) Orphans() []predict.Elements {
	var orphans []predict.Elements
	told := map[int]bool{}
	for at := s; at != nil; at = at.under {
		at.mu.Lock()
		sets := maps.Clone(at.sets)
		at.mu.Unlock()
		for _, catalog := range slices.Sorted(maps.Keys(sets)) {
			if !told[catalog] && !s.lists(catalog) {
				told[catalog] = true
				orphans = append(orphans, sets[catalog])
			}
		}
	}
	return orphans
}

// lists reports whether a bird is in the list, or in the shared one below.
func (s *Sky) lists(catalog int) bool {
	_, ok := s.ByCatalog(catalog)
	return ok || s.under != nil && s.under.lists(catalog)
}

// Elements returns the newest elements of a bird.
func (s *Sky) Elements(catalog int) (predict.Elements, bool) {
	e, of := s.newest(catalog)
	return e, of != nil
}

// newest finds the newest elements of a bird and the Sky that they are from, which
// keeps what is worked out of them; nil if there are none.
func (s *Sky) newest(catalog int) (e predict.Elements, of *Sky) {
	s.mu.Lock()
	e, ok := s.sets[catalog]
	s.mu.Unlock()
	if s.under != nil {
		below, of := s.under.newest(catalog)
		if of != nil && (!ok || below == e || below.Epoch.After(e.Epoch)) {
			return below, of
		}
	}
	if !ok {
		return e, nil
	}
	return e, s
}

// known is newest with an error where nothing is known of the bird.
func (s *Sky) known(catalog int) (e predict.Elements, of *Sky, err error) {
	if e, of = s.newest(catalog); of == nil {
		err = &NoElementsError{Bird: s.nameOf(catalog)}
	}
	return e, of, err
}

// Ephemeris returns a table of a bird that covers [from, to], shared with
// whoever else asks for those days. The error is a [NoElementsError], a
// [StaleError] if the elements are too old for any moment of the span, or the
// [predict.Refusal] of a set that can't be predicted.
func (s *Sky) Ephemeris(catalog int, from, to time.Time) (*predict.Ephemeris, error) {
	e, of, err := s.known(catalog)
	if err != nil {
		return nil, err
	}
	if err := s.fresh(e, from, to); err != nil {
		return nil, err
	}
	return of.tableOf(e, from, to)
}

// fresh refuses elements that are too old for a part of a span.
func (s *Sky) fresh(e predict.Elements, from, to time.Time) error {
	if age := max(e.Age(from), e.Age(to)); age > predict.MaxAge {
		return &StaleError{Bird: s.nameOf(e.Catalog), Age: age, Max: predict.MaxAge}
	}
	return nil
}

func (s *Sky) tableOf(e predict.Elements, from, to time.Time) (*predict.Ephemeris, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.table(e, from, to)
}

// table finds or makes a table of whole UTC days. The caller holds the lock:
// one that waits for a table would have to make the same one.
func (s *Sky) table(e predict.Elements, from, to time.Time) (*predict.Ephemeris, error) {
	kept := s.tables[e.Catalog]
	if len(kept) > 0 && kept[0].Elements() != e {
		kept = nil // replaced meanwhile, or asked for with those of before
	}
	for i, t := range kept {
		if a, b := t.Span(); !from.Before(a) && !to.After(b) {
			copy(kept[1:i+1], kept[:i])
			kept[0] = t
			return t, nil
		}
	}
	from = from.UTC().Truncate(day)
	to = to.UTC().Add(day - 1).Truncate(day)
	if !to.After(from) {
		to = from.Add(day)
	}
	var t *predict.Ephemeris
	var err error
	if len(kept) > 0 { // states that both cover are not computed again
		t, err = kept[0].Moved(from, to)
	} else {
		t, err = predict.NewEphemeris(e, from, to)
	}
	if err != nil {
		return nil, err
	}
	s.tables[e.Catalog] = slices.Insert(kept[:min(len(kept), keptTables-1)], 0, t)
	return t, nil
}

// Passes returns the passes of a bird over a place, down to the geometric
// horizon, any part of which lies in [from, to), and that begin and end. Where the
// elements are too old for a part of the span only the rest is searched; the errors
// are those of [Sky.Ephemeris], and [StaleError] comes only if no part is left.
//
// They are found by UTC days, and those of a place and day are kept for a while: the
// messages of a pass, and operators of the same square, ask for the same ones.
func (s *Sky) Passes(place storage.Place, catalog int, from, to time.Time) ([]predict.Pass, error) {
	e, of, err := s.known(catalog)
	if err != nil {
		return nil, err
	}
	from, to = Trusted(e, from, to)
	if err := s.fresh(e, from, to); err != nil {
		return nil, err
	}
	var all []predict.Pass
	for midnight := from.UTC().Truncate(day); midnight.Before(to); midnight = midnight.Add(day) {
		found, err := of.passesOn(e, spotDay{Site(place), midnight.Unix()}, from, to)
		if err != nil {
			return nil, err
		}
		for _, p := range found {
			again := len(all) > 0 && p.AOS.Before(all[len(all)-1].LOS) // over midnight
			if !again && p.AOS.Before(to) && p.LOS.After(from) {
				all = append(all, p)
			}
		}
	}
	return all, nil
}

// A spotDay is a UTC day, by its midnight in Unix seconds, at a place.
type spotDay struct {
	site predict.Site
	day  int64
}

// spots are the passes that were found with elements.
type spots struct {
	elements predict.Elements
	found    map[spotDay][]predict.Pass
}

// keptSpots bounds the places and days of which the passes of a bird are held in
// memory: 1.3 kB each where it passes six times.
const keptSpots = 256

// passesOn finds the passes any part of which lies in a day, as far as elements are
// trusted; from and to are the span that is asked for, which one table serves.
func (s *Sky) passesOn(e predict.Elements, at spotDay, from, to time.Time) ([]predict.Pass, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	kept := s.found[e.Catalog]
	if kept.elements != e || len(kept.found) >= keptSpots {
		kept = spots{e, map[spotDay][]predict.Pass{}}
		s.found[e.Catalog] = kept
	}
	if found, ok := kept.found[at]; ok {
		return found, nil
	}
	t, err := s.table(e, from, to)
	if err != nil {
		return nil, err
	}
	begin := time.Unix(at.day, 0).UTC()
	begin, end := Trusted(e, begin, begin.Add(day))
	kept.found[at] = slices.DeleteFunc(t.Passes(at.site, begin, end, 0), func(p predict.Pass) bool {
		return p.AOS.IsZero() || p.LOS.IsZero()
	})
	return kept.found[at], nil
}

// StalePasses is [Sky.Passes] with elements of any age, for whoever asks for it
// knowing that.
func (s *Sky) StalePasses(place storage.Place, catalog int, from, to time.Time) ([]predict.Pass, *predict.Ephemeris, error) {
	e, of, err := s.known(catalog)
	if err != nil {
		return nil, nil, err
	}
	t, err := of.tableOf(e, from, to)
	if err != nil {
		return nil, nil, err
	}
	return t.Passes(Site(place), from, to, 0), t, nil
}

// Trusted cuts a span to the part that the elements are fresh enough for; a
// span without such a part comes back as it is.
func Trusted(e predict.Elements, from, to time.Time) (time.Time, time.Time) {
	first, last := e.Epoch.Add(-predict.MaxAge), e.Epoch.Add(predict.MaxAge)
	if !from.Before(last) || !to.After(first) {
		return from, to
	}
	if from.Before(first) {
		from = first
	}
	if to.After(last) {
		to = last
	}
	return from, to
}

func (s *Sky) nameOf(catalog int) string {
	if b, ok := s.ByCatalog(catalog); ok {
		return b.Name
	}
	return strconv.Itoa(catalog)
}

// NoElementsError says that nothing is known of where a bird is.
type NoElementsError struct{ Bird string }

func (e *NoElementsError) Error() string { return "no elements for " + e.Bird }

// StaleError says that a bird's elements are too old for the moment asked for.
type StaleError struct {
	Bird     string
	Age, Max time.Duration // from the epoch to that moment, in either direction
}

func (e *StaleError) Error() string {
	return fmt.Sprintf("elements for %s are %d days from their epoch, %d are sensible",
		e.Bird, e.Age/day, e.Max/day)
}

// Site is where a place is, as package predict has it.
func Site(p storage.Place) predict.Site {
	return predict.Site{LatDeg: p.LatDeg, LonDeg: p.LonDeg, HeightM: p.HeightM}
}

// GridSite is the middle of a grid.
func GridSite(g parse.Grid) predict.Site {
	lat, lon := g.Center()
	return predict.Site{LatDeg: lat, LonDeg: lon}
}

// indexOf is where a bird stands in a list, -1 if it doesn't.
func indexOf(birds []predict.Bird, catalog int) int {
	return slices.IndexFunc(birds, func(b predict.Bird) bool { return b.Catalog == catalog })
}

// Find looks for a name among all names first, then among the names in the
// log, the others in use, and the catalog numbers, so that no bird hides
// another's proper name. A name that holds two is either.
func Find(birds []predict.Bird, name string) (predict.Bird, bool) {
	for _, name := range predict.NamesIn(name) {
		same := func(s string) bool { return predict.SameName(s, name) }
		for _, isIt := range []func(predict.Bird) bool{
			func(b predict.Bird) bool { return same(b.Name) },
			func(b predict.Bird) bool { return same(b.LogName) },
			func(b predict.Bird) bool { return slices.ContainsFunc(b.Aliases, same) },
			func(b predict.Bird) bool { return b.Catalog > 0 && same(strconv.Itoa(b.Catalog)) },
		} {
			if i := slices.IndexFunc(birds, isIt); i >= 0 {
				return birds[i], true
			}
		}
	}
	return predict.Bird{}, false
}

// Horizon is what hides the sky at a place.
func Horizon(p storage.Place) predict.Horizon {
	var h predict.Horizon
	for _, part := range p.Horizon {
		h = append(h, predict.Sector{FromDeg: part.FromDeg, ToDeg: part.ToDeg, MinElDeg: part.ElDeg})
	}
	return h
}

// ProperNames returns what the birds are called, in the order of the list.
func (s *Sky) ProperNames() []string {
	var names []string
	for _, b := range s.birds {
		names = append(names, b.Name)
	}
	return names
}

// Names returns every word that means a bird.
func (s *Sky) Names() []string {
	names := s.ProperNames()
	for _, b := range s.birds {
		if b.LogName != b.Name {
			names = append(names, b.LogName)
		}
		names = append(names, b.Aliases...)
	}
	return names
}

// Follows reports whether the rules of an operator are about a bird.
func (s *Sky) Follows(r storage.Remind, bird predict.Bird) bool {
	return Wanted(r.Birds, Ref(bird), s.birds)
}

// Followed are the names of the birds that the rules of an operator are about.
func (s *Sky) Followed(r storage.Remind) (names []string) {
	for _, bird := range s.birds {
		if s.Follows(r, bird) {
			names = append(names, bird.Name)
		}
	}
	return names
}

// OtherNames are the aliases that are more than another way to write a name told
// already.
func OtherNames(b predict.Bird) []string {
	return slices.DeleteFunc(slices.Clone(b.Aliases), func(s string) bool {
		return predict.SameName(s, b.Name) || predict.SameName(s, b.LogName)
	})
}

// Ref is a bird as contacts and passes keep it.
func Ref(b predict.Bird) storage.BirdRef {
	return storage.BirdRef{Name: b.Name, LogName: b.LogName, Catalog: b.Catalog}
}

// Wanted reports whether a bird is named, or, where none is, whether it is an
// FM bird known to be on.
func Wanted(names []string, ref storage.BirdRef, birds []predict.Bird) bool {
	if len(names) > 0 {
		return slices.ContainsFunc(names, func(name string) bool {
			b, ok := Find(birds, name)
			return ok && b.Catalog == ref.Catalog
		})
	}
	i := indexOf(birds, ref.Catalog)
	return i >= 0 && birds[i].Status.On && birds[i].Main().Kind == predict.FM
}
