package filing

import (
	"cmp"
	"iter"
	"slices"
	"strings"
	"time"

	"skyslate/bot/lists"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/storage"
)

// What a phone without coverage held back comes in later, all at once, stamped
// with the time of arrival.
const (
	// manyLines are more contacts than a thumb sends at once after a pause.
	manyLines = 3
	// perContact is what a contact takes at least, two overs of eight seconds:
	// common practice, no source.
	perContact = 16 * time.Second
	// perOver is the least time that a contact can have been made in.
	perOver = 8 * time.Second
)

// A weighing says whether a delivery was held back by the phone, so that its stamps
// say nothing, and which passes it can belong to then.
type weighing struct {
	Held   bool
	rivals []storage.Pass
	pulled map[*Line]storage.PassID
	rested bool         // left is known
	left   storage.Pass // of the silence, for what names neither bird nor time
}

// Weigh says whether a delivery was held back, and which passes it can belong to:
// those since the phone was last heard that had room for it, the one that was
// under way then among them, and the one that is up.
func (f *Finder) Weigh(v *Delivery) {
	v.weighing = weighing{}
	atOnce := v.bunch()
	if v.Silent.IsZero() || v.contacts == 0 || f.Hold != nil && f.Hold.Pass.Up(v.Silent) && f.Hold.Pass.Up(v.Began) {
		return // also while a bird was up all along that was chosen by hand
	}
	room := time.Duration(v.contacts) * perOver
	from := timing.Later(v.Silent, v.Began.Add(-LookBack))
	up := f.upFor(v)
	passes := lists.Filter(f.Passes(from, v.Began.Add(EarlySlack)), func(p storage.Pass) bool {
		if Holds(up, p.ID) {
			return false
		}
		fits := timing.Earlier(p.LOS, v.Began).Sub(timing.Later(p.AOS, from)) >= room
		return fits && (p.Followed() || p.AOS.Before(from) && f.past.WorkedOn(p.ID))
	})
	if len(passes) == 0 {
		f.goesOn(v)
		return
	}
	need, live := time.Duration(atOnce)*perContact, time.Duration(0)
	for _, p := range up {
		live = max(live, v.Began.Sub(timing.Later(p.AOS, from)))
		if !p.Up(v.Began) {
			live = need // named just before it rises
		}
	}
	// A contact alone speaks for no earlier pass, also where it took less than two overs.
	if len(up) > 0 && (atOnce <= 1 || atOnce < manyLines && need <= live) {
		return
	}
	v.Held, v.rivals = true, append(passes, up...)
	f.pull(v)
}

// typed is the least that a line takes to type: common practice, no source.
const typed = 2 * time.Second

// bunch marks the lines that came faster than they can have been typed, and hold more
// contacts than a thumb sends at once: their stamps say when the phone was heard again. It
// returns the most stations that came so.
func (v *Delivery) bunch() (most int) {
	for i := 0; i < len(v.Lines); {
		n, end, stations := 0, i, map[string]bool{}
		for ; end < len(v.Lines) && (end == i || v.Lines[end].At().Sub(v.Lines[end-1].At()) < typed); end++ {
			n += v.Lines[end].contacts()
			v.Lines[end].count(stations)
		}
		most = max(most, len(stations))
		paused := v.Silent.IsZero() || v.Lines[i].At().Sub(v.Silent) >= manyLines*perContact
		for _, l := range v.Lines[i:end] {
			l.Bunched = paused && n >= manyLines
		}
		i = end
	}
	return most
}

// restOf is how soon after a delivery that was held back the rest of it comes.
const restOf = time.Minute

// goesOn lets a delivery right behind one that was held back be the rest of that,
// if it has more contacts than can have been made in between.
func (f *Finder) goesOn(v *Delivery) {
	before := f.before(v, max(0, slices.Index(f.Deliveries, v)))
	if before != nil && before.Held && v.Began.Sub(before.Began) < restOf && time.Duration(v.contacts)*perOver > v.Began.Sub(v.Silent) {
		v.Held, v.rivals = true, before.rivals
		f.pull(v)
	}
}

// upFor are the passes that a delivery sent at once can be of: what is up, named in
// it or not.
func (f *Finder) upFor(v *Delivery) []storage.Pass {
	up := f.up(v.Began)
	also := func(p storage.Pass) {
		if (p.Up(v.Began) || p.Up(v.Began.Add(timing.ClockSlack))) && !Holds(up, p.ID) {
			up = append(up, p)
		}
	}
	if f.Hold != nil {
		also(f.Hold.Pass)
	}
	for _, p := range f.Passes(v.Began, v.Began.Add(timing.ClockSlack)) {
		if slices.ContainsFunc(v.Lines, func(l *Line) bool { return l.Bird != nil && l.Bird.Catalog == p.Bird.Catalog }) {
			also(p)
		}
	}
	return up
}

// pull lets a time told beside a contact say which pass the lines next to it are
// of, as far as no name or time of a line of its own stands between.
func (f *Finder) pull(v *Delivery) {
	v.pulled = map[*Line]storage.PassID{}
	if !v.cameAtOnce() {
		return
	}
	told := make([]storage.PassID, len(v.Lines))
	for i, l := range v.Lines {
		if clock := l.Inline(); clock.IsSet() && l.Bird == nil {
			if m, ok := f.byClock(l, clock, Match{}); ok {
				told[i] = m.Pass.ID
			}
		}
	}
	// The lines below a time first.
	for _, lines := range []iter.Seq2[int, *Line]{slices.All(v.Lines), slices.Backward(v.Lines)} {
		var id storage.PassID
		for i, l := range lines {
			switch {
			case told[i] != "":
				id = told[i]
			case l.own():
				id = ""
			case id != "" && v.pulled[l] == "":
				v.pulled[l] = id
			}
		}
	}
}

// ofDelivery matches a line that was held back and names neither bird nor time.
func (f *Finder) ofDelivery(l *Line) Match {
	v := l.Message.Delivery
	if pass, ok := f.Pass(v.pulled[l]); ok {
		return late(f.Under(pass, ByPull))
	}
	if !v.rested {
		v.rested = true
		if v.cameAtOnce() {
			v.left = f.rest(v)
		}
	}
	if v.left.ID != "" {
		return late(f.Under(v.left, ByRest))
	}
	if f.longPast(l, v.rivals) && (len(v.rivals) == 1 || v.contacts < manyLines) {
		at := l.At()
		ended := lists.Filter(f.Passes(at.Add(-Lingering), at), func(p storage.Pass) bool { return !p.LOS.After(at) && f.Listed(p) })
		return f.longAfter(l, f.justSet(ended, v.rivals, at))
	}
	return late(f.amid(v.rivals, ByDelivery))
}

// cameAtOnce reports whether nobody can have seen, between two lines, what was asked of the
// first: then no line settles that for another.
func (v *Delivery) cameAtOnce() bool {
	for i, l := range v.Lines {
		if i > 0 && l.At().Sub(v.Lines[i-1].At()) >= typed {
			return false
		}
	}
	return true
}

// rest is the first pass of a silence, for the lines before any name or time, if
// every later one has lines that are told by name or time.
func (f *Finder) rest(v *Delivery) storage.Pass {
	var used []storage.PassID
	for _, l := range v.Lines {
		if l.own() && l.Tells() {
			used = append(used, f.Match(l, cmp.Or(l.Inline(), l.Clock)).Pass.ID)
		}
	}
	left := lists.Filter(v.rivals, func(p storage.Pass) bool { return !slices.Contains(used, p.ID) })
	if len(used) == 0 || len(left) != 1 || left[0].ID != v.rivals[0].ID {
		return storage.Pass{}
	}
	return left[0]
}

// HeadedBy reports whether a line stands alone at its moment, or above contacts that
// all count from a slate.
func (v *Delivery) HeadedBy(l *Line) bool {
	for _, other := range v.Lines {
		if other == l || !other.At().Equal(l.At()) || strings.TrimSpace(other.Text) == "" {
			continue
		}
		plain := func(c parse.Contact) bool { return !c.Offset.IsSet() }
		if other.order < l.order || other.order == l.order && other.Row < l.Row || len(other.Look.Contacts) == 0 || slices.ContainsFunc(other.Look.Contacts, plain) {
			return false
		}
	}
	return true
}
