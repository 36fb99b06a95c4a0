package parse

import (
	"cmp"
	"slices"
	"strings"

	"skyslate/parse/slip"
)

// What follows finds what a damaged call or grid could have been. It only ever
// fills the candidates of a question.

// mendCall returns the ordinary calls that are one slip away from a word in
// upper case that is none, the likelier slips first.
func mendCall(s string) (found []Callsign) {
	if len(s) < 4 || len(s) > 7 {
		return nil
	}
	for rank := range slip.MostLikely {
		for i := range len(s) {
			list := slip.Likely(s[i])
			if rank >= len(list) || isDigit(list[rank]) == isDigit(s[i]) {
				continue
			}
			call, _ := makeCallsign(s[:i] + string(list[rank]) + s[i+1:])
			if call.class == Valid && !slices.Contains(found, call) {
				found = append(found, call)
			}
		}
	}
	return found
}

// mendGrid returns the squares that are one slip away from a word in upper
// case that is none: a character too many, wrong or missing.
func mendGrid(s string) (found []Grid) {
	add := func(s string) {
		if g, ok := makeGrid(s); ok && !slices.Contains(found, g) {
			found = append(found, g)
		}
	}
	for i := range len(s) + 1 {
		switch {
		case len(s) == 3:
			for c := byte('0'); c <= 'R'; c++ {
				add(s[:i] + string(c) + s[i:])
			}
		case i == len(s):
		case len(s) == 4:
			for _, c := range slip.Likely(s[i]) {
				add(s[:i] + string(c) + s[i+1:])
			}
		case len(s) == 5:
			add(s[:i] + s[i+1:])
		}
	}
	return found
}

// searchesPerLine bounds for how many parts of a line candidates are sought.
const searchesPerLine = 8

// offerGrids offers what a part of a grid or a damaged one could be.
func (j *judgement) offerGrids(e *element) {
	if j.r.searches++; j.r.searches > searchesPerLine {
		return
	}
	k := j.r.known
	mended := mendGrid(e.pattern)
	if len(e.pattern) == 3 {
		k.nearestFirst(mended, e.pattern)
	}
	var list []Grid
	for _, g := range slices.Concat(j.gave()...) {
		if fits(e.pattern, g) || slices.Contains(mended, g.Square()) {
			list = append(list, g)
		}
	}
	switch {
	case e.kind == badGrid && (len(e.pattern) > 3 || k.Reachable != nil):
		list = append(list, mended...)
	case k.Reachable != nil || len(e.pattern) == 2:
		list = append(list, k.squares(e.pattern)...)
	}
	for _, g := range list {
		j.offer(j.c.Call, []Grid{g}, k.Reachable == nil || k.Reachable(g))
	}
}

// gave returns the grids that the call gave, those of this pass first.
func (j *judgement) gave() [][]Grid {
	k := j.r.known
	sets := gave(slices.Concat(k.Heard, k.Expected), j.c.Call)
	if k.Worked != nil && j.c.Call.IsValid() {
		for _, g := range k.Worked(j.c.Call) {
			sets = append(sets, []Grid{g})
		}
	}
	return sets
}

// squares returns the squares that agree with a pattern and can be served, the
// nearest to the operator first. Where nothing is known of the bird only those
// of the operator's own field count.
func (k *Known) squares(pattern string) (list []Grid) {
	ownField := func(g Grid) bool {
		return slices.ContainsFunc(k.OwnGrids, func(o Grid) bool { return o.String()[:2] == g.String()[:2] })
	}
	serves := k.Reachable
	if serves == nil {
		serves = ownField
	}
	for x := 0; x < unitsEast; x += unitsPerCell[1] {
		for y := 0; y < unitsNorth; y += unitsPerCell[1] {
			if g := gridOf(x, y, 4); fits(pattern, g) && serves(g) {
				list = append(list, g)
			}
		}
	}
	k.nearestFirst(list, pattern)
	return list
}

// nearestFirst sorts grids by how far they are from the operator's. The last figure is what a
// thumb leaves out most, a doubled one before all, so that grids which lack it come first.
func (k *Known) nearestFirst(list []Grid, pattern string) {
	away := func(g Grid) int {
		far := 0
		if len(k.OwnGrids) > 0 {
			dx, dy := k.OwnGrids[0].apart(g)
			far = dx + dy
		}
		if s := g.String(); !strings.HasPrefix(s, pattern) {
			far += unitsEast
		} else if s[2] == s[3] {
			far = -1
		}
		return far
	}
	slices.SortStableFunc(list, func(a, b Grid) int { return cmp.Compare(away(a), away(b)) })
}

// offerMended offers the calls that are one slip away from a word beside the group
// that belongs to nothing, the known ones first.
func (j *judgement) offerMended() {
	k := j.r.known
	var list []Callsign
	for _, a := range j.g.around {
		if t := &j.r.words[a.from]; t.spells.trust == unspelled && t.entry == none {
			if j.r.searches++; j.r.searches <= searchesPerLine {
				list = append(list, mendCall(upper(t.s))...)
			}
		}
	}
	for _, c := range list {
		heard := slices.ContainsFunc(k.Heard, func(s Station) bool { return s.Call == c })
		j.offer(c, j.c.Grids, heard || k.Worked != nil && len(k.Worked(c)) > 0)
	}
	for _, c := range list {
		j.offer(c, j.c.Grids, true)
	}
}

// damagedCall reports whether something beside the group could have been a
// call: several spoken symbols, or a word that is a slip away from one.
func (j *judgement) damagedCall() bool {
	said := 0
	for _, a := range j.g.around {
		t := &j.r.words[a.from]
		switch {
		case a.doubt&spoken != 0:
			said++
		case t.spells.trust == unspelled && t.entry == none && len(t.s) >= 4 && len(t.s) <= 7:
			said += 2
		}
	}
	return said > 1
}

// scattered returns the contacts that the words of a line without any would be
// if the spaces between some of them were not there: "g 4 eebm78".
func (r *reader) scattered() (found []Candidate) {
	for from := range r.words[:min(len(r.words), maxScattered)] {
		text, mixed := "", false
		for _, t := range r.words[from:min(from+4, len(r.words))] {
			text += upper(t.s)
			if mixed = mixed || t.shape == hasLetter|hasDigit; mixed {
				found = append(found, splits(text)...)
			}
		}
	}
	slices.SortFunc(found, func(a, b Candidate) int { return strings.Compare(a.Call.s, b.Call.s) })
	found = slices.CompactFunc(found, func(a, b Candidate) bool { return a.Call == b.Call && a.Grids[0] == b.Grids[0] })
	return found[:min(len(found), mostCandidates)]
}

// maxScattered is among how many words of a line scattered symbols are looked for.
const maxScattered = 8

// splits returns the ordinary calls with a square that a text can be, or two of them
// that are glued.
func splits(s string) (found []Candidate) {
	if len(s) < 7 || len(s) > 40 {
		return nil
	}
	for k := 7; k+7 <= len(s); k++ {
		if a, b := splits(s[:k]), splits(s[k:]); len(a) > 0 && len(b) > 0 {
			found = append(append(found, a...), b...)
		}
	}
	add := func(call, grid string) {
		if g, ok := makeGrid(grid); ok && callClass(call) == Valid {
			c, _ := makeCallsign(call)
			found = append(found, Candidate{c, []Grid{g}})
		}
	}
	add(s[:len(s)-4], s[len(s)-4:])
	add(s[4:], s[:4])
	return found
}
