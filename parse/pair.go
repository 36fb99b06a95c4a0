package parse

import "slices"

// group is the call and the grids of one contact, as indices of elements.
type group struct {
	call     int // -1 if there is none
	grids    []int
	unsure   bool   // what belongs to what is not clear
	from, to int    // words
	whys     uint16 // by rank: what phrases say of it
	around   []*arc // words beside it that leave a doubt
}

// pairing makes groups of the elements of a line.
type pairing struct{ *reader }

// bond is how closely two elements stand together.
type bond uint8

// The bonds, closest first.
const (
	beside bond = iota
	paused      // a comma, a full stop
	listed      // "and", "&"
	apart       // another contact begins
)

// bondOf returns the bond between the words before from and those from to on.
func (r *reader) bondOf(from, to int) bond {
	b := beside
	for j := from; j <= to && j < len(r.words); j++ {
		t := &r.words[j]
		switch {
		case t.gap&semicolon != 0 || j < to && t.means&next != 0:
			return apart
		case t.gap&amp != 0 || j < to && t.means&ands != 0:
			b = max(b, listed)
		case t.gap&pause != 0:
			b = max(b, paused)
		}
	}
	return b
}

// unit is a call, or the grids that stand together.
type side struct {
	call     int // -1: grids
	grids    []int
	from, to int
}

// group pairs calls and grids, chunk by chunk.
func (r *pairing) group() {
	r.slippedGrid()
	var units []side
	common := r.sharedGrid()
	for i := range r.elems {
		e := &r.elems[i]
		if i == common {
			continue
		}
		u := side{call: -1, from: e.from, to: e.to}
		if len(units) > 0 {
			last := &units[len(units)-1]
			if r.bondOf(last.to, e.from) == apart && r.calls() > 1 {
				r.pair(units)
				units = nil
			} else if !e.isCall() && last.call < 0 {
				r.addToUnit(last, i)
				continue
			} else if e.isCall() && r.repeats(units, i) {
				continue
			}
		}
		if e.isCall() {
			u.call = i
		} else {
			u.grids = []int{i}
		}
		units = append(units, u)
	}
	r.pair(units)
	r.dedupe()
	for k := range r.groups {
		if g := &r.groups[k]; common >= 0 && g.call >= 0 && len(g.grids) == 0 {
			g.grids = []int{common}
		}
	}
}

// sharedGrid returns the element that a phrase says to be the grid of all calls
// without one, -1 if there is none: "both jo33".
func (r *pairing) sharedGrid() int {
	for k := range r.hits {
		h := &r.hits[k]
		if h.row.sense != shared || r.calls() < 2 {
			continue
		}
		return slices.IndexFunc(r.elems, func(e element) bool { return !e.isCall() && e.from == h.last() })
	}
	return -1
}

// slippedGrid takes the second of two calls without a grid for a damaged grid if
// it is nearly one: "hx2abc jo3e".
func (r *pairing) slippedGrid() {
	if len(r.elems) != 2 || r.elems[0].kind != callArc || r.elems[1].kind != callArc {
		return
	}
	nearly := func(e *element) bool {
		return e.to == e.from+1 && nearGrid(r.words[e.from].s) && gridChar(e.call.s[0], 0) && gridChar(e.call.s[1], 1)
	}
	if first, second := nearly(&r.elems[0]), nearly(&r.elems[1]); first != second && r.bondOf(r.elems[0].to, r.elems[1].from) <= paused {
		e := &r.elems[1]
		if first {
			e = &r.elems[0]
		}
		e.kind, e.pattern, e.call, e.rivals, e.doubt = badGrid, e.call.s, Callsign{}, nil, mended
	}
}

// addToUnit adds a grid to the ones beside it, unless it repeats one.
func (r *pairing) addToUnit(u *side, i int) {
	if r.odd(u.to, r.elems[i].from) {
		r.elems[i].doubt |= eitherWay
	}
	u.to = r.elems[i].to
	for k, j := range u.grids {
		if r.elems[j].same(&r.elems[i]) {
			if r.elems[i].grid.n > r.elems[j].grid.n {
				u.grids[k] = i
			}
			return
		}
	}
	u.grids = append(u.grids, i)
}

// odd reports whether a word between two grids, from the first on, is none of
// those that join them.
func (r *pairing) odd(from, to int) bool {
	if r.words[to].gap&other != 0 {
		return true // "jo31 -> jo32"
	}
	for j := from; j < to; j++ {
		if _, skips := r.skippedDoubt(j); skips && r.words[j].means&(part|link|joins) == 0 {
			return true
		}
	}
	return false
}

// repeats reports whether a call only repeats one of the units.
func (r *pairing) repeats(units []side, i int) bool {
	for _, u := range units {
		if u.call >= 0 && r.elems[u.call].same(&r.elems[i]) {
			return !r.bringsGrid(units, i+1)
		}
	}
	return false
}

// bringsGrid reports whether element i is a grid that none of the units has.
func (r *pairing) bringsGrid(units []side, i int) bool {
	if i >= len(r.elems) || r.elems[i].isCall() {
		return false
	}
	for _, u := range units {
		for _, j := range u.grids {
			if r.elems[j].same(&r.elems[i]) {
				return false
			}
		}
	}
	return len(units) > 1
}

// pair makes groups of the units of a chunk.
func (r *pairing) pair(units []side) {
	if len(units) == 0 {
		return
	}
	calls := 0
	for _, u := range units {
		if u.call >= 0 {
			calls++
		}
	}
	if 2*calls == len(units) && alternate(units) {
		for i := 0; i < len(units); i += 2 {
			r.join(units[i], units[i+1], false)
		}
		return
	}
	r.pairUneven(units, calls)
}

// alternate reports whether calls and grids take turns.
func alternate(units []side) bool {
	for i := range units {
		if (units[i].call >= 0) != (units[i%2].call >= 0) {
			return false
		}
	}
	return len(units) > 1 && (units[0].call >= 0) != (units[1].call >= 0)
}

// join makes a group of a call and grids, in either order.
func (r *pairing) join(a, b side, unsure bool) {
	if a.call < 0 {
		a.call, b.grids = b.call, a.grids
	}
	r.groups = append(r.groups, group{call: a.call, grids: b.grids, unsure: unsure, from: min(a.from, b.from), to: max(a.to, b.to)})
}

// pairUneven pairs what does not come out even: grids go to the call that they
// stand closer to, and where that is not clear nothing is.
func (r *pairing) pairUneven(units []side, calls int) {
	taken := make([]int, len(units)) // by unit: the unit it goes with, -1 none
	unsure := make([]bool, len(units))
	for i := range taken {
		taken[i] = -1
	}
	for i, u := range units {
		if u.call >= 0 {
			continue
		}
		to, clear := r.closerCall(units, i)
		if to < 0 {
			continue
		}
		if !clear {
			unsure[i-1], unsure[i+1] = true, true
		}
		if taken[to] >= 0 {
			unsure[to] = true
			continue
		}
		taken[to], taken[i] = i, to
	}
	for i, u := range units {
		switch {
		case u.call >= 0 && taken[i] >= 0:
			lone := i > 0 && units[i-1].call >= 0 && taken[i-1] < 0 || i+1 < len(units) && units[i+1].call >= 0 && taken[i+1] < 0
			r.join(u, units[taken[i]], unsure[i] || lone)
		case taken[i] < 0:
			g := group{call: u.call, grids: u.grids, unsure: unsure[i] || u.call < 0 && calls > 0, from: u.from, to: u.to}
			r.groups = append(r.groups, g)
		}
	}
}

// closerCall returns the unit of the call that grids stand closer to, -1 if
// there is none beside them, and whether that is clear.
func (r *pairing) closerCall(units []side, i int) (to int, clear bool) {
	left := i > 0 && units[i-1].call >= 0
	right := i+1 < len(units) && units[i+1].call >= 0
	switch {
	case left && right:
		l, g := r.bondOf(units[i-1].to, units[i].from), r.bondOf(units[i].to, units[i+1].from)
		if g < l {
			return i + 1, true
		}
		return i - 1, l < g
	case left:
		return i - 1, true
	case right:
		return i + 1, true
	}
	return -1, true
}

// dedupe drops groups that only repeat one before. One call with different
// grids leaves open which of them holds.
func (r *pairing) dedupe() {
	kept := r.groups[:0]
next:
	for _, g := range r.groups {
		for k := range kept {
			if r.covers(&kept[k], &g) {
				continue next
			}
			if h := &kept[k]; h.call >= 0 && g.call >= 0 && r.elems[h.call].same(&r.elems[g.call]) {
				h.unsure, g.unsure = true, true
			}
		}
		kept = append(kept, g)
	}
	r.groups = kept
}

// covers reports whether group a says all that b says.
func (r *pairing) covers(a, b *group) bool {
	if a.call < 0 || b.call < 0 || !r.elems[a.call].same(&r.elems[b.call]) {
		return false
	}
	for _, j := range b.grids {
		found := false
		for _, i := range a.grids {
			found = found || r.elems[i].same(&r.elems[j])
		}
		if !found {
			return false
		}
	}
	return true
}
