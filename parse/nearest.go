package parse

// What is told of a garbled line: a station that is known, from this pass, its
// schedule or the log, is likelier than any mending of the text, if call and grid
// together are near to what was read and no other known station is.

// The distances, in half symbols: a symbol that was not read may be any.
const (
	wrongSymbol   = 2
	unreadSymbol  = 1
	mostDistance  = 3 * wrongSymbol
	clearlyNearer = 3
	mostGarbled   = 12
)

// offerNearest offers the known station that is nearest to what was read, before
// all other candidates.
func (j *judgement) offerNearest() {
	switch j.c.Why {
	case Partial, Ambiguous, BadCall, BadGrid, Repaired:
	default:
		return
	}
	call := j.garbledCall()
	if len(call) < 3 || len(call) > mostGarbled {
		return
	}
	best, next := mostDistance+1, mostDistance+clearlyNearer
	var nearest Candidate
	for s := range j.stations(call) {
		far, gs := j.distance(s, call)
		switch {
		case s.Call == nearest.Call && far >= best:
		case far < best:
			if s.Call != nearest.Call {
				next = best
			}
			best, nearest = far, Candidate{s.Call, gs}
		default:
			next = min(next, far)
		}
	}
	if best <= mostDistance && next-best >= clearlyNearer {
		j.offer(nearest.Call, nearest.Grids, true)
	}
}

// stations yields the stations that what was read may be: those of this pass and
// its schedule, and those of the log whose calls end alike.
func (j *judgement) stations(call string) func(func(Station) bool) {
	k := j.r.known
	return func(yield func(Station) bool) {
		for _, list := range [...][]Station{k.Heard, k.Expected} {
			for _, s := range list {
				if !yield(s) {
					return
				}
			}
		}
		if k.Suffix == nil || len(call) < 2 || !allLetters(call[len(call)-2:]) {
			return
		}
		for _, c := range k.Suffix(call[len(call)-2:]) {
			s := Station{Call: c}
			if k.Worked != nil {
				s.Grids = k.Worked(c)
			}
			if !yield(s) {
				return
			}
		}
	}
}

// garbledCall returns what was read of the call: the symbols of words that belong
// to nothing included, unread ones for words that may be symbols.
func (j *judgement) garbledCall() string {
	r := j.r
	from, to := 0, len(r.words)
	for k := range r.groups {
		if g := &r.groups[k]; g.to <= j.g.from {
			from = max(from, g.to)
		} else if g.from >= j.g.to {
			to = min(to, g.from)
		}
	}
	var call []byte
	for _, a := range r.path {
		t := &r.words[a.from]
		switch {
		case int(a.from) < from || int(a.to) > to:
		case a.kind == callArc || a.kind == partCall:
			call = append(call, a.text()...)
		case a.kind != skipped || a.doubt == 0:
		case t.spells.trust >= loose:
			call = append(call, t.spells.syms...)
		case t.shape&hasDigit != 0 || len(t.s) == 1:
			call = append(call, upper(t.s)...)
		default:
			call = append(call, anyChar)
		}
	}
	return string(call)
}

// distance returns how far a station is from what was read, and with which grids
// it would be meant.
func (j *judgement) distance(s Station, call string) (far int, gs []Grid) {
	far = symbolDistance(call, s.Call.Base())
	heard := ""
	if len(j.g.grids) > 0 {
		if e := &j.r.elems[j.g.grids[0]]; e.kind == gridArc {
			heard = e.grid.Square().String()
		} else if heard = e.pattern; len(heard) == 2 && isDigit(heard[0]) {
			heard = "??" + heard
		}
	}
	if heard == "" || len(s.Grids) == 0 {
		return far + wrongSymbol, firstOf(j.c.Grids, s.Grids)
	}
	apart := mostDistance
	for _, g := range s.Grids {
		if d := symbolDistance(heard, g.Square().String()); d < apart {
			apart, gs = d, []Grid{g}
		}
	}
	if apart == 0 {
		gs = j.c.Grids // as fine as it was read
	}
	return far + apart, gs
}

func firstOf(a, b []Grid) []Grid {
	if len(a) > 0 {
		return a
	}
	return b
}

// symbolDistance returns how many symbols of a text were read wrong, lost or
// added, with those in between that were not read.
func symbolDistance(read, text string) int {
	var rows [2][32]int
	if len(text) >= len(rows[0]) {
		return mostDistance + 1
	}
	for k := range len(text) + 1 {
		rows[0][k] = k * wrongSymbol
	}
	for i := range len(read) {
		above, row := &rows[i%2], &rows[1-i%2]
		cost := wrongSymbol
		if read[i] == anyChar || read[i] == someChar {
			cost = unreadSymbol
		}
		row[0] = above[0] + cost
		for k := range len(text) {
			same := cost
			if read[i] == text[k] {
				same = 0
			}
			row[k+1] = min(above[k]+same, above[k+1]+cost, row[k]+wrongSymbol)
		}
	}
	return rows[len(read)%2][len(text)]
}
