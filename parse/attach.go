package parse

import "slices"

// attachSides gives reports, times, names and the like to the contact that
// they follow, or to the first one.
func (r *ledger) attachSides() {
	r.markReports()
	ahead := r.timesAhead()
	for _, a := range r.path {
		if a.kind == birdArc && r.line.Bird == "" {
			r.line.Bird = r.known.Birds[a.bird]
		}
		at := int(a.from)
		if (a.kind == clockArc || a.kind == offsetArc) && ahead {
			at = r.groupAfter(at)
		}
		if c := r.contactFor(at); c != nil && r.attach(c, a) {
			r.account(a, inField)
		}
	}
}

// markReports finds the reports that a phrase says to be given or received.
func (r *ledger) markReports() {
	for k := range r.hits {
		h := &r.hits[k]
		if s := h.row.sense; s == sentRST || s == gotRST {
			h.eachItem(func(at int) { r.at[at].split = uint8(s) })
		}
	}
}

// timesAhead reports whether each contact of several has its time before it:
// "1742 hx2abc io91 1744 kd9xmp en52".
func (r *ledger) timesAhead() bool {
	times, first := 0, len(r.words)
	for _, a := range r.path {
		if a.kind == clockArc || a.kind == offsetArc {
			times++
			first = min(first, int(a.from))
		}
	}
	return times > 1 && len(r.groups) > 1 && first < r.groups[0].from
}

// groupAfter returns where the first group behind word i begins, i if there is
// none.
func (r *ledger) groupAfter(i int) int {
	for k := range r.groups {
		if r.groups[k].from > i {
			return r.groups[k].from
		}
	}
	return i
}

// contactFor returns the contact that a word belongs to, nil if there is none.
func (r *ledger) contactFor(at int) *Contact {
	if len(r.line.Contacts) == 0 {
		return nil
	}
	pick := 0
	for k := range r.groups {
		if r.groups[k].from <= at {
			pick = k
		}
	}
	return &r.line.Contacts[pick]
}

// attach gives a contact what an arc holds, and reports whether there was room for
// it.
func (r *ledger) attach(c *Contact, a *arc) bool {
	switch a.kind {
	case birdArc:
		return r.known.Birds[a.bird] == r.line.Bird
	case reportArc:
		return r.attachReport(c, a)
	case clockArc:
		clock, _ := clockOf(r.clockText(a))
		return keep(&c.Clock, clock)
	case offsetArc:
		offset, _ := offsetOf(r.words[a.to-1].s)
		return keep(&c.Offset, offset)
	case dateArc:
		d := r.dateOf(a)
		if !d.IsSet() {
			r.undated = true
			return false
		}
		for k := range r.line.Contacts {
			keep(&r.line.Contacts[k].Date, d)
		}
		return c.Date == d
	case modeArc:
		return keep(&c.Mode, upper(r.words[a.from].s))
	case nameArc:
		return keep(&c.Name, r.capitalised(int(a.to)-int(a.n), int(a.n)))
	case skipped:
		if n := r.nameLen(int(a.from)); r.bareName(int(a.from), n) {
			return keep(&c.Name, r.capitalised(int(a.from), n))
		}
		return c.Name != "" && r.inName(int(a.from), c)
	}
	return false
}

// keep sets a field that is empty, and reports whether it holds the value then.
func keep[T comparable](field *T, value T) bool {
	var none T
	if *field == none {
		*field = value
	}
	return *field == value
}

// attachReport gives a contact a report. One alone is the received one; of two the
// first was sent, as logs are kept, unless the line says whose it is. Common
// practice; no source.
func (r *ledger) attachReport(c *Contact, a *arc) bool {
	s := r.reportText(a)
	second := &r.words[a.to-1]
	switch {
	case a.to == a.from+2 && isReport(r.words[a.from].s) && isReport(second.s): // "57/59"
		return keep(&c.ReportSent, s) && keep(&c.Report, second.s)
	case a.split == uint8(sentRST):
		return keep(&c.ReportSent, s)
	case a.split == uint8(gotRST):
		if c.ReportSent == "" && c.Report != "" && !r.marked(c.Report) {
			c.ReportSent, c.Report = c.Report, ""
		}
		return keep(&c.Report, s)
	case c.Report == "":
		c.Report = s
		return true
	case c.ReportSent == "" && !r.marked(c.Report):
		c.ReportSent, c.Report = c.Report, s
		return true
	}
	return keep(&c.ReportSent, s)
}

// marked reports whether the line says of a report that it was received.
func (r *ledger) marked(report string) bool {
	return slices.ContainsFunc(r.path, func(a *arc) bool {
		return a.kind == reportArc && a.split == uint8(gotRST) && r.reportText(a) == report
	})
}

// clockText returns the words of a time: ":42" for "at 42".
func (l *script) clockText(a *arc) string {
	s := l.words[a.from].s
	if a.n > 0 {
		s = a.text()
	}
	if len(s) == 2 {
		return ":" + s
	}
	return s
}

// bareName reports whether n words from i on are a first name that stands by itself
// beside a whole contact and can be nothing else.
func (r *ledger) bareName(i, n int) bool {
	if r.words[i].means != name || r.told(i) || r.at[i].doubt&strayed != 0 || i > 0 && !r.settled(i-1) || i+n < len(r.words) && i < r.groups[0].from && !r.startsElement(i+n) {
		return false
	}
	for k := range r.groups {
		if g := &r.groups[k]; g.call >= 0 && len(g.grids) > 0 && (i >= g.to || r.words[i].spells.trust == unspelled && (i > g.from || i+n == g.from)) {
			return true
		}
	}
	return false
}

// inName reports whether word i goes on with the name that a contact has.
func (r *ledger) inName(i int, c *Contact) bool {
	for j := i - 1; j >= 0 && j > i-3; j-- {
		if n := r.nameLen(j); n > i-j && r.uses[j] == inField && r.at[j].kind == skipped && c.Name == r.capitalised(j, n) {
			return true
		}
	}
	return false
}

// settled reports whether word i is read as something, or says nothing.
func (r *ledger) settled(i int) bool {
	return r.at[i].kind != skipped || r.words[i].means&(courtesy|filler|part) != 0 || r.uses[i] == inField
}

// told reports whether word i is part of a phrase that speaks of the contact.
func (r *ledger) told(i int) (so bool) {
	for k := range r.hits {
		if h := &r.hits[k]; h.row.sense != neutral {
			h.eachWord(func(at int) { so = so || at == i })
		}
	}
	return so
}

// capitalised returns n words from word i on as a name, in the letters that were
// typed.
func (r *ledger) capitalised(i, n int) string {
	return title(r.text[r.f.at(r.words[i].from, len(r.text)):r.f.at(r.words[i+n-1].to, len(r.text))])
}
