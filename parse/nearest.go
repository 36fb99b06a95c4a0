package parse

import (
	"slices"

	"skyslate/parse/slip"
)

// A station that is known, from this pass, its schedule or the log, is likelier
// than any mending of a garbled line, if call and grid together are near to what
// was read and those of no other known station are.

const (
	mostDistance  = 3 * slip.Wrong
	clearlyNearer = 3
	mostGarbled   = 12 // symbols
)

// offerNearest offers the known station that is nearest to what was read.
func (j *judgement) offerNearest() {
	call := j.garbledCall()
	if len(call) < 3 || len(call) > mostGarbled ||
		!slices.Contains([]Why{Partial, Ambiguous, BadCall, BadGrid, Repaired}, j.c.Why) {
		return
	}
	k := j.r.known
	best, next := mostDistance+1, mostDistance+clearlyNearer
	var nearest Candidate
	for _, s := range slices.Concat(k.Heard, k.Expected, k.earlier(call)) {
		switch far, gs := j.distance(s, call); {
		case s.Call == nearest.Call:
			if far < best {
				best, nearest.Grids = far, gs
			}
		case far < best:
			best, next, nearest = far, best, Candidate{s.Call, gs}
		default:
			next = min(next, far)
		}
	}
	clear := best <= mostDistance && next-best >= clearlyNearer
	j.offer(nearest.Call, j.c.Grids, clear && len(j.c.Grids) > 0) // what was read stays
	j.offer(nearest.Call, nearest.Grids, clear)
}

// earlier returns the stations of earlier passes that differ from a call in one symbol:
// either what it begins with is right, or its last two letters are.
func (k *Known) earlier(call string) (found []Station) {
	add := func(lookup func(string) []Callsign, part string) {
		if lookup == nil || !all(part, isAlnum) {
			return
		}
		for _, c := range lookup(part) {
			s := Station{Call: c}
			if k.Worked != nil {
				s.Grids = k.Worked(c)
			}
			found = append(found, s)
		}
	}
	cut := len(call) - 2
	if add(k.Suffix, call[cut:]); cut > 2 {
		add(k.Prefix, call[:cut])
	}
	return found
}

// garbledCall returns what was read of the call: the symbols that belong to
// nothing included, unread ones for words that may be symbols.
func (j *judgement) garbledCall() string {
	var call []byte
	for _, a := range j.r.path {
		t := &j.r.words[a.from]
		switch {
		case len(j.r.groups) > 1 && (int(a.from) < j.g.from || int(a.to) > j.g.to):
		case a.kind == callArc || a.kind == partCall:
			call = append(call, a.text()...)
		case a.kind != skipped || a.doubt == 0:
		case t.spells.trust >= loose:
			call = append(call, t.spells.syms...)
		case t.shape&hasDigit != 0 || len(t.s) == 1:
			call = append(call, upper(t.s)...)
		default:
			call = append(call, slip.Any)
		}
	}
	return string(call)
}

// distance returns how far a station is from what was read, and with which grids
// it would be meant.
func (j *judgement) distance(s Station, call string) (far int, gs []Grid) {
	far = slip.Distance(call, s.Call.Base())
	if len(j.g.grids) == 0 || len(s.Grids) == 0 {
		if gs = j.c.Grids; len(gs) == 0 {
			gs = s.Grids
		}
		return far + slip.Wrong, gs
	}
	e := &j.r.elems[j.g.grids[0]]
	read := e.pattern
	switch {
	case e.kind == gridArc:
		read = e.grid.Square().String()
	case len(read) == 2 && isDigit(read[0]):
		read = "??" + read
	}
	apart := mostDistance
	for _, g := range s.Grids {
		if d := slip.Distance(read, g.Square().String()); d < apart {
			apart, gs = d, []Grid{g}
		}
	}
	if apart == 0 {
		gs = j.c.Grids // as fine as it was read
	}
	return far + apart, gs
}
