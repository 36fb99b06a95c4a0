package parse

import (
	"slices"
	"strings"
)

// Header is what a line says of the lines below it in the same message, until a
// blank line or another header: "heard only:", "wanted:", a date. A blank line right
// behind it sets it off and does not end it. The zero value says nothing.
type Header struct {
	Why     Why    // of the contacts below; "" if nothing speaks against them
	Date    Date   // theirs
	Comment string // words that no table knows

	fresh bool // nothing but blank lines stood below it
}

// head reads what a line without a contact says of others: of those below, and of
// the last one before.
func (r *ledger) head() {
	if len(r.elems) > 0 || r.owned && len(r.hits) == 0 {
		return
	}
	colons := strings.HasSuffix(strings.TrimRight(r.f.S, " "), ":")
	h := Header{Date: r.line.Heads.Date}
	denies, back := false, false
	for k := range r.hits {
		hit := &r.hits[k]
		s := hit.row.sense
		governs := colons || s == denied || s == onlyHeard || s == planned || s == heading || s == unsure && len(r.words) == 1
		if why := whys[s]; governs && why != "" && (h.Why == "" || rankOf(why) < rankOf(h.Why)) {
			h.Why = why
		}
		switch whole := int(hit.n) == len(r.words); {
		case s == affirmed:
			r.line.Affirms = r.line.Affirms || whole
		case s == withdrawn && whole:
			r.line.Withdraws = true
		case s == withdrawn: // with words behind it, which may say more or less
			back = true
		case s == denied, s == doubted, s == unsure:
			hit.eachWord(func(at int) { back = back || r.words[at].means&points != 0 })
			denies = denies || s == denied
			back = back || s == unsure && r.onlyDenies(subject)
		}
	}
	r.line.Denies = !r.owned && (back || denies && r.onlyDenies(0))
	if colons && h.Why == "" {
		h.Comment = r.kept()
	}
	if colons || h.Why != "" || h.Date.IsSet() {
		h.fresh = true
		r.line.Heads, r.line.Headed = h, true
	}
	r.line.back = back
}

// onlyDenies reports whether a line holds nothing but words that deny or doubt, beside
// those of the classes given. That somebody was heard says nothing of the contact before.
func (r *ledger) onlyDenies(beside meaning) bool {
	left := slices.Clone(r.uses)
	for k := range r.hits {
		if h := &r.hits[k]; h.row.sense == denied || h.row.sense == unsure || h.row.sense == doubted {
			h.eachWord(func(at int) { left[at] = inField })
		}
	}
	for i, u := range left {
		if u == unread && !r.isWord(i, beside) {
			return false
		}
	}
	return true
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
	case l.Headed:
		return l.Heads
	case strings.TrimSpace(l.Text) != "":
		above.fresh = false
	case !above.fresh:
		return Header{}
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
