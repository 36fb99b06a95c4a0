package parse

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// What follows finds what a damaged call or grid could have been. It only ever
// fills the candidates of a question.

// lookalikes are pairs that are taken for each other, the likelier first.
// Common practice, no source.
const lookalikes = "O0 I1 L1 S5 B8 Z2 G6 T7 A4 G9 Q0 D0"

// keyRows are the rows of the usual keyboards; each begins half a key or so to
// the right of the one above.
var keyRows = [...]struct {
	keys  string
	shift float64
}{{"1234567890", 0}, {"QWERTYUIOP", 0}, {"ASDFGHJKL", 0.5}, {"ZXCVBNM", 1.5}}

// slips appends what c may have been typed for: look-alikes first, then the
// keys around it.
func slips(b []byte, c byte) []byte {
	for pair := range strings.FieldsSeq(lookalikes) {
		switch c {
		case pair[0]:
			b = append(b, pair[1])
		case pair[1]:
			b = append(b, pair[0])
		}
	}
	row, x := keyAt(c)
	for _, reach := range [...]float64{0.6, 1.1} {
		for r, keys := range keyRows {
			for i := range len(keys.keys) {
				far := math.Abs(float64(i) + keys.shift - x)
				if d := r - row; d >= -1 && d <= 1 && far < reach && keys.keys[i] != c && !slices.Contains(b, keys.keys[i]) {
					b = append(b, keys.keys[i])
				}
			}
		}
	}
	return b
}

// keyAt returns the row and place of a key.
func keyAt(c byte) (row int, x float64) {
	for r, keys := range keyRows {
		if i := strings.IndexByte(keys.keys, c); i >= 0 {
			return r, float64(i) + keys.shift
		}
	}
	return -9, 0
}

// mendCall returns the ordinary calls that are one slip away from a word in
// upper case that is none, the likelier slips first.
func mendCall(s string) (found []Callsign) {
	if len(s) < 4 || len(s) > 7 {
		return nil
	}
	var near [40]byte
	b := []byte(s)
	for rank, most := 0, 1; rank < most; rank++ {
		for i := range b {
			was := b[i]
			list := slips(near[:0], was)
			if most = max(most, len(list)); rank >= len(list) || isDigit(list[rank]) == isDigit(was) {
				continue
			}
			b[i] = list[rank]
			if call, ok := makeCallsign(string(b)); ok && call.class == Valid && !slices.Contains(found, call) {
				found = append(found, call)
			}
			b[i] = was
		}
	}
	return found
}

// mendGrid returns the squares that are one slip away from a word in upper
// case that is none: a character too many, wrong or missing.
func mendGrid(s string) (found []Grid) {
	add := func(b []byte) {
		if g, ok := makeGrid(string(b)); ok && g.n == 4 && !slices.Contains(found, g) {
			found = append(found, g)
		}
	}
	b := []byte(s)
	for i := range b {
		switch {
		case len(s) == 5:
			add(slices.Delete(slices.Clone(b), i, i+1))
		case len(s) == 4:
			was := b[i]
			for _, c := range slips(nil, was) {
				b[i] = c
				add(b)
			}
			b[i] = was
		}
	}
	if len(s) == 3 {
		for i := range len(s) + 1 {
			for c := byte('0'); c <= 'R'; c++ {
				add(slices.Insert(slices.Clone(b), i, c))
			}
		}
	}
	return found
}

// searchesPerLine bounds for how many parts of grids a line gets candidates.
const searchesPerLine = 8

// offerGrids offers what a part of a grid or a damaged one could be.
func (j *judgement) offerGrids(e *element) {
	if j.r.searches++; j.r.searches > searchesPerLine {
		return
	}
	k := j.r.known
	mended := mendGrid(e.pattern)
	if len(e.pattern) == 3 {
		// The last figure is what a thumb leaves out most, and near stations are heard most.
		k.nearestFirst(mended)
		lacksLast := func(g Grid) bool { return strings.HasPrefix(g.String(), e.pattern) }
		slices.SortStableFunc(mended, func(a, b Grid) int {
			switch first := lacksLast(a); {
			case first == lacksLast(b):
				return 0
			case first:
				return -1
			}
			return 1
		})
	}
	var list []Grid
	for _, g := range j.gave() {
		if fits(e.pattern, g) || slices.Contains(mended, g.Square()) {
			list = append(list, g)
		}
	}
	switch {
	case e.kind == badGrid && (len(e.pattern) > 3 || k.Reachable != nil):
		list = append(list, mended...)
	case k.Reachable != nil || len(k.OwnGrids) > 0 && len(e.pattern) == 2:
		list = append(list, k.squares(e.pattern)...)
	}
	for _, g := range list {
		j.offer(j.c.Call, []Grid{g}, k.Reachable == nil || k.Reachable(g))
	}
}

// gave returns the grids that the call gave, those of this pass first.
func (j *judgement) gave() (list []Grid) {
	if !j.c.Call.IsValid() {
		return nil
	}
	k := j.r.known
	for _, stations := range [...][]Station{k.Heard, k.Expected} {
		for _, s := range stations {
			if s.Call == j.c.Call {
				list = append(list, s.Grids...)
			}
		}
	}
	if k.Worked != nil {
		list = append(list, k.Worked(j.c.Call)...)
	}
	return list
}

// squares returns the squares that agree with a pattern and can be served, the
// nearest to the operator first. Where nothing is known of the bird only those
// of the operator's own field count.
func (k *Known) squares(pattern string) (list []Grid) {
	for x := 0; x < unitsEast; x += unitsPerCell[1] {
		for y := 0; y < unitsNorth; y += unitsPerCell[1] {
			g := gridOf(x, y, 4)
			if !fits(pattern, g) {
				continue
			}
			if k.Reachable != nil && k.Reachable(g) || k.Reachable == nil && slices.ContainsFunc(k.OwnGrids, func(o Grid) bool { return o.c[0] == g.c[0] && o.c[1] == g.c[1] }) {
				list = append(list, g)
			}
		}
	}
	k.nearestFirst(list)
	return list
}

// nearestFirst sorts grids by how far they are from the operator's.
func (k *Known) nearestFirst(list []Grid) {
	if len(k.OwnGrids) == 0 {
		return
	}
	own := k.OwnGrids[0]
	away := func(g Grid) int {
		dx, dy := own.apart(g)
		return dx + dy
	}
	slices.SortStableFunc(list, func(a, b Grid) int { return cmp.Compare(away(a), away(b)) })
}

// offerMended offers calls that the damaged ones beside the grid could be.
func (j *judgement) offerMended() {
	known := func(c Callsign) bool {
		return slices.ContainsFunc(j.r.known.Heard, func(s Station) bool { return s.Call == c }) ||
			j.r.known.Worked != nil && len(j.r.known.Worked(c)) > 0
	}
	list := j.mended()
	for _, wanted := range [...]bool{true, false} {
		for _, c := range list {
			j.offer(c, j.c.Grids, known(c) == wanted)
		}
	}
}

// mended returns the calls that are one slip away from a word beside the group
// that belongs to nothing.
func (j *judgement) mended() (list []Callsign) {
	for _, a := range j.g.around {
		t := &j.r.words[a.from]
		if a.kind != skipped || t.means != 0 || t.spells.trust != unspelled || t.shape&^(hasLetter|hasDigit) != 0 {
			continue
		}
		if j.r.searches++; j.r.searches <= searchesPerLine {
			list = append(list, mendCall(upper(t.s))...)
		}
	}
	return list
}

// damagedCall reports whether something beside the group could have been a
// call: several spoken symbols, or a word that is a slip away from one.
func (j *judgement) damagedCall() bool {
	said := 0
	for _, a := range j.g.around {
		t := &j.r.words[a.from]
		switch {
		case a.kind != skipped:
		case a.doubt&spoken != 0:
			said++
		case t.means == 0 && t.shape&^(hasLetter|hasDigit) == 0 && len(t.s) >= 4 && len(t.s) <= 7 && t.spells.trust == unspelled:
			said += 2
		}
	}
	return said > 1
}

// scattered returns the contacts that the words of a line without any would be
// if the spaces between some of them were not there: "g 4 eebm78".
func (r *reader) scattered() (found []Candidate) {
	for i := range r.words[:min(len(r.words), maxScattered)] {
		if r.words[i].shape != hasLetter|hasDigit {
			continue
		}
		for from := max(0, i-2); from <= i; from++ {
			found = append(found, splits(r.glue(from, i+1))...)
			found = append(found, splits(r.glue(from, min(i+2, len(r.words))))...)
		}
	}
	slices.SortFunc(found, func(a, b Candidate) int { return strings.Compare(a.Call.s, b.Call.s) })
	found = slices.CompactFunc(found, func(a, b Candidate) bool { return a.Call == b.Call && a.Grids[0] == b.Grids[0] })
	return found[:min(len(found), mostCandidates)]
}

// glue returns words without the spaces between them, "" if they hold anything
// but letters and digits.
func (r *reader) glue(from, to int) string {
	var a arc
	for _, t := range r.words[from:to] {
		if t.shape&^(hasLetter|hasDigit) != 0 || !a.append(t.s, false) {
			return ""
		}
	}
	return a.text()
}

// maxScattered is among how many words of a line scattered symbols are looked
// for.
const maxScattered = 8

// splits returns the ordinary calls with a square that a text can be, or two of them
// that are glued.
func splits(s string) (found []Candidate) {
	if len(s) < 7 {
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
