// Package memo keeps how texts were read, so that a log which is derived anew at each
// event doesn't read every line again.
package memo

import (
	"slices"

	"skyslate/parse"
)

// Readings keeps how texts were read, because a log that is derived anew at each event
// reads the same lines with nearly the same knowledge. It is exact: a reading is given
// again only for the same text and values, and if what reading asked of the functions
// is answered as it was. Nobody may change what a reading refers to. The zero value
// keeps nothing yet; one goroutine at a time may use it.
type Readings struct {
	kept map[string][]reading // by text
}

const (
	mostTexts    = 2048
	mostReadings = 3   // of a text
	mostKept     = 100 // bytes of a text: longer ones come once
)

// reading is how a text was read, and all that this leaned on.
type reading struct {
	lines     []parse.Line
	known     parse.Known // without its functions
	confirmed answers[parse.Callsign, bool]
	worked    answers[parse.Callsign, []parse.Grid]
	suffix    answers[string, []parse.Callsign]
	prefix    answers[string, []parse.Callsign]
	reachable answers[parse.Grid, bool]
}

// Read is [parse.Read], from what is kept where that holds.
func (m *Readings) Read(text string, known parse.Known) []parse.Line {
	if len(text) > mostKept {
		return parse.Read(text, known)
	}
	kept := m.kept[text]
	for i := range kept {
		if kept[i].holds(&known) {
			return kept[i].lines
		}
	}
	var r reading
	r.known = known
	r.known.Confirmed, known.Confirmed = nil, r.confirmed.of(known.Confirmed)
	r.known.Worked, known.Worked = nil, r.worked.of(known.Worked)
	r.known.Suffix, known.Suffix = nil, r.suffix.of(known.Suffix)
	r.known.Prefix, known.Prefix = nil, r.prefix.of(known.Prefix)
	r.known.Reachable, known.Reachable = nil, r.reachable.of(known.Reachable)
	r.lines = parse.Read(text, known)
	if m.kept == nil || len(m.kept) >= mostTexts {
		m.kept = map[string][]reading{}
	}
	m.kept[text] = append([]reading{r}, kept[:min(len(kept), mostReadings-1)]...)
	return r.lines
}

// holds reports whether a text would be read as it was with what is known now.
func (r *reading) holds(k *parse.Known) bool {
	o := &r.known
	same := func(a, b parse.Station) bool { return a.Call == b.Call && slices.Equal(a.Grids, b.Grids) }
	return o.Own == k.Own && o.Linear == k.Linear && o.Date == k.Date && o.Under == k.Under &&
		slices.Equal(o.OwnGrids, k.OwnGrids) && slices.Equal(o.Birds, k.Birds) &&
		slices.EqualFunc(o.Heard, k.Heard, same) && slices.EqualFunc(o.Expected, k.Expected, same) &&
		r.confirmed.hold(k.Confirmed, func(a, b bool) bool { return a == b }) &&
		r.worked.hold(k.Worked, slices.Equal) && r.suffix.hold(k.Suffix, slices.Equal) &&
		r.prefix.hold(k.Prefix, slices.Equal) &&
		r.reachable.hold(k.Reachable, func(a, b bool) bool { return a == b })
}

// answers are what a function was asked and said, if there was one.
type answers[K comparable, V any] struct {
	asked bool
	said  map[K]V
}

// of is a function whose answers are noted.
func (a *answers[K, V]) of(ask func(K) V) func(K) V {
	if a.asked = ask != nil; !a.asked {
		return nil
	}
	a.said = map[K]V{}
	return func(k K) V {
		a.said[k] = ask(k)
		return a.said[k]
	}
}

// hold reports whether a function says the same now.
func (a *answers[K, V]) hold(ask func(K) V, same func(V, V) bool) bool {
	if a.asked != (ask != nil) {
		return false
	}
	for k, said := range a.said {
		if !same(said, ask(k)) {
			return false
		}
	}
	return true
}
