package parse

import (
	"slices"
	"strings"
	"unicode"

	"skyslate/parse/slip"
)

// title returns a name, each word of it with its first letter in upper case and
// the rest in lower; of what is short before an apostrophe too: "O'Brien".
func title(s string) string {
	name := []rune(strings.ToLower(s))
	n := 0 // letters of the word so far
	for i, c := range name {
		if n == 0 {
			name[i] = unicode.ToUpper(c)
		}
		if n++; c == ' ' || c == '-' || (c == '\'' || c == '’') && n == 2 {
			n = 0
		}
	}
	return string(name)
}

// mostCandidates is how many candidates a question has at most.
const mostCandidates = 4

// parts completes what was only read in part from what is known of the pass.
func (j *judgement) parts() {
	j.each(func(e *element) {
		if e.kind == partCall && !j.completeCall(e) || e.kind == partGrid && !j.completeGrid(e) {
			j.because(Partial)
		}
	})
	j.recallGrid()
}

// completeCall completes a suffix from the stations of this pass, if exactly one
// fits and nothing speaks against it, or respells that of a station which the line
// corrects: "not cde, cdf".
func (j *judgement) completeCall(e *element) bool {
	k := j.r.known
	if was := j.c.Was.Base(); was != "" {
		head := was[:max(0, len(was)-len(e.pattern))]
		c, _ := makeCallsign(strings.Replace(j.c.Was.s, was, head+e.pattern, 1))
		if head == "" || c.class != Valid {
			return false
		}
		j.c.Call = c
		if sets := gave(k.Heard, j.c.Was); len(j.c.Grids) == 0 && len(sets) > 0 {
			j.c.Grids = sets[len(sets)-1]
		}
		return true
	}
	found := k.ending(e.pattern)
	if len(found) != 1 || len(e.pattern) < 3 || !slices.ContainsFunc(k.Heard, func(s Station) bool { return s.Call == found[0].Call }) {
		return false
	}
	other := func(g Grid) bool {
		return !slices.ContainsFunc(found[0].Grids, func(h Grid) bool { return h.Square() == g.Square() })
	}
	if len(found[0].Grids) > 0 && slices.ContainsFunc(j.c.Grids, other) {
		return false
	}
	j.c.Call = found[0].Call
	return true
}

// gave returns the grids that a call gave, each time that it stands in a list.
func gave(list []Station, c Callsign) (sets [][]Grid) {
	for _, s := range list {
		if s.Call == c && len(s.Grids) > 0 {
			sets = append(sets, s.Grids)
		}
	}
	return sets
}

// completeGrid completes a part of a grid from one that the same call gave on
// this pass, unless the line holds a word that nothing explains: it may have been
// part of the grid.
func (j *judgement) completeGrid(e *element) bool {
	if slices.ContainsFunc(j.r.path, func(a *arc) bool { return a.kind == skipped && a.doubt != 0 }) {
		return false
	}
	for _, gs := range gave(j.r.known.Heard, j.c.Call) {
		if i := slices.IndexFunc(gs, func(g Grid) bool { return fits(e.pattern, g) }); i >= 0 {
			j.c.Grids = append(j.c.Grids, gs[i])
			return true
		}
	}
	return false
}

// fits reports whether a grid agrees with a pattern, or with two digits.
func fits(pattern string, g Grid) bool {
	if len(pattern) == 2 && isDigit(pattern[0]) {
		return g.n >= 4 && string(g.c[2:4]) == pattern
	}
	for i := range len(pattern) {
		if pattern[i] == slip.Some {
			return true
		}
		if i >= int(g.n) || pattern[i] != slip.Any && pattern[i] != g.c[i] {
			return false
		}
	}
	return true
}

// recallGrid completes a call alone with the grid that the same call gave on
// this pass, if the line holds nothing else that could be meant.
func (j *judgement) recallGrid() {
	other := func(a *arc) bool { return a.kind == skipped && j.r.words[a.from].means&lead == 0 }
	if len(j.g.grids)+len(j.c.Grids) > 0 || j.r.calls() > 1 || slices.ContainsFunc(j.r.path, other) {
		return
	}
	sets := gave(j.r.known.Heard, j.c.Call)
	if len(sets) > 0 && !slices.ContainsFunc(sets, func(gs []Grid) bool { return !slices.Equal(gs, sets[0]) }) {
		j.c.Grids = sets[0]
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
		switch e.kind {
		case partCall:
			j.offerCalls(e.pattern)
		case partGrid, badGrid:
			j.offerGrids(e)
		}
	})
	if j.g.call < 0 {
		for _, a := range j.r.loose {
			c, ok := makeCallsign(a.text())
			j.offer(c, j.c.Grids, ok)
		}
		j.offerMended()
	}
	if len(j.c.Candidates) == 1 && j.c.Why != Odd && j.c.Why != Repaired {
		if only := j.c.Candidates[0]; only.Call == j.c.Call && slices.Equal(only.Grids, j.c.Grids) && !j.outOfReach() {
			j.c.Candidates = nil // nothing to choose
		}
	}
	if j.c.Why == NoGrid {
		for _, gs := range j.gave() {
			j.offer(j.c.Call, gs, !slices.ContainsFunc(gs, func(g Grid) bool { return j.r.outOfReach(g) > 0 }))
		}
	}
}

// offer adds a candidate, once, if it is real and there is room.
func (j *judgement) offer(c Callsign, gs []Grid, real bool) {
	same := func(old Candidate) bool { return old.Call == c && slices.Equal(old.Grids, gs) }
	if real && len(j.c.Candidates) < mostCandidates && !slices.ContainsFunc(j.c.Candidates, same) {
		j.c.Candidates = append(j.c.Candidates, Candidate{c, gs})
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
	case partBoth:
		c, ok := makeCallsign(s[:a.split])
		j.offer(c, nil, ok)
	case callGrid, gridCall:
		call, grid := s[:a.split], s[a.split:]
		if a.kind == gridCall {
			call, grid = grid, call
		}
		c, _ := makeCallsign(call)
		g, _ := makeGrid(grid)
		j.offer(c, []Grid{g}, true)
	}
}

// offerCalls offers the stations known to fit a pattern or suffix.
func (j *judgement) offerCalls(pattern string) {
	k := j.r.known
	for _, s := range slices.Concat(k.Heard, k.Expected) {
		gs := j.c.Grids
		if len(gs) == 0 {
			gs = s.Grids
		}
		j.offer(s.Call, gs, slip.Matches(pattern, s.Call.Base()) || strings.HasSuffix(s.Call.Base(), pattern))
	}
	unread := strings.LastIndexAny(pattern, "?~")
	if tail := pattern[unread+1:]; k.Suffix != nil && len(tail) > 1 {
		for _, c := range k.Suffix(tail) {
			j.offer(c, j.c.Grids, unread < 0 || slip.Matches(pattern, c.Base()))
		}
	}
}
