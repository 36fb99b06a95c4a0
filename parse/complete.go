package parse

import (
	"slices"
	"strings"
	"unicode"
)

// title returns a name, each word of it with its first letter in upper case and
// the rest in lower; of what is short before an apostrophe too: "O'Brien".
func title(s string) string {
	var b strings.Builder
	b.Grow(len(s))
	begins, word := true, 0
	for _, c := range s {
		if begins {
			c = unicode.ToUpper(c)
		} else {
			c = unicode.ToLower(c)
		}
		b.WriteRune(c)
		word++
		apostrophe := c == '\'' || c == '’'
		begins = c == ' ' || c == '-' || apostrophe && word == 2
		if begins {
			word = 0
		}
	}
	return b.String()
}

// mostCandidates is how many candidates a question has at most.
const mostCandidates = 4

// parts completes what was only read in part from what is known of the pass.
func (j *judgement) parts() {
	if e := j.call(); e != nil && e.kind == partCall {
		j.completeCall(e)
	}
	for _, i := range j.g.grids {
		if e := &j.r.elems[i]; e.kind == partGrid {
			j.completeGrid(e)
		}
	}
	j.recallGrid()
}

// completeCall completes a suffix from the stations of this pass, if exactly
// one fits and nothing speaks against it; anything else only suggests.
func (j *judgement) completeCall(e *element) {
	if j.c.Was.IsValid() {
		j.respell(e)
		return
	}
	found := j.r.known.ending(e.pattern)
	heard := len(found) == 1 && slices.ContainsFunc(j.r.known.Heard, func(s Station) bool { return s.Call == found[0].Call })
	if !heard || len(j.c.Grids) > 0 && len(found[0].Grids) > 0 && !sameSquares(j.c.Grids, found[0].Grids) || len(e.pattern) < 3 {
		j.because(Partial)
		return
	}
	j.c.Call = found[0].Call
}

// respell corrects the suffix of a station of this pass: "not cde, cdf".
func (j *judgement) respell(e *element) {
	was := j.c.Was.Base()
	cut := len(was) - len(e.pattern)
	c, ok := Callsign{}, false
	if cut > 0 {
		c, ok = makeCallsign(strings.Replace(j.c.Was.s, was, was[:cut]+e.pattern, 1))
	}
	if !ok || c.class != Valid {
		j.because(Partial)
		return
	}
	j.c.Call = c
	for _, s := range j.r.known.Heard {
		if s.Call == j.c.Was && len(j.c.Grids) == 0 {
			j.c.Grids = s.Grids
		}
	}
}

func sameSquares(a, b []Grid) bool {
	for _, g := range a {
		if !slices.ContainsFunc(b, func(h Grid) bool { return h.Square() == g.Square() }) {
			return false
		}
	}
	return true
}

// completeGrid completes a part of a grid from one that the same call gave on
// this pass; anything else only suggests.
func (j *judgement) completeGrid(e *element) {
	for _, s := range j.r.known.Heard {
		if s.Call != j.c.Call || !s.Call.IsValid() {
			continue
		}
		for _, g := range s.Grids {
			if fits(e.pattern, g) && !j.r.cluttered() {
				j.c.Grids = append(j.c.Grids, g)
				return
			}
		}
	}
	j.because(Partial)
}

// cluttered reports whether the line holds a word that nothing explains: it may
// have been part of what is to be completed.
func (r *reader) cluttered() bool {
	return slices.ContainsFunc(r.path, func(a *arc) bool { return a.kind == skipped && a.doubt != 0 })
}

// fits reports whether a grid agrees with a pattern, or with two digits.
func fits(pattern string, g Grid) bool {
	if len(pattern) == 2 && isDigit(pattern[0]) {
		return g.n >= 4 && string(g.c[2:4]) == pattern
	}
	for i := range len(pattern) {
		if pattern[i] == someChar {
			return true
		}
		if i >= int(g.n) || pattern[i] != anyChar && pattern[i] != g.c[i] {
			return false
		}
	}
	return len(pattern) <= int(g.n)
}

// recallGrid completes a call alone with the grid that the same call gave on
// this pass, if the line holds nothing else that could be meant.
func (j *judgement) recallGrid() {
	if len(j.g.grids) > 0 || !j.c.Call.IsValid() || len(j.c.Grids) > 0 || j.r.calls() > 1 {
		return
	}
	for _, a := range j.r.path {
		if a.kind == skipped && j.r.words[a.from].means&lead == 0 {
			return
		}
	}
	for _, s := range j.r.known.Heard {
		if s.Call != j.c.Call || len(s.Grids) == 0 {
			continue
		}
		if len(j.c.Grids) > 0 && !slices.Equal(j.c.Grids, s.Grids) {
			j.c.Grids = nil // it gave several: which one?
			return
		}
		j.c.Grids = s.Grids
	}
}

// candidates fills in what the contact could be, best first.
func (j *judgement) candidates() {
	j.offerNearest()
	whole := j.c.Call.IsValid() && len(j.c.Grids) > 0
	j.offer(j.c.Call, j.c.Grids, whole || j.c.Why == NoGrid || j.c.Why == NoCall)
	j.each(func(e *element) {
		for _, a := range e.rivals {
			j.offerRival(e, a)
		}
		for i := range e.others {
			if o := &e.others[i]; o.kind == callArc {
				j.offer(o.call, j.c.Grids, true)
			} else if o.kind == gridArc {
				j.offer(j.c.Call, []Grid{o.grid}, true)
			}
		}
		if e.kind == callArc && j.r.dropsFigure(e) {
			j.offerFigures(e)
		}
		if j.r.openCall(e) {
			j.offerCalls(e.call.s + string(anyChar))
		}
		switch e.kind {
		case partCall:
			j.offerCalls(e.pattern)
		case partGrid, badGrid:
			j.offerGrids(e)
		}
	})
	for _, a := range j.r.loose {
		if a.kind == callArc && j.g.call < 0 {
			c, _ := makeCallsign(a.text())
			j.offer(c, j.c.Grids, true)
		}
	}
	if j.g.call < 0 && j.c.Why != NoCall {
		j.offerMended()
	}
	if len(j.c.Candidates) == 1 && j.c.Why != Odd && j.c.Why != Repaired && j.c.Why != Partial {
		if only := j.c.Candidates[0]; only.Call == j.c.Call && slices.Equal(only.Grids, j.c.Grids) && !j.outOfReach() {
			j.c.Candidates = nil // nothing to choose
		}
	}
	if len(j.c.Grids) == 0 && len(j.g.grids) == 0 && j.c.Why == NoGrid {
		j.offerWorked()
	}
}

// offer adds a candidate, once, if there is room.
func (j *judgement) offer(c Callsign, gs []Grid, real bool) {
	if !real || len(j.c.Candidates) >= mostCandidates {
		return
	}
	for _, old := range j.c.Candidates {
		if old.Call == c && slices.Equal(old.Grids, gs) {
			return
		}
	}
	j.c.Candidates = append(j.c.Candidates, Candidate{c, gs})
}

// offerFigures offers the calls that the words of a spelled call are with every word
// that may be a figure.
func (j *judgement) offerFigures(e *element) {
	for i := range j.r.arcs {
		if a := &j.r.arcs[i]; a.kind == callArc && int(a.from) == e.from && int(a.to) == e.to {
			j.offerRival(e, a)
		}
	}
}

func (j *judgement) offerRival(e *element, a *arc) {
	s := a.text()
	switch a.kind {
	case callArc:
		c, _ := makeCallsign(s)
		j.offer(c, j.c.Grids, true)
	case gridArc, tailArc:
		g, _ := makeGrid(upper(s))
		gs := slices.Clone(j.c.Grids)
		if i := slices.Index(gs, e.grid); i >= 0 {
			gs[i] = g
		} else {
			gs = append(gs, g)
		}
		j.offer(j.c.Call, gs, true)
	case callGrid, gridCall:
		call, grid := a.unglued()
		c, _ := makeCallsign(call)
		g, _ := makeGrid(grid)
		j.offer(c, []Grid{g}, true)
	}
}

// offerCalls offers the stations known to fit a pattern or suffix.
func (j *judgement) offerCalls(pattern string) {
	for _, list := range [...][]Station{j.r.known.Heard, j.r.known.Expected} {
		for _, s := range list {
			if matches(pattern, s.Call.Base()) || strings.HasSuffix(s.Call.Base(), pattern) {
				gs := j.c.Grids
				if len(gs) == 0 {
					gs = s.Grids
				}
				j.offer(s.Call, gs, true)
			}
		}
	}
	if j.r.known.Suffix == nil {
		return
	}
	tail := pattern
	if i := strings.LastIndexAny(tail, "?~"); i >= 0 {
		tail = tail[i+1:]
	}
	if len(tail) < 2 {
		return
	}
	for _, c := range j.r.known.Suffix(tail) {
		if !strings.ContainsAny(pattern, "?~") || matches(pattern, c.Base()) {
			j.offer(c, j.c.Grids, true)
		}
		if len(j.c.Candidates) >= mostCandidates {
			return
		}
	}
}

// matches reports whether s agrees with a pattern. An unread character may
// also stand for a few.
func matches(pattern, s string) bool {
	if pattern == "" {
		return s == ""
	}
	switch pattern[0] {
	case someChar:
		for i := range len(s) + 1 {
			if matches(pattern[1:], s[i:]) {
				return true
			}
		}
		return false
	case anyChar:
		for i := 1; i <= min(3, len(s)); i++ {
			if matches(pattern[1:], s[i:]) {
				return true
			}
		}
		return false
	}
	return s != "" && s[0] == pattern[0] && matches(pattern[1:], s[1:])
}

// offerWorked offers what a call without a grid gave before.
func (j *judgement) offerWorked() {
	if !j.c.Call.IsValid() {
		return
	}
	for _, stations := range [...][]Station{j.r.known.Heard, j.r.known.Expected} {
		for _, s := range stations {
			if s.Call == j.c.Call && len(s.Grids) > 0 {
				j.offer(s.Call, s.Grids, true)
			}
		}
	}
	if j.r.known.Worked != nil {
		for _, g := range j.r.known.Worked(j.c.Call) {
			j.offer(j.c.Call, []Grid{g}, j.r.outOfReach(g) == 0)
		}
	}
}
