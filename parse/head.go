package parse

import (
	"slices"
	"strings"
)

// Header is what a line says of the lines below it in the same message, until a
// blank line or another header: "heard only:", "wanted:", a date. The zero value
// says nothing.
type Header struct {
	Why     Why    // of the contacts below; "" if nothing speaks against them
	Date    Date   // theirs
	Comment string // words that no table knows
}

// IsZero reports whether nothing is said.
func (h Header) IsZero() bool { return h == Header{} }

// head reads what a line without a contact says of others: of those below, and of
// the last one before.
func (r *ledger) head() {
	if len(r.elems) > 0 || r.owned && len(r.hits) == 0 {
		return
	}
	colons := strings.HasSuffix(strings.TrimRight(r.f.s, " "), ":")
	h := Header{Date: r.line.Heads.Date}
	back := false
	for k := range r.hits {
		hit := &r.hits[k]
		s := hit.row.sense
		governs := colons || s == denied || s == onlyHeard || s == planned || s == heading
		if why := whys[s]; governs && why != "" && (h.Why == "" || rankOf(why) < rankOf(h.Why)) {
			h.Why = why
		}
		if whole := int(hit.n) == len(r.words); whole {
			r.line.Affirms, r.line.Withdraws = r.line.Affirms || s == affirmed, r.line.Withdraws || s == withdrawn
		}
		if s == denied {
			hit.eachWord(func(at int) { back = back || r.words[at].means&points != 0 })
			r.line.Denies = !r.owned
		}
	}
	r.line.Denies = r.line.Denies && (back || r.onlyDenies())
	if colons && h.Why == "" {
		h.Comment = r.kept()
	}
	if colons || h.Why != "" || h.Date.IsSet() {
		r.line.Heads, r.line.Headed = h, true
	}
	r.line.back = back
}

// onlyDenies reports whether a line holds nothing but words that deny. That somebody
// was heard, or that there was noise, says nothing of the contact before.
func (r *ledger) onlyDenies() bool {
	left := slices.Clone(r.uses)
	for k := range r.hits {
		if h := &r.hits[k]; h.row.sense == denied {
			h.eachWord(func(at int) { left[at] = inField })
		}
	}
	return !slices.Contains(left, unread)
}

// kept returns the words of a line without a contact that no table knows.
func (r *ledger) kept() string {
	from := slices.Index(r.uses, unread)
	if from < 0 {
		return ""
	}
	to := len(r.uses)
	for r.uses[to-1] != unread {
		to--
	}
	return trimSpan(r.typed(from, to))
}

// Below returns what is said of the line below a line, given what was said of the
// line itself.
func (l *Line) Below(above Header) Header {
	switch {
	case strings.TrimSpace(l.Text) == "":
		return Header{}
	case l.Headed:
		return l.Heads
	}
	return above
}

// settleHeads lets a line that denies the contact before it, or governs those
// below, do only one of them: what it governs, it doesn't deny what stood above.
func settleHeads(lines []Line) {
	governs := false
	for i := len(lines) - 1; i >= 0; i-- {
		l := &lines[i]
		switch {
		case strings.TrimSpace(l.Text) == "":
			governs = false
		case l.Headed:
			l.Denies = l.Denies && (!governs || l.back)
			governs = false
		case len(l.Contacts) > 0:
			governs = true
		}
	}
}

// IsQuoted reports whether a line is marked as somebody else's, as in letters.
func IsQuoted(line string) bool { return strings.HasPrefix(strings.TrimLeft(line, " "), ">") }
