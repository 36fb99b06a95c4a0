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

var useNames = [...]string{"comment", "neutral", "neutral", "field"}

func (u use) String() string { return useNames[u] }

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
		case r.uses[a.from] != unread:
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
		if h := &r.earlyHits[k]; h.row.sense == numbered && !r.inPercent(h) {
			for _, at := range h.spots[:h.n] {
				r.uses[at] = max(r.uses[at], formal)
			}
		}
	}
	for k := range r.hits {
		h := &r.hits[k]
		u := courteous
		if whys[h.row.sense] != "" {
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
	case t.means&(part|next|modeword) != 0, r.counts(i):
		return true
	case isMeasure(t.s):
		return true
	case t.means&(at|around|timeWord) != 0:
		return i+1 < len(r.words) && r.at[i+1].kind == clockArc
	case t.shape&clockLike != 0:
		return strings.IndexByte(t.s, '.') > 0 && !t.isDate() // a frequency
	}
	return t.shape == hasDigit && r.measures(i) && (r.gapBehind(i)&percent == 0 || t.s == "100")
}

// inPercent reports whether a percent sign stands behind a number of a hit.
func (r *ledger) inPercent(h *hit) bool {
	return slices.ContainsFunc(h.spots[:h.n], func(at int16) bool { return r.gapBehind(int(at))&percent != 0 })
}

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
		if keeps {
			r.comment(from, to)
		}
	}
}

// comment gives the words from, …, to-1 to the contacts beside them.
func (r *ledger) comment(from, to int) {
	text := trimSpan(r.text[r.f.at(r.words[from].from, len(r.text)):r.f.at(r.words[to-1].to, len(r.text))])
	for _, k := range r.beside(from, to) {
		c := &r.line.Contacts[k]
		if c.Comment != "" {
			c.Comment += " "
		}
		c.Comment += text
	}
}

// beside returns the groups that the words from, …, to-1 may speak of.
func (r *ledger) beside(from, to int) []int {
	before, behind := -1, -1
	for k := range r.groups {
		switch g := &r.groups[k]; {
		case g.from <= from && from < g.to:
			return []int{k}
		case g.to <= from && (before < 0 || g.to >= r.groups[before].to):
			before = k
		case g.from >= to && (behind < 0 || g.from < r.groups[behind].from):
			behind = k
		}
	}
	switch {
	case before < 0 && behind < 0:
		return nil
	case behind < 0:
		return []int{before}
	case before < 0:
		return []int{behind}
	}
	parted, joins := r.words[from].gap&pause != 0, r.words[to].gap&pause == 0 && r.bondOf(to, r.groups[behind].from) != apart
	switch {
	case parted && joins:
		return []int{behind}
	case !joins && !parted:
		return []int{before}
	}
	return []int{before, behind}
}
