package parse

// attachSides gives reports, times, names and the like to the contact that
// they follow, or to the first one.
func (r *reader) attachSides() {
	ahead := r.timesAhead()
	for _, a := range r.path {
		if a.kind == birdArc && r.line.Bird == "" {
			r.line.Bird = r.known.Birds[a.bird]
		}
		at := int(a.from)
		if (a.kind == clockArc || a.kind == offsetArc) && ahead {
			at = r.groupAfter(at)
		}
		if c := r.contactFor(at); c != nil {
			r.attach(c, a)
		}
	}
}

// timesAhead reports whether each contact of several has its time before it:
// "1742 hx2abc io91 1744 kd9xmp en52".
func (r *reader) timesAhead() bool {
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
func (r *reader) groupAfter(i int) int {
	for k := range r.groups {
		if r.groups[k].from > i {
			return r.groups[k].from
		}
	}
	return i
}

// contactFor returns the contact that a word belongs to, nil if there is none.
func (r *reader) contactFor(at int) *Contact {
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

func (r *reader) attach(c *Contact, a *arc) {
	switch a.kind {
	case reportArc:
		if c.Report == "" {
			c.Report = r.reportText(a)
		}
	case clockArc:
		if !c.Clock.IsSet() {
			c.Clock, _ = clockOf(r.clockText(a))
		}
	case offsetArc:
		if !c.Offset.IsSet() {
			c.Offset, _ = offsetOf(r.words[a.to-1].s)
		}
	case modeArc:
		if c.Mode == "" {
			c.Mode = upper(r.words[a.from].s)
		}
	case nameArc:
		if c.Name == "" {
			c.Name = r.capitalised(int(a.to)-int(a.n), int(a.n))
		}
	case skipped:
		if c.Name == "" && r.bareName(int(a.from)) {
			c.Name = r.capitalised(int(a.from), r.nameLen(int(a.from)))
		}
	}
}

// clockText returns the words of a time: ":42" for "at 42".
func (r *reader) clockText(a *arc) string {
	s := r.words[a.from].s
	if a.n > 0 {
		s = a.text()
	}
	if len(s) == 2 {
		return ":" + s
	}
	return s
}

// bareName reports whether word i is a first name that stands after a contact
// and can be nothing else.
func (r *reader) bareName(i int) bool {
	if r.words[i].means != name || r.ofOther(i) {
		return false
	}
	for k := range r.groups {
		if g := &r.groups[k]; (i >= g.to || i > g.from && r.words[i].spells.trust == unspelled) && g.call >= 0 && len(g.grids) > 0 {
			return true
		}
	}
	return false
}

// ofOther reports whether the name at word i is somebody else's: "my nephew tim",
// "hi to tim".
func (r *reader) ofOther(i int) bool {
	return r.isAny(i-1, personWords) && !r.isAny(i-1, " operator guy fellow mate buddy friend man woman lady ") ||
		r.isAny(i-1, " nephews grandson granddaughter dog cat to of for like not than by ")
}

// capitalised returns n words from word i on as a name, in the letters that were
// typed.
func (r *reader) capitalised(i, n int) string {
	return title(r.text[r.f.at(r.words[i].from, len(r.text)):r.f.at(r.words[i+n-1].to, len(r.text))])
}
