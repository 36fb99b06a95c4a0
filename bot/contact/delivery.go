package contact

import (
	"cmp"
	"iter"
	"slices"
	"strings"
	"time"

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
	held   bool
	rivals []storage.Pass
	pulled map[*line]storage.PassID
	rested bool         // left is known
	left   storage.Pass // of the silence, for what names neither bird nor time
}

// weigh says whether a delivery was held back, and which passes it can belong to:
// those since the phone was last heard that had room for it, the one that was
// under way then among them, and the one that is up.
func (f *finder) weigh(v *delivery) {
	v.weighing = weighing{}
	atOnce := v.bunch()
	if v.silent.IsZero() || v.contacts == 0 || f.hold != nil && f.hold.pass.Up(v.silent) && f.hold.pass.Up(v.began) {
		return // also while a bird was up all along that was chosen by hand
	}
	room := time.Duration(v.contacts) * perOver
	from := timing.Later(v.silent, v.began.Add(-LookBack))
	up := f.upFor(v)
	passes := filter(f.Passes(from, v.began.Add(EarlySlack)), func(p storage.Pass) bool {
		if holds(up, p.ID) {
			return false
		}
		fits := timing.Earlier(p.LOS, v.began).Sub(timing.Later(p.AOS, from)) >= room
		return fits && (p.Followed() || p.AOS.Before(from) && f.past.workedOn(p.ID))
	})
	if len(passes) == 0 {
		f.goesOn(v)
		return
	}
	need, live := time.Duration(atOnce)*perContact, time.Duration(0)
	for _, p := range up {
		live = max(live, v.began.Sub(timing.Later(p.AOS, from)))
		if !p.Up(v.began) {
			live = need // named just before it rises
		}
	}
	// A contact alone speaks for no earlier pass, also where it took less than two overs.
	if len(up) > 0 && (atOnce <= 1 || atOnce < manyLines && need <= live) {
		return
	}
	v.held, v.rivals = true, append(passes, up...)
	f.pull(v)
}

// typed is the least that a line takes to type: common practice, no source.
const typed = 2 * time.Second

// bunch marks the lines that came faster than they can have been typed, and hold more
// contacts than a thumb sends at once: their stamps say when the phone was heard again. It
// returns the most stations that came so.
func (v *delivery) bunch() (most int) {
	for i := 0; i < len(v.lines); {
		n, end, stations := 0, i, map[string]bool{}
		for ; end < len(v.lines) && (end == i || v.lines[end].at().Sub(v.lines[end-1].at()) < typed); end++ {
			n += v.lines[end].contacts()
			v.lines[end].count(stations)
		}
		most = max(most, len(stations))
		paused := v.silent.IsZero() || v.lines[i].at().Sub(v.silent) >= manyLines*perContact
		for _, l := range v.lines[i:end] {
			l.bunched = paused && n >= manyLines
		}
		i = end
	}
	return most
}

// restOf is how soon after a delivery that was held back the rest of it comes.
const restOf = time.Minute

// goesOn lets a delivery right behind one that was held back be the rest of that,
// if it has more contacts than can have been made in between.
func (f *finder) goesOn(v *delivery) {
	before := f.before(v, max(0, slices.Index(f.deliveries, v)))
	if before != nil && before.held && v.began.Sub(before.began) < restOf && time.Duration(v.contacts)*perOver > v.began.Sub(v.silent) {
		v.held, v.rivals = true, before.rivals
		f.pull(v)
	}
}

// upFor are the passes that a delivery sent at once can be of: what is up, named in
// it or not.
func (f *finder) upFor(v *delivery) []storage.Pass {
	up := f.up(v.began)
	also := func(p storage.Pass) {
		if (p.Up(v.began) || p.Up(v.began.Add(timing.ClockSlack))) && !holds(up, p.ID) {
			up = append(up, p)
		}
	}
	if f.hold != nil {
		also(f.hold.pass)
	}
	for _, p := range f.Passes(v.began, v.began.Add(timing.ClockSlack)) {
		if slices.ContainsFunc(v.lines, func(l *line) bool { return l.bird != nil && l.bird.Catalog == p.Bird.Catalog }) {
			also(p)
		}
	}
	return up
}

// pull lets a time told beside a contact say which pass the lines next to it are
// of, as far as no name or time of a line of its own stands between.
func (f *finder) pull(v *delivery) {
	v.pulled = map[*line]storage.PassID{}
	told := make([]storage.PassID, len(v.lines))
	for i, l := range v.lines {
		if clock := l.inline(); clock.IsSet() && l.bird == nil {
			if m, ok := f.byClock(l, clock, Match{}); ok {
				told[i] = m.Pass.ID
			}
		}
	}
	// The lines below a time first.
	for _, lines := range []iter.Seq2[int, *line]{slices.All(v.lines), slices.Backward(v.lines)} {
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
func (f *finder) ofDelivery(l *line) Match {
	v := l.message.delivery
	if pass, ok := f.Pass(v.pulled[l]); ok {
		return late(f.under(pass, ByPull))
	}
	if !v.rested {
		v.rested = true
		v.left = f.rest(v)
	}
	if v.left.ID != "" {
		return late(f.under(v.left, ByRest))
	}
	return late(f.amid(v.rivals, ByDelivery))
}

// rest is the first pass of a silence, for the lines before any name or time, if
// every later one has lines that are told by name or time.
func (f *finder) rest(v *delivery) storage.Pass {
	var used []storage.PassID
	for _, l := range v.lines {
		if l.own() && l.tells() {
			used = append(used, f.match(l, cmp.Or(l.inline(), l.clock)).Pass.ID)
		}
	}
	left := filter(v.rivals, func(p storage.Pass) bool { return !slices.Contains(used, p.ID) })
	if len(used) == 0 || len(left) != 1 || left[0].ID != v.rivals[0].ID {
		return storage.Pass{}
	}
	return left[0]
}

// headedBy reports whether a line stands alone at its moment, or above contacts that
// all count from a slate.
func (v *delivery) headedBy(l *line) bool {
	for _, other := range v.lines {
		if other == l || !other.at().Equal(l.at()) || strings.TrimSpace(other.text) == "" {
			continue
		}
		plain := func(c parse.Contact) bool { return !c.Offset.IsSet() }
		if other.order < l.order || other.order == l.order && other.row < l.row || len(other.look.Contacts) == 0 || slices.ContainsFunc(other.look.Contacts, plain) {
			return false
		}
	}
	return true
}
