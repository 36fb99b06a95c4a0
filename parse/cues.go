package parse

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
)

// claim is what a sign, or a "not" that corrects nothing, says of the contacts beside a
// word.
type claim struct {
	at  int
	why Why
}

// findPhrases finds the phrases of the line, and what its marks ask.
func (r *reader) findPhrases() {
	r.hits = r.phrases()
	if len(r.elems) == 0 {
		return
	}
	first, last := &r.elems[0], &r.elems[len(r.elems)-1]
	sad := strings.Contains(r.f.S, ":") && sadFace.MatchString(r.f.S)
	if sad || first.from == 0 && strings.Contains(r.f.S[:r.words[0].from], "?") {
		r.claims = append(r.claims, claim{last.to - 1, Doubted})
	}
	for i := first.to; i <= len(r.words); i++ {
		if r.gapBehind(i-1)&query != 0 && !r.asksNothing(i-1) {
			r.claims = append(r.claims, claim{i - 1, Doubted})
		}
	}
}

// asksNothing reports whether the question that ends with word i is a mere
// courtesy, or only about a letter of the call before it.
func (r *reader) asksNothing(i int) bool {
	for k := range r.elems {
		e := &r.elems[k]
		if e.to == i+1 && e.kind == callArc && e.to == e.from+1 && r.f.S[r.words[i].to-1] == '?' {
			e.doubt |= eitherWay // glued to a typed call: a letter may be missing
			return true
		}
	}
	polite := false
	for k := range r.hits {
		if h := &r.hits[k]; h.row.sense == neutral {
			h.eachWord(func(at int) { polite = polite || at == i })
		}
	}
	return polite
}

// sadFace is a face that is not glad.
var sadFace = regexp.MustCompile(`:(-?[(/|]|'\(|\(\()( |$)`)

// isWord reports whether word i is in one of the classes.
func (l *script) isWord(i int, classes meaning) bool {
	return i >= 0 && i < len(l.words) && l.words[i].means&classes != 0
}

// assign gives each group what stands around it: what phrases say, words that
// leave a doubt, and what could be an item but was not read as one. A phrase speaks
// of the groups that it names, else of those right before and after it, unless
// another contact begins between.
func (r *reader) assign() {
	for k := range r.hits {
		r.tell(&r.hits[k])
	}
	for _, c := range r.claims {
		r.nearest(c.at, func(g *group) { g.because(c.why) })
	}
	var doubtful []*arc
	for _, a := range r.path {
		if a.kind == skipped && a.doubt != 0 && !r.inIdiom(int(a.from)) {
			doubtful = append(doubtful, a)
		}
	}
	for _, a := range append(doubtful, r.loose...) {
		r.nearest(int(a.from), func(g *group) { g.around = append(g.around, a) })
	}
}

// tell gives what a phrase says to the groups that it speaks of.
func (r *reader) tell(h *hit) {
	s := h.row.sense
	r.line.Asks = r.line.Asks || s == question
	why := whys[s]
	if why == "" {
		return
	}
	say := func(g *group) { g.because(why) }
	if h.items == 0 {
		r.nearest(int(h.spots[0]), say)
	}
	h.eachItem(func(at int) { r.nearest(at, say) })
	r.govern(h, say)
	if why == Denied {
		r.trail(int(h.spots[0]))
	}
}

// trail lets what is denied behind a list be asked of all of it: "hx2abc io91 and kd9xmp
// en52 not worked" may mean both.
func (r *reader) trail(at int) {
	k := len(r.groups) - 1
	for ; k > 0 && at >= r.groups[k].to; k-- {
		for i := r.groups[k-1].to; i < r.groups[k].from; i++ {
			if r.words[i].means&ands == 0 || r.words[i].gap&pause != 0 {
				return
			}
		}
		if r.groups[k-1].to < r.groups[k].from {
			r.groups[k-1].because(Doubted)
		}
	}
}

// govern calls f for the groups that a phrase heads: all behind its colon, up to a word of
// success with a colon of its own ("worked: …"), or the list right behind it, as far as
// commas and "and" part it: "heard hx2abc io91, kd9xmp en52".
func (r *reader) govern(h *hit, f func(*group)) {
	at := 0
	h.eachWord(func(i int) { at = max(at, i) })
	k, _ := slices.BinarySearchFunc(r.groups, at+1, func(g group, at int) int { return cmp.Compare(g.from, at) })
	if k == len(r.groups) || h.items&1 != 0 {
		return
	}
	first, before, headed := r.groups[k].from, int(h.spots[0])-1, false
	for i := at + 1; i <= first && r.words[i].gap&(stop|strong) == 0 && !headed; i++ {
		headed = r.words[i].gap&colon != 0 && (i == at+1 || !r.isWord(i-1, courtesy))
	}
	lists := first == at+1 && r.words[first].gap&pause == 0 && (before < 0 || !r.at[before].isItem() || r.words[before+1].gap&pause != 0 || h.items != 0)
	for ; k < len(r.groups) && (headed || lists); k++ {
		f(&r.groups[k])
		for i := r.groups[k].to; i < len(r.words) && r.at[i].kind == skipped; i++ {
			headed = headed && !(r.isWord(i, courtesy) && r.gapBehind(i)&colon != 0)
			lists = lists && r.words[i].means&ands != 0
		}
	}
}

// nearest calls f for the groups that a word may speak of.
func (r *reader) nearest(at int, f func(*group)) {
	after, _ := slices.BinarySearchFunc(r.groups, at, func(g group, at int) int { return cmp.Compare(g.from, at+1) })
	if after > 0 {
		if g := &r.groups[after-1]; at < g.to || after == len(r.groups) || r.bondOf(g.to, at) != apart {
			f(g)
		}
	}
	if after < len(r.groups) && (after == 0 || at >= r.groups[after-1].to) { // else it stands in that one
		if g := &r.groups[after]; r.bondOf(at+1, g.from) != apart {
			f(g)
		}
	}
}
