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
	alike := e.kind == gridArc && min(e.grid.n, f.grid.n) == 4 && e.grid.Square() == f.grid.Square()
	return e.kind == f.kind && e.call == f.call && e.pattern == f.pattern && (e.grid == f.grid || alike)
}

// elements turns the items of the best reading into elements.
func (r *reader) elements() {
	for _, a := range r.path {
		s := a.text()
		switch a.kind {
		case callArc:
			r.addCall(a, s)
		case gridArc, tailArc:
			r.addGrid(a, s)
		case callGrid:
			r.addCall(a, s[:a.split])
			r.addGrid(a, s[a.split:])
		case gridCall:
			r.addGrid(a, s[:a.split])
			r.addCall(a, s[a.split:])
		case partBoth:
			r.addElement(a, element{kind: partCall, pattern: s[:a.split]})
			r.addElement(a, element{kind: partGrid, pattern: s[a.split:]})
		case partCall, partGrid, badGrid:
			r.addElement(a, element{kind: a.kind, pattern: s})
		}
	}
}

// addCall adds the call of an arc as an element, unless it is the operator's own.
func (r *reader) addCall(a *arc, s string) {
	call, _ := makeCallsign(s)
	if r.known.Own.IsValid() && call.Base() == r.known.Own.Base() {
		r.owned, r.ownEnd = true, int(a.to)
		return
	}
	r.addElement(a, element{kind: callArc, call: call})
}

// addGrid adds the grid of an arc as an element. Of a square written twice without a
// space, which is never meant as one of eight characters, it takes one: "GG99GG99".
func (r *reader) addGrid(a *arc, s string) {
	if len(s) == 8 && s[:4] == s[4:] {
		s = s[:4]
	}
	grid, _ := makeGrid(s)
	r.addElement(a, element{kind: gridArc, grid: grid})
}

func (r *reader) addElement(a *arc, e element) {
	e.from, e.to, e.doubt = int(a.from), int(a.to), a.doubt
	r.elems = append(r.elems, e)
}

// dropOwnGrid drops the operator's own grid from a line that names him with it
// before the other station: "OX9QZT JO32 HX2ABC IO91"; or him alone, as he gave it.
func (r *reader) dropOwnGrid() {
	e := r.elems
	if r.owned && len(e) == 1 && e[0].kind == gridArc && slices.Contains(r.known.OwnGrids, e[0].grid.Square()) {
		r.elems, r.line.Whereabouts = nil, true
		return
	}
	if r.owned && len(e) > 2 && e[0].kind == gridArc && e[0].from == r.ownEnd && e[1].isCall() && !e[2].isCall() {
		r.elems = e[1:]
	}
}

// findRivals gives each element what else its words could sensibly be.
func (r *reader) findRivals() {
	for i := range r.arcs {
		a := &r.arcs[i]
		// how much dearer the cheapest reading with it is than the best one
		excess := r.ahead[a.from] + a.cost + r.behind[a.to] - r.behind[0]
		if !a.isItem() || excess >= margin || r.at[a.from] == a {
			continue
		}
		hit := false
		for j := range r.elems {
			e := &r.elems[j]
			if int(a.from) < e.to && e.from < int(a.to) {
				hit = true
				if !e.says(a) {
					e.rivals = append(e.rivals, a)
				}
			}
		}
		if !hit && (a.kind == callArc || a.kind == gridArc) {
			r.loose = append(r.loose, a)
		}
	}
}

// findRunOns gives a call of one letter behind its figure, and a square that runs on from
// it without a pause, their other cut: "echo alfa seven zulu kilo mike seven six" may be
// EA7ZKM and two digits. Calls of four letters are too rare to be meant.
func (r *reader) findRunOns() {
	for k := 1; k < len(r.elems); k++ {
		e, g := &r.elems[k-1], &r.elems[k]
		spelled := e.to == g.from && e.doubt&(joined|dictated) != 0 && g.to > g.from+1 && r.words[g.from].gap&^space == 0
		if e.kind != callArc || g.kind != gridArc || g.grid.n != 4 || !spelled && e.from != g.from || r.gain(e.call.s) > 0 {
			continue
		}
		a := &arc{kind: partBoth, split: uint8(len(e.call.s) + 2)}
		a.append(e.call.s+g.grid.String(), false)
		if isDigit(e.call.s[len(e.call.s)-2]) && callClass(a.text()[:a.split]) == Valid {
			e.rivals = append(e.rivals, a)
		}
	}
}

// says reports whether an arc reads as the element itself.
func (e *element) says(a *arc) bool {
	switch a.kind {
	case callArc:
		return e.call.s == a.text()
	case gridArc, tailArc:
		g, _ := makeGrid(a.text())
		return e.grid == g
	case callGrid, gridCall:
		return false
	}
	return e.kind == callArc || e.pattern == a.text()
}

// settle drops elements that carry nothing without others: two digits or a
// damaged grid without a call, a part of a call that could be any word.
func (r *reader) settle() {
	calls, grids := 0, 0
	for i := range r.elems {
		switch e := &r.elems[i]; {
		case e.kind == callArc, e.kind == partCall && (hasDigitIn(e.pattern) || len(r.known.ending(e.pattern)) > 0):
			calls++
		case e.kind == gridArc, e.kind == partGrid && len(e.pattern) > 2:
			grids++
		}
	}
	damaged := func(i int) bool { // "did4zab joe43"
		_, skips := r.skippedDoubt(i)
		return skips && r.words[i].shape == hasLetter|hasDigit && len(r.words[i].s) >= 5
	}
	r.elems = slices.DeleteFunc(r.elems, func(e element) bool {
		drop := false
		switch pair := len(e.pattern) == 2; e.kind {
		case badGrid:
			corrects := func(p *row) bool { return p.sense >= correct && p.sense <= either } // "no, jo4"
			corrected := e.from > 0 && e.from < 3 && slices.ContainsFunc(r.words[0].entry.rows, corrects)
			touches := e.to < len(r.at) && r.at[e.to].isItem() ||
				e.from > 0 && (r.at[e.from-1].isItem() || slices.ContainsFunc(r.words[e.from-1].entry.rows, corrects))
			drop = calls == 0 && !corrected && !damaged(e.from-1) && !damaged(e.to) || grids > 0 && calls == 1 && !touches
		case partGrid:
			drop = pair && (calls == 0 || grids > 0) || calls+grids == 0
			r.strays = r.strays || drop && calls > 0
		case partCall:
			drop = calls+grids == 0 && !r.mostly(e.pattern)
		}
		if drop {
			r.dropped = append(r.dropped, e.from)
		}
		return drop
	})
}

// mostly reports whether a part of a call alone can be no other word: a digit was read,
// or three letters at its end that are none.
func (r *reader) mostly(pattern string) bool {
	if known(pattern) < 3 {
		return false
	}
	if hasDigitIn(pattern) {
		return digitsAt(pattern, 0) < 3
	}
	tail := pattern[strings.LastIndexAny(pattern, "?~")+1:]
	return len(tail) > 2 && meaningOf(strings.ToLower(tail)) == 0
}
