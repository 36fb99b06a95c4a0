package parse

import (
	"slices"
	"strings"
)

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
	beside  bond = iota
	paused       // a comma, a full stop
	listed       // "and", "&"
	apart        // another contact begins
	unbound      // there is no call
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

// group makes the groups of a line, chunk by chunk: first one for each call and one
// for the grids that stand together, then pairs of them.
func (r *pairing) group() {
	r.slippedGrid()
	common := r.sharedGrid()
	var chunk []group
	for i := range r.elems {
		e := &r.elems[i]
		if i == common {
			continue
		}
		if len(chunk) > 0 {
			last := &chunk[len(chunk)-1]
			if (r.bondOf(last.to, e.from) == apart || r.denial(last.to, e.from) != nil) && r.calls() > 1 {
				r.pair(chunk)
				chunk = nil
			} else if !e.isCall() && last.call < 0 {
				r.addGrid(last, i)
				continue
			} else if r.repeats(chunk, i) {
				continue
			}
		}
		g := group{call: i, from: e.from, to: e.to}
		if !e.isCall() {
			g.call, g.grids = -1, []int{i}
		}
		chunk = append(chunk, g)
	}
	r.pair(chunk)
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
	k := slices.IndexFunc(r.hits, func(h hit) bool { return h.row.sense == shared })
	if k < 0 || r.calls() < 2 {
		return -1
	}
	return slices.IndexFunc(r.elems, func(e element) bool { return !e.isCall() && e.from == r.hits[k].last() })
}

// slippedGrid takes one of two calls without a grid for a damaged grid if it is
// nearly one, also broken by a space: "hx2abc jo3e", "hx2abc jo 3l".
func (r *pairing) slippedGrid() {
	if len(r.elems) != 2 || r.elems[0].kind != callArc || r.elems[1].kind != callArc || r.bondOf(r.elems[0].to, r.elems[1].from) > paused {
		return
	}
	nearly := func(e element) bool {
		broken := e.to == e.from+2 && e.doubt&dictated == 0
		return (e.to == e.from+1 || broken) && nearGrid(strings.ToLower(e.call.s)) && gridRun(e.call.s[:2]) == 2
	}
	if k := slices.IndexFunc(r.elems, nearly); k >= 0 && !nearly(r.elems[1-k]) {
		e := &r.elems[k]
		e.kind, e.pattern, e.call, e.rivals, e.doubt = badGrid, e.call.s, Callsign{}, nil, mended
	}
}

// has returns which of some grids says the same as element i, -1 if none does.
func (r *pairing) has(grids []int, i int) int {
	return slices.IndexFunc(grids, func(j int) bool { return r.elems[j].same(&r.elems[i]) })
}

// addGrid adds a grid to the ones beside it; of two that say the same the finer stays.
func (r *pairing) addGrid(g *group, i int) {
	e := &r.elems[i]
	if r.odd(g.to, e.from) {
		e.doubt |= eitherWay
	}
	g.to = e.to
	switch k := r.has(g.grids, i); {
	case k < 0:
		g.grids = append(g.grids, i)
	case e.grid.n > r.elems[g.grids[k]].grid.n:
		g.grids[k] = i
	}
}

// odd reports whether a word between two grids, from the first on, is none of
// those that join them.
func (r *pairing) odd(from, to int) bool {
	odd := r.words[to].gap&other != 0 // "jo31 -> jo32"
	for j := from; j < to; j++ {
		odd = odd || r.at[j].kind == skipped && r.words[j].means&(part|link|joins) == 0
	}
	return odd
}

// repeats reports whether element i is a call that only repeats one of the chunk: no
// grid follows it that none of several has.
func (r *pairing) repeats(chunk []group, i int) bool {
	if !slices.ContainsFunc(chunk, func(g group) bool { return g.call >= 0 && r.elems[g.call].same(&r.elems[i]) }) {
		return false
	}
	return len(chunk) < 2 || i+1 == len(r.elems) || r.elems[i+1].isCall() ||
		slices.ContainsFunc(chunk, func(g group) bool { return r.has(g.grids, i+1) >= 0 })
}

// pair joins the calls and the grids of a chunk. Where they take turns each call goes
// with the grids beside it, in the order of the first two; otherwise grids go to the
// call that they stand closer to, and where that is not clear nothing is.
func (r *pairing) pair(chunk []group) {
	turns, calls := len(chunk)%2 == 0, 0
	for i := range chunk {
		if chunk[i].call >= 0 {
			calls++
		}
		turns = turns && (chunk[i].call >= 0) != (chunk[i^1].call >= 0) && (chunk[i].call >= 0) == (chunk[i%2].call >= 0)
	}
	joined := make([]bool, len(chunk))
	for i := range chunk {
		g := &chunk[i]
		if g.call >= 0 {
			continue
		}
		to := i ^ 1
		if before, behind := r.bondTo(chunk, i, i-1), r.bondTo(chunk, i, i+1); !turns {
			if to = i - 1; behind < before {
				to = i + 1
			} else if before == unbound {
				g.unsure = g.unsure || calls > 0
				continue
			} else if before == behind {
				chunk[i-1].unsure, chunk[i+1].unsure = true, true
			}
		}
		call := &chunk[to]
		if len(call.grids) > 0 {
			call.unsure, g.unsure = true, true
			continue
		}
		call.grids, joined[i] = g.grids, true
		call.from, call.to = min(call.from, g.from), max(call.to, g.to)
	}
	for i := range chunk {
		g := &chunk[i]
		lone := func(k int) bool { return k >= 0 && k < len(chunk) && chunk[k].call >= 0 && len(chunk[k].grids) == 0 }
		g.unsure = g.unsure || g.call >= 0 && len(g.grids) > 0 && (lone(i-1) || lone(i+1))
		if !joined[i] {
			r.groups = append(r.groups, *g)
		}
	}
}

// bondTo returns the bond between grids and the call beside them.
func (r *pairing) bondTo(chunk []group, grids, call int) bond {
	if call < 0 || call >= len(chunk) || chunk[call].call < 0 {
		return unbound
	}
	return r.bondOf(chunk[min(grids, call)].to, chunk[max(grids, call)].from)
}

// dedupe drops groups that only repeat one before. One call with different
// grids leaves open which of them holds.
func (r *pairing) dedupe() {
	kept := r.groups[:0]
next:
	for _, g := range r.groups {
		for k := range kept {
			h := &kept[k]
			if h.call < 0 || g.call < 0 || !r.elems[h.call].same(&r.elems[g.call]) {
				continue
			}
			if !slices.ContainsFunc(g.grids, func(i int) bool { return r.has(h.grids, i) < 0 }) {
				continue next
			}
			h.unsure, g.unsure = true, true
		}
		kept = append(kept, g)
	}
	r.groups = kept
}
