package parse

import (
	"slices"
	"strings"
)

// element is a call, a grid or a part of one that stands in a line.
type element struct {
	kind     kind // callArc, gridArc, partCall, partGrid, badGrid
	call     Callsign
	grid     Grid
	pattern  string // of a part
	from, to int    // words
	doubt    doubt
	rivals   []*arc    // what else its words could be
	others   []element // what the line says it could be instead: "or …"
}

func (e *element) isCall() bool { return e.kind == callArc || e.kind == partCall }

// same reports whether two elements say the same; a finer grid says what a
// coarser one says.
func (e *element) same(f *element) bool {
	return e.kind == f.kind && e.call == f.call && e.pattern == f.pattern && (e.grid == f.grid || e.kind == gridArc && e.grid.Square() == f.grid.Square() && min(e.grid.n, f.grid.n) == 4)
}

// elements turns the items of the best reading into elements.
func (r *reader) elements() {
	for _, a := range r.path {
		if !a.isItem() {
			continue
		}
		e := element{kind: a.kind, from: int(a.from), to: int(a.to), doubt: a.doubt}
		s := a.text()
		switch a.kind {
		case callArc:
			e.call, _ = makeCallsign(s)
		case gridArc, tailArc:
			e.kind = gridArc
			e.grid, _ = makeGrid(upper(s))
		case callGrid, gridCall:
			r.glued(e, a)
			continue
		case partBoth:
			e.kind, e.pattern = partCall, s[:a.split]
			r.addElement(e)
			e.kind, e.pattern = partGrid, s[a.split:]
		default:
			e.pattern = s
		}
		r.addElement(e)
	}
}

// unglued returns the call and the grid of one word.
func (a *arc) unglued() (call, grid string) {
	s := a.text()
	if a.kind == gridCall {
		return s[a.split:], s[:a.split]
	}
	return s[:a.split], s[a.split:]
}

// glued adds the two elements of one word.
func (r *reader) glued(e element, a *arc) {
	call, grid := a.unglued()
	c, g := e, e
	c.kind, g.kind = callArc, gridArc
	c.call, _ = makeCallsign(call)
	g.grid, _ = makeGrid(grid)
	g.doubt &^= unusual
	if a.kind == gridCall {
		c, g = g, c
	}
	r.addElement(c)
	r.addElement(g)
}

// addElement keeps an element unless it is the operator's own call.
func (r *reader) addElement(e element) {
	if e.kind == callArc && r.known.Own.IsValid() && e.call.Base() == r.known.Own.Base() {
		r.owned, r.ownEnd = true, e.to
		return
	}
	r.elems = append(r.elems, e)
}

// dropOwnGrid drops the operator's own grid from a line that names him with it
// before the other station: "OX9QZT JO32 HX2ABC IO91".
func (r *reader) dropOwnGrid() {
	if !r.owned || len(r.elems) < 3 || r.elems[0].kind != gridArc || r.elems[0].from != r.ownEnd {
		return
	}
	if r.elems[1].isCall() && !r.elems[2].isCall() {
		r.elems = r.elems[1:]
	}
}

// findRivals gives each element what else its words could sensibly be.
func (r *reader) findRivals() {
	for i := range r.arcs {
		a := &r.arcs[i]
		if !a.isItem() || r.excess(a) >= margin || r.onPath(a) {
			continue
		}
		hit := false
		for j := range r.elems {
			e := &r.elems[j]
			if int(a.from) < e.to && e.from < int(a.to) {
				hit = true
				if !e.says(a) && !(e.grid.IsValid() && r.outOfReach(e.grid) == 0 && r.readsOutOfReach(a)) {
					e.rivals = append(e.rivals, a)
				}
			}
		}
		if !hit && (a.kind == callArc || a.kind == gridArc) {
			r.loose = append(r.loose, a)
		}
	}
}

// readsOutOfReach reports whether an arc holds a grid that the bird can't
// serve: no rival of one that it can.
func (r *reader) readsOutOfReach(a *arc) bool {
	s := a.text()
	switch a.kind {
	case callGrid, gridCall:
		_, s = a.unglued()
	case gridArc, tailArc:
	default:
		return false
	}
	g, ok := makeGrid(upper(s))
	return ok && r.outOfReach(g) > 0
}

// says reports whether an arc reads as the element itself.
func (e *element) says(a *arc) bool {
	switch a.kind {
	case callArc:
		return e.kind == callArc && e.call.s == a.text()
	case gridArc, tailArc:
		g, _ := makeGrid(upper(a.text()))
		return e.kind == gridArc && e.grid == g
	case partBoth:
		return e.kind == callArc || e.kind == gridArc || e.pattern != "" && strings.Contains(a.text(), e.pattern)
	case partCall, partGrid, badGrid:
		return e.kind == callArc || e.pattern == a.text()
	}
	return false
}

func (r *reader) onPath(a *arc) bool { return r.at[a.from] == a }

// settle drops elements that carry nothing without others: two digits or a
// damaged grid without a call, a part of a call that could be any word.
func (r *reader) settle() {
	calls, grids := 0, 0
	for i := range r.elems {
		switch e := &r.elems[i]; e.kind {
		case callArc:
			calls++
		case partCall:
			if hasDigitIn(e.pattern) || len(r.known.ending(e.pattern)) > 0 {
				calls++
			}
		case gridArc:
			grids++
		case partGrid:
			if len(e.pattern) > 2 {
				grids++
			}
		}
	}
	kept := r.elems[:0]
	for _, e := range r.elems {
		switch e.kind {
		case badGrid:
			if calls == 0 && !r.corrected(e.from) && !r.damagedBeside(&e) {
				r.dropped = append(r.dropped, e.from)
				continue
			}
		case partGrid:
			if calls == 0 && len(e.pattern) > 2 && r.corrected(e.from) {
				break
			}
			if calls == 0 && (len(e.pattern) == 2 || grids == 0) || len(e.pattern) == 2 && grids > 0 {
				r.strays = r.strays || calls > 0
				r.dropped = append(r.dropped, e.from)
				continue
			}
		case partCall:
			if calls+grids == 0 && !r.mostly(e.pattern) {
				r.dropped = append(r.dropped, e.from)
				continue
			}
		}
		kept = append(kept, e)
	}
	r.elems = kept
}

// mostly reports whether a part of a call alone can be no other word: a digit
// was read and two letters besides, or it is the end of a known call.
func (r *reader) mostly(pattern string) bool {
	heard, gap := known(pattern), strings.IndexAny(pattern, "?~")
	if len(pattern) > maxBase || heard < 3 {
		return false
	}
	if gap < 0 {
		return hasDigitIn(pattern) && len(r.known.ending(pattern)) > 0
	}
	if hasDigitIn(pattern) {
		return digitsAt(pattern, 0) < 3
	}
	if tail := pattern[strings.LastIndexAny(pattern, "?~")+1:]; len(tail) > 2 && r.ends(tail) {
		return true
	}
	if pattern[0] == someChar && heard == 3 && len(pattern) == 4 {
		return meaningOf(strings.ToLower(pattern[1:])) == 0 // "..cde"
	}
	return heard > 3 && pattern[gap] == anyChar && callClass(pattern[:gap]+"1"+pattern[gap+1:]) == Valid
}

// ends reports whether a known call ends in a tail.
func (r *reader) ends(tail string) bool {
	return len(r.known.ending(tail)) > 0 || r.known.Suffix != nil && len(r.known.Suffix(tail)) > 0
}

// corrected reports whether the line begins with a word that corrects, right
// before word i: "no, jo4".
func (r *reader) corrected(i int) bool {
	return i > 0 && i < 3 && slices.ContainsFunc(r.words[0].entry.rows, func(p *row) bool { return p.sense == correct || p.sense == perhaps })
}

// damagedBeside reports whether a word right before or after a damaged grid
// could be a damaged call: "did4zab joe43".
func (r *reader) damagedBeside(e *element) bool {
	damaged := func(i int) bool {
		d, skips := r.skippedDoubt(i)
		return skips && d&strayed != 0 && r.words[i].shape == hasLetter|hasDigit && len(r.words[i].s) >= 5 && len(r.words[i].s) <= 8
	}
	return damaged(e.from-1) || damaged(e.to)
}

func hasDigitIn(s string) bool {
	for i := range len(s) {
		if isDigit(s[i]) {
			return true
		}
	}
	return false
}
