package parse

import (
	"slices"

	"skyslate/parse/slip"
)

// correct applies corrections in words: the element after "no" or "I mean"
// replaces the last one of its kind. Where there is none the line corrects
// what was sent before.
func (r *reader) correct() {
	for k := 0; k < len(r.elems); k++ {
		switch s := r.correctionAt(k); s {
		case mistake:
			k = r.correctNot(k)
		case either:
			r.offerEither(k)
		case correct, perhaps:
			r.correctTo(k, s == perhaps)
		case instead:
			if r.mistaken().IsValid() {
				r.correctTo(k, false)
			} else {
				r.claims = append(r.claims, claim{r.elems[k].from, Doubted})
			}
		case standpoint:
			if r.calls() > 0 {
				r.claims = append(r.claims, claim{r.elems[k].from, Doubted})
				break
			}
			r.elems[k].kind, r.owned, r.line.Whereabouts = skipped, true, true
		}
	}
	r.elems = slices.DeleteFunc(r.elems, func(e element) bool {
		// A word that cuts off what was replaced leaves open where it ended.
		r.strays = r.strays || e.kind == skipped && e.doubt&(joined|dictated) != 0 && r.brokenOff(&e)
		return e.kind == skipped
	})
}

// correctionAt returns how a phrase says that element k corrects another, neutral if
// none does. An asterisk glued to the first word of a line corrects as well: "*jo44".
func (r *reader) correctionAt(k int) sense {
	e := &r.elems[k]
	if k > 0 && r.elems[k-1].from == e.from {
		return neutral // glued to the one before
	}
	for i := range r.hits {
		h := &r.hits[i]
		s := h.row.sense
		names := s == standpoint && slices.Contains(h.spots[:h.n], int16(e.from))
		if names || s >= correct && s < standpoint && h.last() == e.from {
			return s
		}
	}
	if at := r.words[0].from; e.from == 0 && at > 0 && r.f.S[at-1] == '*' {
		return correct
	}
	return neutral
}

// offerEither lets element k be another possibility for the last one of its kind.
func (r *reader) offerEither(k int) {
	e, j := &r.elems[k], r.lastLike(k)
	whole := e.isCall() && k-j > 1 && k+1 < len(r.elems) && !r.elems[k+1].isCall() // "hx2abc io91 or kd9xmp en52"
	switch {
	case j >= 0 && whole:
		r.elems[j].doubt |= eitherWay
		e.doubt |= eitherWay
	case j < 0:
		if k > 0 {
			e.doubt |= eitherWay
		}
	default:
		r.elems[j].others = append(r.elems[j].others, *e)
		e.kind = skipped
	}
}

// lastLike returns the last element before k of the same kind, -1 if none.
func (r *reader) lastLike(k int) int {
	for j := k - 1; j >= 0; j-- {
		if e := &r.elems[j]; e.kind != skipped && e.isCall() == r.elems[k].isCall() {
			return j
		}
	}
	return -1
}

// correctTo lets element k replace the last one of its kind.
func (r *reader) correctTo(k int, polite bool) {
	e := &r.elems[k]
	j := r.lastLike(k)
	if j < 0 {
		if k > 0 {
			e.doubt |= eitherWay
		}
		r.was = r.mistaken()
		r.corrects = !polite || r.was.IsValid() || r.calls() == 0
		return
	}
	if r.anothers(j, k) {
		e.doubt |= eitherWay
		r.elems[j].doubt |= eitherWay
		return
	}
	if polite && !(r.isSlip(&r.elems[j], e) && (k+1 == len(r.elems) || r.elems[k+1].isCall() == e.isCall())) {
		e.others = append(e.others, r.elems[j])
	}
	r.elems[j].kind = skipped
	// A whole contact after the word replaces the whole one before it.
	if k+1 < len(r.elems) && r.elems[k+1].isCall() != e.isCall() && r.bondOf(e.to, r.elems[k+1].from) == beside {
		for i := range k {
			if r.elems[i].isCall() == r.elems[k+1].isCall() {
				r.elems[i].kind = skipped
			}
		}
		return
	}
	if e.isCall() && j+1 < k {
		// It stands where the wrong one stood, with the grid behind that.
		wrong := r.elems[j]
		r.elems[j] = *e
		r.elems[j].from, r.elems[j].to = wrong.from, wrong.to
		e.kind = skipped
	}
}

// anothers reports whether element j, which element k would replace, is of another
// station than k: what goes with it stands before it, and something of that kind
// stands again before k. "hx2abc io91 kd9xmp no en52", "io91 hx2abc en52 no kd9xmp".
func (r *reader) anothers(j, k int) bool {
	holds := func(list []element, call bool) bool {
		return slices.ContainsFunc(list, func(e element) bool { return e.kind != skipped && e.isCall() == call })
	}
	call := r.elems[k].isCall()
	return holds(r.elems[:j], !call) && holds(r.elems[j+1:k], !call) && !(call && holds(r.elems[:j], true))
}

// correctNot reads "not X, Y" and returns the element to go on from. A "not"
// without a Y denies.
func (r *reader) correctNot(k int) int {
	e, j := &r.elems[k], r.lastLike(k)
	touches := j >= 0 && r.elems[k-1].to >= e.from-1
	gave := func(s Station) bool { return s.Call == e.call && slices.Contains(s.Grids, r.elems[1-j].grid) }
	switch last := k+1 == len(r.elems); {
	case last && (touches && (!e.isCall() || r.isSlip(&r.elems[j], e)) || !e.isCall() && j >= 0 && j == k-1):
		r.corrects, r.was = e.isCall() || r.calls() < 2, r.meant(e) // "hx2abd not hx2abc"
		e.kind = skipped
		return k
	case last && k == 2 && j >= 0 && e.kind == callArc && !r.elems[1-j].isCall() && !r.isSlip(&r.elems[j], e) && !slices.ContainsFunc(r.known.Heard, gave):
		e.kind = skipped // "hx2abc io91, not kd9xmp": it says nothing of that one
		return k
	}
	strange := 0 // words before the right one
	for i := e.to; k+1 < len(r.elems) && i < r.elems[k+1].from; i++ {
		if !slices.ContainsFunc(r.hits, func(h hit) bool { return slices.Contains(h.spots[:h.n], int16(i)) }) {
			strange++
		}
	}
	if k+1 == len(r.elems) || r.elems[k+1].isCall() != e.isCall() || strange > 1 {
		r.claims = append(r.claims, claim{e.from, Denied})
		return k
	}
	if j < 0 {
		r.corrects, r.was = true, r.meant(e)
	} else {
		if !r.elems[j].same(e) {
			r.elems[k+1].doubt |= mended
		}
		r.elems[j].kind = skipped
	}
	e.kind = skipped
	return k + 1
}

// isSlip reports whether two elements are a slip apart.
func (r *reader) isSlip(e, f *element) bool {
	return e.kind == f.kind && slip.One(e.call.Base()+e.grid.String(), f.call.Base()+f.grid.String())
}

// mistaken returns the last station of this pass that was the line's call, or
// one slip away from it: the one that a correction means.
func (r *reader) mistaken() (was Callsign) {
	i := slices.IndexFunc(r.elems, func(e element) bool { return e.kind == callArc })
	for _, s := range r.known.Heard {
		if i >= 0 && slip.One(r.elems[i].call.Base(), s.Call.Base()) {
			was = s.Call
		}
	}
	return was
}

// meant returns the station that a call names, or a suffix on this pass, or the line that a
// wrong grid stands in.
func (r *reader) meant(e *element) Callsign {
	if i := slices.IndexFunc(r.elems, func(e element) bool { return e.kind == callArc }); !e.isCall() && i >= 0 {
		return r.elems[i].call
	}
	if e.kind == callArc {
		return e.call
	}
	if found := r.known.ending(e.pattern); len(found) == 1 {
		return found[0].Call
	}
	return Callsign{}
}
