package parse

import (
	"slices"
	"strings"
)

// finish makes contacts of the groups and the verdict on the line.
func (r *ledger) finish() {
	r.line.Contacts = make([]Contact, len(r.groups))
	r.uses = make([]use, len(r.words))
	r.attachSides()
	r.comments()
	for i := range r.line.Contacts {
		r.judge(&r.groups[i], &r.line.Contacts[i])
	}
	r.verdict()
	r.head()
}

// judge says what is certain of the contact of a group.
func (r *reader) judge(g *group, c *Contact) {
	j := judgement{r: r, g: g, c: c}
	c.Corrects, c.Was, c.Text = r.corrects, r.was, r.span(g)
	j.under()
	j.each(func(e *element) {
		switch e.kind {
		case callArc:
			c.Call = e.call
		case gridArc:
			c.Grids = append(c.Grids, e.grid)
		}
	})
	j.parts()
	j.each(j.doubts)
	j.leftovers()
	j.faults()
	c.Verdict = Log
	for i, w := range ranks {
		if g.whys&(1<<i) != 0 {
			c.Why, c.Verdict = w, Ask
			j.candidates()
			return
		}
	}
}

// judgement collects in a group what speaks against its contact.
type judgement struct {
	r *reader
	g *group
	c *Contact
}

// ranks orders the reasons: the first of those found is told.
var ranks = [...]Why{Denied, Doubted, Elsewhere, Dated, Partial, Ambiguous, BadCall, BadGrid, Repaired, Odd, NoGrid, NoCall}

func rankOf(w Why) uint16 { return 1 << slices.Index(ranks[:], w) }

func (g *group) because(w Why) { g.whys |= rankOf(w) }

func (j *judgement) because(w Why) { j.g.because(w) }

// each calls f for every element of the group.
func (j *judgement) each(f func(*element)) {
	if j.g.call >= 0 {
		f(&j.r.elems[j.g.call])
	}
	for _, i := range j.g.grids {
		f(&j.r.elems[i])
	}
}

// under weighs what the phrases say, and the lines above.
func (j *judgement) under() {
	above := j.r.known.Under
	if above.Why != "" {
		j.because(above.Why)
	}
	if IsQuoted(j.r.text) {
		j.because(Doubted) // quoted: somebody else's
	}
	keep(&j.c.Date, above.Date)
	if j.c.Date.IsSet() && !j.c.Date.Fits(j.r.known.Date) || j.r.undated {
		j.because(Dated)
	}
	j.c.Heard = j.g.whys&rankOf(Denied) != 0
	j.c.Comment = strings.Trim(above.Comment+" "+j.c.Comment, " ")
}

// doubts weighs what else the words of an element could be, and how it was read.
func (j *judgement) doubts(e *element) {
	r := j.r
	if e.doubt&eitherWay != 0 || len(e.others) > 0 || j.hasRival(e) || e.doubt&(joined|dictated) != 0 && r.brokenOff(e) ||
		e.kind == callArc && r.cutOff(e) {
		j.because(Ambiguous)
	}
	// "ne5 quit": a prefix and a word that can be said
	word := r.words[e.to-1].s
	joinsWord := e.kind == callArc && e.to == e.from+2 && e.doubt&dictated == 0 &&
		len(word) > 2 && allLetters(upper(word)) && pronounceable(word)
	if (e.doubt&unusual != 0 || joinsWord) && !r.isKnown(e.call) {
		j.because(Odd)
	}
	if e.doubt&mended != 0 {
		j.because(Repaired)
	}
}

// pronounceable reports whether three or four letters can be said as a word.
func pronounceable(s string) bool {
	vowel := func(i int) bool { return strings.IndexByte("aeiouy", s[i]) >= 0 }
	if len(s) == 3 {
		return vowel(1) || vowel(0) && vowel(2)
	}
	return strings.ContainsAny(s, "aeiouy")
}

// hasRival reports whether the words of an element could sensibly be something else. A call
// that is repeated right away has no rival: there is no other way to read both alike. Nor is a
// call one that goes on into the name that follows a complete contact.
func (j *judgement) hasRival(e *element) bool {
	again := func(f element) bool {
		return f.same(e) && f.to-f.from == e.to-e.from && (f.from == e.to || e.from == f.to)
	}
	goesOn := func(a *arc) bool {
		return a.kind == callArc && int(a.from) == e.from && int(a.to) == e.to+1 && j.r.isLoneName(j.g, e.to)
	}
	return slices.ContainsFunc(e.rivals, func(a *arc) bool { return !goesOn(a) }) && !slices.ContainsFunc(j.r.elems, again)
}

// isKnown reports whether an unusual call needs no question any more.
func (r *reader) isKnown(c Callsign) bool {
	return r.known.Confirmed != nil && r.known.Confirmed(c) ||
		slices.ContainsFunc(r.known.Expected, func(s Station) bool { return s.Call == c }) ||
		c.class == Valid && r.gain(c.s) > 0 // joined: heard on this pass
}

func (r *reader) calls() (n int) {
	for i := range r.elems {
		if r.elems[i].isCall() {
			n++
		}
	}
	return n
}

// brokenOff reports whether an unknown word touches an element of several
// words: it may be a symbol that was misheard.
func (r *reader) brokenOff(e *element) bool {
	isCall := e.call.IsValid()
	if r.strange(e.from-1, e.from, lead|link) || isCall && r.strange(e.to, e.to, link) {
		return true
	}
	// The two words behind a spoken square may be its third pair, one of them misheard.
	first, second := e.to, e.to+1
	if isCall || e.grid.n != 4 || first == len(r.words) || r.words[first].gap&pause != 0 {
		return false
	}
	if second == len(r.words) {
		return r.symbolLeft(first) && r.words[first].spells.trust == guess
	}
	return r.symbolLeft(first) && (r.symbolLeft(second) || r.words[second].means&link == 0) ||
		r.symbolLeft(second) && r.words[first].means&link == 0
}

// symbolLeft reports whether word i is skipped and may have been a symbol: it is not
// known, or spoken.
func (r *reader) symbolLeft(i int) bool {
	d, skips := r.skippedDoubt(i)
	return (d&unknown != 0 || skips && r.words[i].spells.trust >= loose && !r.words[i].spells.filler) && !r.inIdiom(i)
}

// inIdiom reports whether word i is part of a phrase of several words that says nothing
// that matters ("after three tries"), whose report stands beside it, or which contact was none.
func (r *reader) inIdiom(i int) bool {
	return slices.ContainsFunc(r.hits, func(h hit) bool {
		s := h.row.sense
		return (s == neutral && h.n > 1 || s == sentRST || s == gotRST || h.denies()) && slices.Contains(h.spots[:h.n], int16(i))
	})
}

// strange reports whether word i is skipped and may have been a symbol: it is not one of the
// words that stand there in speech. The gap before word at decides whether they touch at all.
func (r *reader) strange(i, at int, allowed meaning) bool {
	d, skips := r.skippedDoubt(i)
	return skips && r.words[at].gap&strong == 0 && !r.counts(i) && !r.inIdiom(i) && (d != 0 || r.words[i].means&(allowed|part|next|namer|tells) == 0)
}

// skippedDoubt returns the doubt of word i and whether the best reading skips it.
func (r *reader) skippedDoubt(i int) (d doubt, skips bool) {
	if i < 0 || i >= len(r.at) || r.at[i].kind != skipped {
		return 0, false
	}
	return r.at[i].doubt, true
}

// cutOff reports whether a typed call may have lost letters to a space that
// does not belong there, or to a sign for what was not read ("ab1c#", "ab1c-"): a
// letter before it, or one or two behind it, that would make an ordinary call with it.
func (r *reader) cutOff(e *element) bool {
	if _, skips := r.skippedDoubt(e.from - 1); skips && len(r.words[e.from-1].s) == 1 && !r.listed(e.from-1) &&
		callClass(upper(r.words[e.from-1].s)+e.call.s) == Valid {
		return true
	}
	switch sign, _, _ := strings.Cut(r.f.S[r.words[e.to-1].to:], " "); sign {
	case "#", "~", "^", "##", "~~", "-", "--":
		return true
	}
	if _, skips := r.skippedDoubt(e.to); !skips {
		return false
	}
	t := &r.words[e.to]
	if t.gap == slash || t.gap&(space|bracket) == bracket && len(t.s) <= 3 {
		return true // "ab1cde/x/y/z", "ab1cd(e)"
	}
	longer := e.call.s + upper(t.s)
	return t.means&part == 0 && callClass(longer) == Valid && !allLetters(longer[max(0, len(longer)-4):])
}

// leftovers weighs the symbols that belong to nothing.
func (j *judgement) leftovers() {
	r := j.r
	unclear := r.strays || r.cut || j.g.unsure
	for _, a := range j.g.around {
		i := int(a.from)
		if j.isRemark(a) {
			continue
		}
		means := r.words[i].means
		unclear = unclear || a.isItem() || a.doubt&strayed != 0 || means&mark != 0 && means&courtesy == 0 ||
			a.doubt&spoken != 0 && j.g.call >= 0 && (r.figures(i) || !r.isLoneName(j.g, i))
	}
	if unclear {
		j.because(Ambiguous)
	}
}

// isRemark reports whether a word beside a whole contact that was typed is left to its
// comment: another word stands between them, or it is the number of a word behind it
// that no table knows, as in "3 bars of battery". What is spoken may have been misheard.
func (j *judgement) isRemark(a *arc) bool {
	r, i := j.r, int(a.from)
	if a.kind != skipped || j.g.call < 0 || len(j.g.grids) == 0 {
		return false
	}
	typed := true
	j.each(func(e *element) { typed = typed && e.kind <= gridArc && e.doubt&(joined|dictated|mended) == 0 })
	touches := func(k int) bool { return k >= 0 && k < len(r.at) && r.at[k].isItem() }
	if !typed || !touches(i-1) && !touches(i+1) {
		return typed
	}
	if i < j.g.to {
		return r.figures(i) && r.words[i+1].gap&(colon|hyphen) != 0 && r.words[i+1].gap&space != 0 // "two: …"
	}
	if r.words[i].spells.trust == loose && !r.figures(i) {
		return true // letters would be spoken by their usual words
	}
	_, skips := r.skippedDoubt(i + 1)
	if !skips || !r.figures(i) || r.words[i+1].gap != space {
		return false
	}
	return len(r.words[i+1].s) > 2 && r.words[i+1].shape == hasLetter && !r.isWord(i+1, courtesy|filler|part|next|mark)
}

// isLoneName reports whether a spoken word can only be a name or a remark: it
// stands alone after a complete contact.
func (r *reader) isLoneName(g *group, i int) bool {
	return i >= g.to && g.call >= 0 && len(g.grids) > 0 && r.elems[g.call].to != i &&
		!r.says(i+int(r.words[i].phrase), i) && (i == g.to || !r.says(i-1, i))
}

// faults looks for what is not there, and checks the grids together and against the bird.
func (j *judgement) faults() {
	bad := slices.ContainsFunc(j.g.grids, func(i int) bool { return j.r.elems[i].kind == badGrid })
	if bad || len(j.c.Grids) > 1 && CheckGrids(j.c.Grids) != nil || j.outOfReach() {
		j.because(BadGrid)
	}
	switch {
	case j.g.call >= 0 && len(j.c.Grids) == 0:
		j.because(NoGrid)
	case j.g.call < 0:
		j.because(NoCall)
		if j.damagedCall() {
			j.because(BadCall)
		}
	}
}

// outOfReach reports whether the bird can't serve a grid of the contact.
func (j *judgement) outOfReach() bool {
	return slices.ContainsFunc(j.c.Grids, func(g Grid) bool { return j.r.outOfReach(g) > 0 })
}

// span returns the words of a group, and those behind it up to the next one, as
// typed: the whole line if there is only one.
func (r *reader) span(g *group) string {
	if len(r.groups) < 2 {
		return r.text
	}
	at := func(i int) int { return r.f.At(i, len(r.text)) }
	to := len(r.text)
	for k := range r.groups {
		if h := &r.groups[k]; h.from >= g.to {
			to = min(to, at(r.words[h.from].from))
		}
	}
	return trimSpan(r.text[at(r.words[g.from].from):max(to, at(r.words[g.to-1].to))])
}

func trimSpan(s string) string { return strings.Trim(s, " ,;.\t&/+") }

// verdict makes the verdict on the line, and reads what lines without a contact can say.
func (r *ledger) verdict() {
	if len(r.line.Contacts) == 0 {
		r.noContact()
	}
	r.line.Verdict = Ignore
	for i := range r.line.Contacts {
		if r.line.Verdict = r.line.Contacts[i].Verdict; r.line.Verdict == Ask {
			return
		}
	}
}

// noContact reads a line without a contact: a time, a day, or several symbols of
// which no call and no grid can be made.
func (r *ledger) noContact() {
	said := 0 // spelled letters
	other := false
	for _, a := range r.path {
		switch {
		case a.kind == clockArc:
			keep(&r.line.Clock, r.clock(a))
		case a.kind == dateArc:
			r.line.Heads.Date, _ = r.dateFrom(int(a.from))
		default:
			t := &r.words[a.from]
			if a.doubt&spoken != 0 && isLetter(t.spells.syms[0]) {
				said++
			}
			other = other || a.kind != skipped || t.means&(at|utc|timeWord) == 0
		}
	}
	if other {
		r.line.Clock, r.line.Heads = Clock{}, Header{}
	}
	c := Contact{Verdict: Ask, Why: BadCall, Text: r.text, Candidates: r.scattered()}
	if len(c.Candidates) > 0 {
		c.Why = Ambiguous
	}
	if (said >= 3 || c.Why == Ambiguous) && !r.owned {
		r.line.Contacts = append(r.line.Contacts, c)
	}
}
