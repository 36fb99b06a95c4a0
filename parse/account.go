package parse

import (
	"slices"
	"strings"
)

// use is what became of a word. Each word that was typed is used in a field,
// neutral, or kept in the comment of a contact: nothing is dropped.
type use uint8

// The uses.
const (
	unread    use = iota // no table knows it, or it denies or doubts: kept as a comment
	formal               // neutral by its form: a number with its unit, "in"
	courteous            // neutral by the tables
	inField              // of a contact, or of the line
)

func (u use) String() string { return [...]string{"comment", "neutral", "neutral", "field"}[u] }

// ledger gives what was read to contacts, and accounts for every word.
type ledger struct{ *reader }

// account notes what became of the words of an arc.
func (r *ledger) account(a *arc, u use) {
	for i := a.from; i < a.to; i++ {
		r.uses[i] = u
	}
}

// accountAll notes what became of every word that is not noted yet.
func (r *ledger) accountAll() {
	for _, a := range r.path {
		switch {
		case r.uses[a.from] != unread: // done
		case a.isItem():
			if !slices.Contains(r.dropped, int(a.from)) {
				r.account(a, inField)
			}
		case a.kind == skipped && r.neutralForm(int(a.from)):
			r.account(a, formal)
		case a.kind == asideArc, a.kind == skipped && r.words[a.from].means&(courtesy|filler) != 0:
			r.account(a, courteous)
		}
	}
	for k := range r.earlyHits {
		if h := &r.earlyHits[k]; h.row.sense == numbered {
			for _, at := range h.spots[:h.n] {
				if !r.isPercent(int(at)) {
					r.uses[at] = max(r.uses[at], formal)
				}
			}
		}
	}
	for k := range r.hits {
		h := &r.hits[k]
		u := courteous
		if whys[h.row.sense] != "" || h.row.sense == instead && !r.corrects {
			u = unread
		}
		h.eachWord(func(at int) {
			if r.uses[at] != inField {
				r.uses[at] = u
			}
		})
	}
}

// neutralForm reports whether a word that belongs to no part of a contact says by
// its form that it is no comment.
func (r *ledger) neutralForm(i int) bool {
	t := &r.words[i]
	switch {
	case r.at[i].doubt&strayed != 0:
		return false
	case t.means&(part|next|modeword) != 0, r.counts(i), isMeasure(t.s):
		return true
	case t.means&(at|around|timeWord) != 0:
		return i+1 < len(r.words) && r.at[i+1].kind == clockArc
	case t.shape&clockLike != 0:
		return t.shape&offsetish == 0 && strings.IndexByte(t.s, '.') > 0 // a frequency
	}
	return r.measures(i) && !r.isPercent(i)
}

// isPercent reports whether word i is a share of less than all: it may doubt.
func (r *ledger) isPercent(i int) bool { return r.gapBehind(i)&percent != 0 && r.words[i].s != "100" }

// comments gives each contact the words beside it that are used for nothing else, as
// they were typed. Words between two contacts belong to both, unless a pause parts
// them from one.
func (r *ledger) comments() {
	r.accountAll()
	for i := 0; i < len(r.words); {
		if r.uses[i] == inField {
			i++
			continue
		}
		from, to, keeps := i, i, false
		for ; i < len(r.words) && r.uses[i] != inField && (i == from || r.words[i].gap&semicolon == 0); i++ {
			if r.uses[i] == unread {
				keeps, to = true, i+1
			} else if r.uses[i] == formal && r.words[i].means&(part|next) == 0 {
				to = i + 1
			}
			if r.uses[i] == courteous && from == i {
				from++
			}
		}
		if !keeps {
			continue
		}
		for _, k := range r.beside(from, to) {
			c := &r.line.Contacts[k]
			c.Comment = strings.TrimPrefix(c.Comment+" "+trimSpan(r.typed(from, to)), " ")
		}
	}
}

// typed returns the words from, …, to-1 as they were typed.
func (r *reader) typed(from, to int) string {
	return r.text[r.f.At(r.words[from].from, len(r.text)):r.f.At(r.words[to-1].to, len(r.text))]
}

// beside returns the groups that the words from, …, to-1 may speak of: the one that
// they stand in, or those before and behind, unless a pause parts them from one.
func (r *ledger) beside(from, to int) []int {
	before, behind := -1, -1
	for k := range r.groups {
		switch g := &r.groups[k]; {
		case g.from <= from && from < g.to:
			return []int{k}
		case g.to <= from:
			before = k
		case behind < 0 || g.from < r.groups[behind].from:
			behind = k
		}
	}
	var list []int
	parted, closed := r.words[from].gap&pause != 0, to < len(r.words) && r.words[to].gap&pause != 0
	if h := r.denial(from, to); h != nil {
		parted, closed = !h.first(), h.first()
	}
	if before >= 0 && (behind < 0 || !parted || closed) {
		list = append(list, before)
	}
	if behind >= 0 && (before < 0 || parted || !closed) {
		list = append(list, behind)
	}
	return list
}
