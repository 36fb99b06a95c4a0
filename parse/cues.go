package parse

import (
	"cmp"
	"slices"
	"strings"
)

// findPhrases finds the phrases of the line, and what its marks ask.
func (r *reader) findPhrases() {
	f := phraseFinder{words: r.words, after: r.after, lex: tables(), at: r.at, early: r.early, elems: r.elems}
	f.find()
	r.hits = f.hits
	if len(r.elems) == 0 {
		return
	}
	first, last := &r.elems[0], &r.elems[len(r.elems)-1]
	if first.from == 0 && strings.Contains(r.f.s[:r.words[0].from], "?") || sulks(r.f.s) {
		r.wonders = append(r.wonders, last.to-1)
	}
	for i := first.to; i <= len(r.words); i++ {
		if r.asksBefore(i) && !r.asksNothing(i-1) {
			r.wonders = append(r.wonders, i-1)
		}
	}
}

// asksBefore reports whether a question mark stands before word i or at the end.
func (r *reader) asksBefore(i int) bool {
	if i < len(r.words) {
		return r.words[i].gap&query != 0
	}
	return r.after&query != 0
}

// asksNothing reports whether the question that ends with word i is a mere
// courtesy, or only about a letter of the call before it.
func (r *reader) asksNothing(i int) bool {
	for k := range r.elems {
		if e := &r.elems[k]; e.to == i+1 && r.openCall(e) {
			e.doubt |= eitherWay
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

// openCall reports whether a question mark is glued to a typed call: a letter may
// be missing there.
func (r *reader) openCall(e *element) bool {
	end := r.words[e.to-1].to
	return e.kind == callArc && e.to == e.from+1 && end > 0 && r.f.s[end-1] == '?'
}

// sulks reports whether a line holds a face that is not glad.
func sulks(s string) bool {
	for at := strings.IndexByte(s, ':'); at >= 0 && at+1 < len(s); {
		face, _, _ := strings.Cut(s[at:], " ")
		switch face {
		case ":(", ":((", ":-(", ":'(", ":/", ":-/", ":|", ":-|":
			return true
		}
		next := strings.IndexByte(s[at+1:], ':')
		if next < 0 {
			return false
		}
		at += 1 + next
	}
	return false
}

// isWord reports whether word i is in one of the classes.
func (l *lattice) isWord(i int, classes meaning) bool {
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
	for _, at := range r.wonders {
		r.nearest(at, func(g *group) { g.because(Doubted) })
	}
	for _, at := range r.denied {
		r.nearest(at, func(g *group) { g.because(Denied) })
	}
	around := func(a *arc) {
		r.nearest(int(a.from), func(g *group) { g.around = append(g.around, a) })
	}
	for _, a := range r.path {
		if a.kind == skipped && (a.doubt != 0 || r.words[a.from].means&mark != 0) {
			around(a)
		}
	}
	for _, a := range r.loose {
		around(a)
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
		return
	}
	h.eachItem(func(at int) { r.nearest(at, say) })
}

// nearest calls f for the groups that a word may speak of.
func (r *reader) nearest(at int, f func(*group)) {
	after, _ := slices.BinarySearchFunc(r.groups, at, func(g group, at int) int { return cmp.Compare(g.from, at+1) })
	if after > 0 {
		if g := &r.groups[after-1]; at < g.to || r.bondOf(g.to, at) != apart {
			f(g)
			if at < g.to {
				return
			}
		}
	}
	if after < len(r.groups) {
		if g := &r.groups[after]; r.bondOf(at+1, g.from) != apart {
			f(g)
		}
	}
}
