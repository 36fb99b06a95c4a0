package tx

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/lists"
	"skyslate/bot/sky"
	"skyslate/bot/timing"
	"skyslate/predict"
	"skyslate/storage"
)

// passesBack is how far back passes are known that nothing is stored of: as far as
// messages are edited, answered or come late, and the elements of now tell those
// passes to seconds.
const passesBack = 7 * Day

// movedBy is by how much fresher elements may have moved a pass that is stored.
const movedBy = time.Hour

// PassesIn returns the passes any part of which lies in [from, to), by AOS, but
// for those that no longer take place.
func (t *Tx) PassesIn(from, to time.Time) []storage.Pass {
	return t.passesOf(t.Sky.Birds(), t.StoredIn(from.Add(-movedBy), to.Add(movedBy)), from, to)
}

// StoredIn returns the stored ones of those passes: all that are followed, worked or
// asked about.
func (t *Tx) StoredIn(from, to time.Time) []storage.Pass {
	return lists.Filter(t.AllStoredIn(from, to), func(pass storage.Pass) bool { return !pass.Void })
}

// AllStoredIn is StoredIn with those that no longer take place.
func (t *Tx) AllStoredIn(from, to time.Time) []storage.Pass {
	span := [2]time.Time{from, to}
	stored, read := t.passLists[span]
	if !read {
		stored = List(t, func() ([]storage.Pass, error) { return t.View.Passes(t.Op.ID, from, to) })
		t.passLists[span] = stored
	}
	var all []storage.Pass
	for _, pass := range stored {
		if _, changed := t.passes[pass.ID]; !changed && !t.gone[pass.ID] {
			all = append(all, pass)
		}
	}
	for _, pass := range t.passes {
		if pass.AOS.Before(to) && pass.LOS.After(from) {
			all = append(all, pass)
		}
	}
	slices.SortFunc(all, byAOS)
	return all
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

func byAOS(a, b storage.Pass) int {
	return cmp.Or(a.AOS.Compare(b.AOS), strings.Compare(string(a.ID), string(b.ID)))
}

// passesOf joins stored passes with those of birds that are worked out, by AOS.
func (t *Tx) passesOf(birds []predict.Bird, stored []storage.Pass, from, to time.Time) []storage.Pass {
	all := lists.Filter(stored, func(pass storage.Pass) bool { return pass.AOS.Before(to) && pass.LOS.After(from) })
	since, until := timing.Later(from, t.Now().Add(-passesBack)), earlier(to, t.Op.Planned)
	for _, bird := range birds {
		found, _ := t.WorkedOut(bird, since, until) // a bird without usable elements is told where birds are shown
		for _, pass := range found {
			if !slices.ContainsFunc(stored, pass.Is) {
				all = append(all, pass)
			}
		}
	}
	slices.SortFunc(all, byAOS)
	return all
}

// WorkedOut returns the passes of a bird any part of which lies in [from, to) as
// they are seen from where the operator is, was or will be: at the place of an armed
// outing the passes that culminate in its span, else at the place that was set at
// AOS. A pass that has begun stays the one of the place where it began.
func (t *Tx) WorkedOut(bird predict.Bird, from, to time.Time) ([]storage.Pass, error) {
	var all []storage.Pass
	for _, at := range stays(t.Op, t.Now()) {
		since := timing.Later(from.Add(-movedBy), at.from) // one that set there before is none that is up here
		if !since.Before(to) || !at.until.IsZero() && at.until.Add(Day).Before(from) {
			continue
		}
		found, err := t.Sky.Passes(at.place, bird.Catalog, since, to)
		if err != nil {
			return nil, err
		}
		for _, f := range found {
			pass := PassOver(t.Op.ID, bird, f, at.place)
			if at.begins(pass, t.Op) && !slices.ContainsFunc(all, pass.Is) {
				all = append(all, pass)
			}
		}
	}
	return lists.Filter(all, func(pass storage.Pass) bool { return pass.LOS.After(from) }), nil
}

// A stay is a span at a place: that of an outing, or until the next place was set.
type stay struct {
	place       storage.Place
	from, until time.Time
	outing      int64
}

// stays are where an operator is, was and will be, as far back as that is kept.
func stays(op storage.Operator, now time.Time) []stay {
	places := op.Former
	if len(op.Place.Grids) > 0 {
		places = append(slices.Clone(places), op.Place)
	}
	var all []stay // of a pass seen from two places it is the outing's
	for _, o := range op.Outings {
		if !o.Armed.IsZero() {
			all = append(all, stay{o.Place, timing.Later(o.Armed, o.From.Add(-Day)), o.Until, o.ID})
		}
	}
	for i, place := range places {
		at := stay{place: place, from: since(op, place, now)}
		if i == 0 { // who begins a log has just worked a pass, maybe, from where they say to be
			at.from = at.from.Add(-filing.LookBack)
		}
		if i+1 < len(places) {
			at.until = places[i+1].Set
		}
		all = append(all, at)
	}
	return all
}

// since is since when an operator is known to be at a place. A clock that ran ahead may have
// set that, and was set back since.
func since(op storage.Operator, place storage.Place, now time.Time) time.Time {
	return earlier(timing.Later(place.Set, op.Joined), now)
}

// Settled is when the first place was set that is known of an operator: nobody was to be
// reminded of a pass before.
func Settled(op storage.Operator, now time.Time) time.Time {
	return since(op, slices.Concat(op.Former, []storage.Place{op.Place})[0], now)
}

// begins reports whether a pass is of a stay.
func (s stay) begins(pass storage.Pass, op storage.Operator) bool {
	if o, out := op.OutingAt(pass.TCA); out && pass.AOS.After(o.Armed) {
		return s.outing == o.ID
	}
	return s.outing == 0 && (s.until.IsZero() || pass.AOS.Before(s.until))
}

// placesKept bounds the places that are kept of one who moves.
const placesKept = 12

// Move sets another place and keeps the one before with the former ones: passes of
// before are those that were seen from there. Of the places in one square only the
// first is kept, that moves with it by seconds. The first place of all is home, and
// home is as it was when it was left last.
func Move(op *storage.Operator, to storage.Place, now time.Time) {
	former := slices.Clone(op.Former)
	n := len(former)
	here := op.Place
	if len(here.Grids) > 0 && (n == 0 || former[n-1].Grids[0].Square() != here.Grids[0].Square()) {
		former = append(former, here)
	}
	for len(former) > placesKept || len(former) > 1 && former[1].Set.Before(now.Add(-passesBack)) {
		former = former[1:]
	}
	op.Former, op.Place = former, to
	switch {
	case len(here.Grids) == 0:
		op.Home = to
	case len(op.Home.Grids) == 0, slices.Equal(here.Grids, op.Home.Grids):
		op.Home = here
	}
}

// PassOver is an operator's pass of a bird over a place as it was worked out, by its
// first name.
func PassOver(op storage.OperatorID, bird predict.Bird, f predict.Pass, place storage.Place) storage.Pass {
	place.Set, place.Confirmed, place.Asked = time.Time{}, time.Time{}, time.Time{}
	return storage.Pass{
		ID: storage.NamePass(f.AOS, bird.Catalog), Operator: op, Bird: sky.Ref(bird),
		AOS: f.AOS.Round(kept), TCA: f.TCA.Round(kept), LOS: f.LOS.Round(kept),
		PeakElDeg: math.Round(f.AtTCA.ElDeg*1e3) / 1e3, Place: place,
	}
}

// kept is how finely the moments of passes are kept, and their peaks to a thousandth of
// a degree: elements are good to about a second, and what is finer is what takes most
// room in the store.
const kept = time.Millisecond

// Pass returns a pass by its name: one that was given before fresher elements came,
// or that nothing is stored of, too.
func (t *Tx) Pass(id storage.PassID) (storage.Pass, bool) {
	if pass, ok := t.storedPass(id); ok {
		return pass, true
	}
	aos, catalog, ok := id.Read()
	bird, listed := t.Sky.ByCatalog(catalog)
	if !ok || !listed {
		return storage.Pass{}, false
	}
	// The place may have been set while the bird was up, however long ago it rose.
	from, to := aos.Add(-movedBy), aos.Add(Day)
	near := t.passesOf([]predict.Bird{bird}, t.StoredIn(from, to), from, to)
	i := slices.IndexFunc(near, func(pass storage.Pass) bool { return pass.Named(id) })
	if i < 0 {
		return storage.Pass{}, false
	}
	return near[i], true
}

func (t *Tx) storedPass(id storage.PassID) (storage.Pass, bool) {
	if pass, ok := t.passes[id]; ok {
		return pass, true
	}
	if id == "" || t.gone[id] {
		return storage.Pass{}, false
	}
	pass, read := t.storedPasses[id]
	if !read {
		pass, _ = Got(t, func() (storage.Pass, bool, error) { return t.View.Pass(t.Op.ID, id) })
		t.storedPasses[id] = pass // one that isn't there has no ID
	}
	return pass, pass.ID != ""
}

// Use says that evidence, or a question, stands on passes: they stay as they are now.
func (t *Tx) Use(ids ...storage.PassID) {
	for _, id := range ids {
		pass, ok := t.Pass(id)
		if !ok || pass.Used {
			continue
		}
		if _, stored := t.storedPass(pass.ID); !stored {
			pass.ID = id // the name that is in use
		}
		pass.Used = true
		t.PutPass(pass)
	}
}

// PutPass changes a pass, and stores it.
func (t *Tx) PutPass(pass storage.Pass) {
	t.passes[pass.ID] = pass
	delete(t.gone, pass.ID)
}

// LetGo stores nothing of a pass any more.
func (t *Tx) LetGo(pass storage.Pass) {
	delete(t.passes, pass.ID)
	t.gone[pass.ID] = true
}
