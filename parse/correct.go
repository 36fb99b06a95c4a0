package parse

import "slices"

// correct applies corrections in words: the element after "no" or "I mean"
// replaces the last one of its kind. Where there is none the line corrects
// what was sent before.
func (r *reader) correct() {
	var used []int
	for k := 0; k < len(r.elems); k++ {
		at, marker := r.markerBefore(k)
		if marker != noMarker {
			used = append(used, at)
		}
		switch marker {
		case noMarker:
		case notMarker:
			k = r.correctNot(k, at)
		case orMarker:
			if j := r.lastLike(k); j >= 0 && r.wholes(j, k) {
				r.elems[j].doubt |= eitherWay
				r.elems[k].doubt |= eitherWay
			} else if j >= 0 {
				r.elems[j].others = append(r.elems[j].others, r.elems[k])
				r.elems[k].kind = skipped
			} else if k > 0 {
				r.elems[k].doubt |= eitherWay
			}
		default:
			r.correctTo(k, marker)
		}
	}
	r.doubtUnused(used)
	kept := r.elems[:0]
	for _, e := range r.elems {
		if e.kind != skipped {
			kept = append(kept, e)
		}
	}
	r.elems = kept
}

// doubtUnused doubts what stands around a correcting word that corrects
// nothing: who knows what was meant.
func (r *reader) doubtUnused(used []int) {
	if len(r.elems) < 2 {
		return
	}
	for _, a := range r.path {
		i := int(a.from)
		if a.kind == skipped && i > r.elems[0].from && i < r.elems[len(r.elems)-1].from &&
			(r.words[i].means&corrects != 0 || r.wordIs(i, "or", "mean", "scratch")) && !slices.Contains(used, i) && !r.onlyItself(i+1) {
			r.cues = append(r.cues, cue{i, Doubted})
		}
	}
}

type marker uint8

const (
	noMarker   marker = iota
	softMarker        // "sorry": may be only polite
	hardMarker        // "no", "correction", "I mean"
	notMarker         // "not": what follows is wrong
	orMarker          // "or"
)

// markerBefore finds a word that corrects right before element k.
func (r *reader) markerBefore(k int) (at int, m marker) {
	start := 0
	if k > 0 {
		start = r.elems[k-1].to
	}
	for j := r.elems[k].from - 1; j >= start; j-- {
		t := &r.words[j]
		if r.words[j+1].gap&semicolon != 0 {
			return 0, noMarker
		}
		switch {
		case t.s == "not":
			return j, notMarker
		case t.s == "or":
			return j, orMarker
		case t.s == "no" && r.words[j+1].gap&pause == 0 && k == 0:
			r.cues = append(r.cues, cue{j, Doubted})
			return 0, noMarker
		case t.s == "no" && r.deniesWith(j):
			return 0, noMarker
		case t.s == "no" || t.s == "correction" || t.s == "rather":
			return j, hardMarker
		case t.s == "mean" && r.wordIs(j-1, "i"), t.s == "that" && r.wordIs(j-1, "scratch", "make"), t.s == "be" && r.wordIs(j-1, "should"):
			return j, hardMarker
		case r.wordIs(j, "wait", "err") && k == 0:
			return 0, noMarker
		case t.means&corrects != 0, r.wordIs(j, "fix", "corrected"), t.s == "correct" && (r.startsElement(j+1) && r.words[j+1].gap&comma == 0 || r.wordIs(j+1, "call", "callsign", "grid", "locator", "is")):
			return j, softMarker
		case t.means&(part|small) == 0:
			return 0, noMarker
		}
	}
	return 0, noMarker
}

// deniesWith reports whether the "no" at word i belongs to the word after it:
// "no qso", "no luck".
func (r *reader) deniesWith(i int) bool {
	t := &r.words[i+1]
	return t.gap&pause == 0 && !r.startsElement(i+1) && t.means&(part|corrects) == 0 &&
		!r.wordIs(i+1, "it", "its", "it's", "that", "thats", "that's", "is", "was", "i", "actually", "make", "should", "oh", "the", "but", "hold", "hang", "call", "callsign", "my")
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
func (r *reader) correctTo(k int, m marker) {
	e := &r.elems[k]
	j := r.lastLike(k)
	if j < 0 {
		if k > 0 {
			e.doubt |= eitherWay
		}
		r.was = r.mistaken()
		r.corrects = m == hardMarker || r.was.IsValid() || r.calls() == 0
		return
	}
	if r.anothers(j, k) {
		e.doubt |= eitherWay
		r.elems[j].doubt |= eitherWay
		return
	}
	if m == softMarker {
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
func (r *reader) correctNot(k, at int) int {
	e := &r.elems[k]
	if j := r.lastLike(k); j >= 0 && r.elems[k-1].to == at && k+1 == len(r.elems) && r.slipOf(&r.elems[j], e) {
		r.corrects, r.was = true, r.meant(e) // "hx2abd not hx2abc"
		e.kind = skipped
		return k
	}
	if k+1 >= len(r.elems) || r.elems[k+1].isCall() != e.isCall() || r.elems[k+1].from > e.to+1 {
		r.cues = append(r.cues, cue{at, Denied})
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
