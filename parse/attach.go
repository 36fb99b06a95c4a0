package parse

import (
	"cmp"
	"slices"
)

// attachSides gives reports, times, names and the like to the contact that
// they follow, or to the first one. Where each of several contacts has its time before
// it a time belongs to the next one: "1742 hx2abc io91 1744 kd9xmp en52".
func (r *ledger) attachSides() {
	for k := range r.hits {
		h := &r.hits[k]
		h.eachItem(func(at int) { r.at[at].split = uint8(h.row.sense) })
	}
	isTime := func(a *arc) bool { return a.kind == clockArc || a.kind == offsetArc }
	first := slices.IndexFunc(r.path, isTime)
	ahead := first >= 0 && len(r.groups) > 1 && int(r.path[first].from) < r.groups[0].from &&
		slices.ContainsFunc(r.path[first+1:], isTime)
	for _, a := range r.path {
		if a.kind == birdArc {
			r.line.Bird = cmp.Or(r.line.Bird, r.known.Birds[a.bird])
		}
		if c := r.contactFor(int(a.from), ahead && isTime(a)); c != nil && r.attach(c, a) {
			r.account(a, inField)
		}
	}
}

// contactFor returns the contact that a word belongs to: the last one that begins
// before it, or with ahead set the first one behind it; nil if there is none.
func (r *ledger) contactFor(at int, ahead bool) *Contact {
	if len(r.groups) == 0 {
		return nil
	}
	pick := 0
	for k := range r.groups {
		if r.groups[k].from <= at || ahead && k > 0 && r.groups[k-1].from <= at {
			pick = k
		}
	}
	return &r.line.Contacts[pick]
}

// attach gives a contact what an arc holds, and reports whether there was room for it.
func (r *ledger) attach(c *Contact, a *arc) bool {
	i := int(a.from)
	switch a.kind {
	case birdArc:
		return r.known.Birds[a.bird] == r.line.Bird
	case reportArc:
		return r.attachReport(c, a)
	case clockArc:
		return keep(&c.Clock, r.clock(a))
	case offsetArc:
		offset, _ := offsetOf(r.words[a.to-1].s)
		return keep(&c.Offset, offset)
	case dateArc:
		d, _ := r.dateFrom(i)
		if !d.IsSet() {
			r.undated = true
			return false
		}
		for k := range r.line.Contacts {
			keep(&r.line.Contacts[k].Date, d)
		}
		return c.Date == d
	case modeArc:
		return keep(&c.Mode, upper(r.words[i].s))
	case nameArc:
		return keep(&c.Name, r.capitalised(int(a.to)-int(a.n), int(a.to)))
	case skipped:
		to := i + r.nameLen(i)
		if r.uses[i] == unread && r.bareName(i, to) && keep(&c.Name, r.capitalised(i, to)) {
			for ; i < to; i++ {
				r.uses[i] = inField
			}
		}
		return r.uses[a.from] == inField
	}
	return false
}

// keep sets a field that is empty, and reports whether it holds the value then.
func keep[T comparable](field *T, value T) bool {
	*field = cmp.Or(*field, value)
	return *field == value
}

// attachReport gives a contact a report. One alone is the received one; of two the first was
// sent, as logs are kept, unless the line says whose it is. Common practice; no source.
func (r *ledger) attachReport(c *Contact, a *arc) bool {
	s := r.reportText(a)
	isMarked := func(a *arc) bool { // the line says that it was received
		return a.kind == reportArc && a.split == uint8(gotRST) && r.reportText(a) == c.Report
	}
	letter := func(a *arc, c byte) bool { return a.kind == reportArc && r.words[a.from].s[0] == c }
	switch {
	case a.split == uint8(mistake):
		return true // "57 not 59"
	case a.split == uint8(sentRST), letter(a, 's') && slices.ContainsFunc(r.path, func(b *arc) bool { return letter(b, 'r') }): // "r57 s59"
		return keep(&c.ReportSent, s)
	case c.Report == "" || c.ReportSent == "" && !slices.ContainsFunc(r.path, isMarked):
		c.ReportSent, c.Report = cmp.Or(c.ReportSent, c.Report), s
		return true
	}
	return keep(&c.ReportSent, s)
}

// clock returns the time of an arc: ":42" for "at 42".
func (l *lattice) clock(a *arc) Clock {
	s := cmp.Or(a.text(), l.words[a.from].s)
	if len(s) == 2 {
		s = ":" + s
	}
	c, _ := clockOf(s)
	return c
}

// bareName reports whether the words from i to end are a first name that stands by
// itself beside a whole contact and can be nothing else.
func (r *ledger) bareName(i, end int) bool {
	t := &r.words[i]
	told := func(h hit) bool { return h.row.sense != neutral && slices.Contains(h.spots[:h.n], int16(i)) }
	alone := t.means&name != 0 && t.means&^(name|small|month|ofPatterns) == 0 && i > 0 && r.at[i-1].kind != skipped && end == len(r.words) // "59 jan"
	if t.means != name && !alone || slices.ContainsFunc(r.hits, told) || r.at[i].doubt&strayed != 0 {
		return false
	}
	if i > 0 && r.at[i-1].kind == skipped && r.uses[i-1] != inField && r.words[i-1].means&(courtesy|filler|part) == 0 {
		return false // the word before is read as nothing, and says something
	}
	if r.isWord(end, titled) {
		end++
	}
	return slices.ContainsFunc(r.groups, func(g group) bool {
		return g.call >= 0 && len(g.grids) > 0 && (i >= g.to || t.spells.trust == unspelled && (i > g.from || end == g.from))
	})
}

// capitalised returns the words from i to end as a name, in the letters that were typed.
func (r *ledger) capitalised(i, end int) string {
	return title(r.typed(i, end))
}
