package parse

import (
	"cmp"
	"math/bits"
	"slices"
	"strings"
)

// hit is a place where a row fits.
type hit struct {
	row    *row
	stated int8     // items of the pattern that were found: the more, the more specific
	n      int8     // words and items in spots
	spots  [8]int16 // where the words stand, and the items, in order
	items  uint8    // by spot: a call, a grid or a report
}

func (h *hit) add(at int, isItem bool) bool {
	if int(h.n) == len(h.spots) {
		return false
	}
	if isItem {
		h.items |= 1 << h.n
	}
	h.spots[h.n] = int16(at)
	h.n++
	return true
}

// eachItem calls f with the word where each call, grid or report begins that it speaks of.
func (h *hit) eachItem(f func(at int)) {
	for rest := h.items; rest != 0 && !(h.first() && rest != h.items); rest &= rest - 1 {
		f(int(h.spots[bits.TrailingZeros8(rest)]))
	}
}

// eachWord calls f with each word.
func (h *hit) eachWord(f func(at int)) {
	for k := range h.n {
		if h.items&(1<<k) == 0 {
			f(int(h.spots[k]))
		}
	}
}

// last returns the word where the last item of a hit begins.
func (h *hit) last() int { return int(h.spots[bits.Len8(h.items|1)-1]) }

// denies reports whether a hit names the contacts that it denies: only the one that it begins
// with, if it does ("hx2abc heard and kd9xmp en52 worked").
func (h *hit) denies() bool { return h.items != 0 && whys[h.row.sense] == Denied }
func (h *hit) first() bool  { return h.items&1 != 0 && h.denies() }

// denial returns the phrase between words that names the contact which it denies, nil if none does.
func (r *reader) denial(from, to int) *hit {
	for k := range r.hits {
		if h := &r.hits[k]; h.denies() && slices.ContainsFunc(h.spots[:h.n], func(at int16) bool { return from <= int(at) && int(at) < to }) {
			return h
		}
	}
	return nil
}

// phraseFinder finds the phrases of a line. Of phrases that share a word the one
// holds that states more; of equals the one whose row stands first.
type phraseFinder struct {
	*reader
	found []hit
	elem  int // the first element that doesn't end before the word in question
}

// phrases finds those that are looked for before the line is read, or the others.
func (r *reader) phrases() []hit {
	f := phraseFinder{reader: r}
	lex, early := tables(), r.at == nil
	for i := range f.words {
		for f.elem < len(f.elems) && f.elems[f.elem].from < i {
			f.elem++
		}
		switch {
		case early:
			f.try(f.words[i].entry.early, i)
			if isNumber(&f.words[i]) {
				f.try(lex.atNumber, i)
			}
		case f.free(i):
			f.try(f.words[i].entry.rows, i)
		case f.at[i].kind == reportArc && int(f.at[i].from) == i:
			f.try(lex.atNumber, i)
		}
		if f.elem < len(f.elems) && f.elems[f.elem].from == i {
			f.try(lex.atItem, i)
		}
	}
	return f.choose()
}

func (f *phraseFinder) try(rows []*row, i int) {
	for _, r := range rows {
		if r.sense.early() != (f.at == nil) {
			continue
		}
		h := hit{row: r}
		if !f.match(r.items, i, &h) {
			continue
		}
		// A word that says what a number is, and an aside in the language of the line, mean nothing alone.
		at := h.spots[0]
		if h.stated > 1 || !(f.early != nil && f.early[at] != nil || f.at != nil && f.at[at].kind == asideArc) {
			f.found = append(f.found, h)
		}
	}
}

// choose returns the hits without those that share a word with a more specific one.
func (f *phraseFinder) choose() []hit {
	if len(f.found) < 2 {
		return f.found
	}
	slices.SortStableFunc(f.found, func(a, b hit) int {
		return cmp.Or(cmp.Compare(b.stated, a.stated), cmp.Compare(a.row.line, b.row.line))
	})
	taken := make([]bool, len(f.words))
	return slices.DeleteFunc(f.found, func(h hit) bool {
		shares := false
		h.eachWord(func(at int) { shares = shares || taken[at] })
		if !shares {
			h.eachWord(func(at int) { taken[at] = true })
		}
		return shares
	})
}

// match reports whether items fit the words from i on.
func (f *phraseFinder) match(items []item, i int, h *hit) bool {
	if len(items) == 0 {
		return true
	}
	it := &items[0]
	before := *h
	if next, ok := f.matchItem(it, i, h); ok {
		if it.kind != gapItem {
			h.stated++
			if f.match(items[1:], next, h) {
				return true
			}
		} else {
			for n := 0; n <= 3; n++ {
				reached := *h
				if f.match(items[1:], i+n, &reached) {
					*h = reached
					return true
				}
				if i+n >= len(f.words) || f.pauseBefore(i+n) && n > 0 || !f.free(i+n) {
					break
				}
			}
		}
	}
	*h = before
	return it.optional && f.match(items[1:], i, h)
}

// matchItem reports whether an item fits at word i, and where the words behind it
// begin.
func (f *phraseFinder) matchItem(it *item, i int, h *hit) (next int, ok bool) {
	switch it.kind {
	case startItem:
		return i, f.onlySides(0, i)
	case endItem:
		return i, f.onlySides(i, len(f.words))
	case pauseItem:
		return i, i == len(f.words) || f.pauseBefore(i)
	case gapItem:
		return i, true
	}
	switch isItem := it.kind != wordItem; {
	case i >= len(f.words) || !f.touches(i, h, isItem):
		return 0, false
	case it.kind == wordItem:
		return i + 1, f.free(i) && it.words[f.words[i].entry] && h.add(i, false)
	case it.kind == numberItem, it.kind == digitsItem:
		t := &f.words[i]
		return i + 1, isNumber(t) && (it.kind == numberItem || t.shape == hasDigit) && h.add(i, true)
	case it.kind == reportItem:
		if f.at == nil || f.at[i].kind != reportArc || int(f.at[i].from) != i {
			return 0, false
		}
		return int(f.at[i].to), h.add(i, true)
	}
	e := f.elementAt(i, it.kind)
	if e == nil {
		return 0, false
	}
	next = e.to
	if other := f.elementAt(next, anyItem); it.kind == anyItem && other != nil && other.isCall() != e.isCall() {
		next = other.to // a whole contact
	}
	return next, h.add(i, true)
}

// touches reports whether no pause parts word i from what was matched before it, unless
// the pattern states one; beside a call or a grid one may.
func (f *phraseFinder) touches(i int, h *hit, isItem bool) bool {
	switch {
	case h.n == 0:
		return true
	case isItem || h.items&(1<<(h.n-1)) != 0:
		return f.words[i].gap&semicolon == 0
	}
	return h.row.pauses || !f.pauseBefore(i)
}

// pauseBefore reports whether a pause stands before word i.
func (f *phraseFinder) pauseBefore(i int) bool { return f.gapBehind(i-1)&pause != 0 }

// free reports whether word i belongs to no part of a contact.
func (f *phraseFinder) free(i int) bool {
	return f.at == nil || f.at[i].kind == skipped || f.at[i].kind == asideArc
}

// onlySides reports whether nothing stands in the words from, …, to-1 but what may
// stand beside a contact: a report, a time, a bird.
func (f *phraseFinder) onlySides(from, to int) bool {
	for i := from; i < to; i++ {
		if f.at == nil || f.at[i].kind < birdArc || f.at[i].kind == nameArc || f.at[i].kind == asideArc {
			return false
		}
	}
	return true
}

// elementAt returns the element of a kind that begins at word i, nil if there is
// none.
func (f *phraseFinder) elementAt(i int, kind itemKind) *element {
	for k := f.elem; k < len(f.elems) && f.elems[k].from <= i; k++ {
		e := &f.elems[k]
		fits := kind == anyItem || e.isCall() == (kind != gridItem) && (kind != typedItem || e.doubt&dictated == 0)
		if fits && e.from == i {
			return e
		}
	}
	return nil
}

// isNumber reports whether a word is a number or a time; with a sign the one with a point.
func isNumber(t *token) bool {
	return t.shape == hasDigit || t.shape&clockLike != 0 && (t.shape&offsetish == 0 || strings.Contains(t.s, "."))
}
