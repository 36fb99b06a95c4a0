package parse

import "slices"

// correct applies corrections in words: the element after "no" or "I mean"
// replaces the last one of its kind. Where there is none the line corrects
// what was sent before.
func (r *reader) correct() {
	for k := 0; k < len(r.elems); k++ {
		h := r.markBefore(k)
		if h == nil {
			continue
		}
		switch h.row.sense {
		case mistake:
			k = r.correctNot(k)
		case either:
			r.offerEither(k)
		default:
			r.correctTo(k, h.row.sense == perhaps)
		}
	}
	r.elems = slices.DeleteFunc(r.elems, func(e element) bool { return e.kind == skipped })
}

// markBefore returns the phrase that says how element k corrects another, nil if
// none does.
func (r *reader) markBefore(k int) *hit {
	for i := range r.hits {
		h := &r.hits[i]
		if s := h.row.sense; s >= correct && s <= either && h.last() == r.elems[k].from && (k == 0 || r.elems[k-1].from < r.elems[k].from) {
			return h
		}
	}
	if k == 0 && r.starred() {
		return &hit{row: &row{sense: correct}}
	}
	return nil
}

// starred reports whether an asterisk is glued to the first word of a line, as people
// mark a correction: "*jo44".
func (r *reader) starred() bool {
	at := r.words[0].from
	return r.elems[0].from == 0 && at > 0 && r.f.s[at-1] == '*'
}

// offerEither lets element k be another possibility for the last one of its kind.
func (r *reader) offerEither(k int) {
	switch j := r.lastLike(k); {
	case j >= 0 && r.wholes(j, k):
		r.elems[j].doubt |= eitherWay
		r.elems[k].doubt |= eitherWay
	case j >= 0:
		r.elems[j].others = append(r.elems[j].others, r.elems[k])
		r.elems[k].kind = skipped
	case k > 0:
		r.elems[k].doubt |= eitherWay
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
	if polite {
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

// wholes reports whether calls j and k each stand with a grid of their own: "hx2abc
// io91 or kd9xmp en52" offers two whole contacts.
func (r *reader) wholes(j, k int) bool {
	return r.elems[k].isCall() && k-j > 1 && k+1 < len(r.elems) && !r.elems[k+1].isCall()
}

// anothers reports whether element j, which element k would replace, is of another
// station than k: what goes with it stands before it, and something of that kind
// stands again before k. "hx2abc io91 kd9xmp no en52", "io91 hx2abc en52 no kd9xmp".
func (r *reader) anothers(j, k int) bool {
	isCall := func(e element) bool { return e.kind != skipped && e.isCall() }
	isGrid := func(e element) bool { return e.kind != skipped && !e.isCall() }
	before, between := r.elems[:j], r.elems[j+1:k]
	if r.elems[k].isCall() {
		return !slices.ContainsFunc(before, isCall) && slices.ContainsFunc(before, isGrid) && slices.ContainsFunc(between, isGrid)
	}
	return slices.ContainsFunc(before, isCall) && slices.ContainsFunc(between, isCall)
}

// correctNot reads "not X, Y" and returns the element to go on from. A "not"
// without a Y denies.
func (r *reader) correctNot(k int) int {
	e := &r.elems[k]
	if j := r.lastLike(k); j >= 0 && r.elems[k-1].to >= e.from-1 && k+1 == len(r.elems) && r.slipOf(&r.elems[j], e) {
		r.corrects, r.was = true, r.meant(e) // "hx2abd not hx2abc"
		e.kind = skipped
		return k
	}
	if k+1 >= len(r.elems) || r.elems[k+1].isCall() != e.isCall() || r.elems[k+1].from > e.to+1 {
		r.denied = append(r.denied, e.from)
		return k
	}
	if j := r.lastLike(k); j >= 0 {
		if !r.elems[j].same(e) {
			r.elems[k+1].doubt |= mended
		}
		r.elems[j].kind = skipped
	} else {
		r.corrects = true
		r.was = r.meant(e)
	}
	e.kind = skipped
	return k + 1
}

// slipOf reports whether an element may be what another one should have been: a
// grid, a call one slip away, or for that of a station of this pass any call.
func (r *reader) slipOf(e, wrong *element) bool {
	if !e.isCall() || e.kind != callArc || wrong.kind != callArc {
		return !e.isCall()
	}
	return oneSlip(e.call.Base(), wrong.call.Base()) ||
		slices.ContainsFunc(r.known.Heard, func(s Station) bool { return s.Call == wrong.call })
}

// mistaken returns the last station of this pass that was the line's call, or
// one slip away from it: the one that a correction means.
func (r *reader) mistaken() (was Callsign) {
	for i := range r.elems {
		if e := &r.elems[i]; e.kind == callArc {
			for _, s := range r.known.Heard {
				if oneSlip(e.call.Base(), s.Call.Base()) {
					was = s.Call
				}
			}
			return was
		}
	}
	return was
}

// oneSlip reports whether two texts are the same but for one character more,
// less or other, or two that changed places.
func oneSlip(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	switch len(b) - len(a) {
	case 0:
		return i == len(a) || a[i+1:] == b[i+1:] || i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
	case 1:
		return a[i:] == b[i+1:]
	}
	return false
}

// meant returns the station of this pass that a call or suffix names.
func (r *reader) meant(e *element) Callsign {
	if e.kind == callArc {
		return e.call
	}
	if found := r.known.ending(e.pattern); len(found) == 1 {
		return found[0].Call
	}
	return Callsign{}
}
