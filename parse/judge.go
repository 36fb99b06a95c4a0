package parse

import (
	"slices"
	"strings"
)

// finish makes contacts of the groups and the verdict on the line.
func (r *reader) finish() {
	r.line.Contacts = make([]Contact, 0, len(r.groups))
	for i := range r.groups {
		g := &r.groups[i]
		c := r.judge(g)
		r.line.Contacts = append(r.line.Contacts, c)
	}
	r.attachSides()
	r.verdict()
}

// judge makes a contact of a group.
func (r *reader) judge(g *group) Contact {
	j := judgement{r: r, g: g}
	j.c.Corrects, j.c.Was = r.corrects, r.was
	j.fill()
	j.cues()
	j.parts()
	j.rivals()
	j.leftovers()
	j.gridFaults()
	j.missing()
	j.strangers()
	j.close()
	return j.c
}

// judgement collects what speaks against a contact.
type judgement struct {
	r    *reader
	g    *group
	c    Contact
	whys uint16 // bits by rank
}

// ranks orders the reasons: the first of those found is told.
var ranks = [...]Why{Denied, Doubted, Partial, Ambiguous, BadCall, BadGrid, Repaired, Odd, NoGrid, NoCall}

func (j *judgement) because(w Why) {
	for i, rank := range ranks {
		if rank == w {
			j.whys |= 1 << i
		}
	}
}

func (j *judgement) call() *element {
	if j.g.call < 0 {
		return nil
	}
	return &j.r.elems[j.g.call]
}

// fill takes over what was read.
func (j *judgement) fill() {
	if e := j.call(); e != nil && e.kind == callArc {
		j.c.Call = e.call
	}
	for _, i := range j.g.grids {
		if e := &j.r.elems[i]; e.kind == gridArc {
			j.c.Grids = append(j.c.Grids, e.grid)
		}
	}
	if j.g.unsure || j.r.cut {
		j.because(Ambiguous)
	}
}

func (j *judgement) cues() {
	if why := j.g.cue; why != "" {
		j.because(why)
		j.c.Heard = why == Denied
	}
}

// each calls f for every element of the group.
func (j *judgement) each(f func(*element)) {
	if e := j.call(); e != nil {
		f(e)
	}
	for _, i := range j.g.grids {
		f(&j.r.elems[i])
	}
}

// rivals weighs what else the words could be, and the doubts of the reading.
func (j *judgement) rivals() {
	j.each(func(e *element) {
		if e.doubt&eitherWay != 0 || len(e.others) > 0 || j.hasRival(e) {
			j.because(Ambiguous)
		}
		if e.doubt&unusual != 0 && !j.r.isKnown(e.call) {
			j.because(Odd)
		}
		if e.doubt&mended != 0 && e.kind != badGrid {
			j.because(Repaired)
		}
		if e.doubt&joined != 0 && e.isCall() && j.r.calls() > 1 {
			j.because(Ambiguous)
		}
		if e.doubt&(joined|dictated) != 0 && j.r.brokenOff(e) || e.kind == callArc && j.r.cutOff(e) {
			j.because(Ambiguous)
		}
	})
}

// hasRival reports whether the words of an element could sensibly be something
// else. A call that goes on into the name that follows a complete contact is no
// rival.
func (j *judgement) hasRival(e *element) bool {
	if len(e.rivals) > 0 && j.r.saidTwice(e) {
		return false
	}
	for _, a := range e.rivals {
		goesOn := a.kind == callArc && int(a.from) == e.from && int(a.to) == e.to+1 && (e.doubt == 0 || e.kind == gridArc)
		if !goesOn || !j.r.isLoneName(j.g, e.to) {
			return true
		}
	}
	return false
}

// saidTwice reports whether a call is repeated right away: there is no other
// way to read both alike.
func (r *reader) saidTwice(e *element) bool {
	for i := range r.elems {
		f := &r.elems[i]
		if e.kind == callArc && f != e && f.same(e) && f.to-f.from == e.to-e.from && (f.from == e.to || e.from == f.to) {
			return true
		}
	}
	return false
}

// isKnown reports whether an unusual call needs no question any more.
func (r *reader) isKnown(c Callsign) bool {
	if r.known.Confirmed != nil && r.known.Confirmed(c) {
		return true
	}
	for _, s := range r.known.Expected {
		if s.Call == c {
			return true
		}
	}
	return false
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
	if r.strange(e.from-1, e.from, lead|link) {
		return true
	}
	if e.isCall() {
		return r.strange(e.to, e.to, link)
	}
	return e.grid.n == 4 && r.thirdPairMisheard(e.to)
}

// cutOff reports whether a typed call may have lost letters to a space that
// does not belong there: a letter before it, or one or two behind it, that
// would make an ordinary call with it.
func (r *reader) cutOff(e *element) bool {
	base := e.call.s
	if _, skips := r.skippedDoubt(e.from - 1); skips && len(r.words[e.from-1].s) == 1 && r.words[e.from].gap&(slash|strong) == 0 && !r.listed(e.from-1) {
		if callClass(upper(r.words[e.from-1].s)+base) == Valid {
			return true
		}
	}
	if r.openEnd(e) {
		return true
	}
	if _, skips := r.skippedDoubt(e.to); !skips {
		return false
	}
	t := &r.words[e.to]
	if t.gap == slash || t.gap&(space|bracket) == bracket && len(t.s) <= 3 {
		return true // "ab1cde/x/y/z", "ab1cd(e)"
	}
	glued := t.gap&(space|comma|strong) == 0
	switch {
	case t.shape != hasLetter || t.gap&(comma|strong) != 0 || !glued && (len(t.s) > 2 || t.s == "in" && r.startsElement(e.to+1)):
		return false
	case len(t.s) == 1 && t.gap&pause != 0:
		return false // "…. a bit of fading"
	}
	longer := base + upper(t.s)
	c, _ := makeCallsign(longer)
	return c.class == Valid && (glued || !allLetters(longer[max(0, len(longer)-4):]))
}

// openEnd reports whether a call is followed by a sign for what was not read:
// "ab1c#", "ab1c-".
func (r *reader) openEnd(e *element) bool {
	end := r.words[e.to-1].to
	rest := strings.TrimRight(r.f.s[end:min(len(r.f.s), end+3)], " ")
	sign, _, _ := strings.Cut(rest, " ")
	switch sign {
	case "#", "~", "^", "##", "~~":
		return true
	case "-", "--":
		base := e.call.Base()
		return len(base) < 3 || !allLetters(base[len(base)-3:])
	}
	return false
}

// strange reports whether word i is skipped and may have been a symbol: it is
// not one of the words that stand there in speech. The gap before word at
// decides whether they touch at all.
func (r *reader) strange(i, at int, allowed meaning) bool {
	if i < 0 || i >= len(r.words) || at < len(r.words) && r.words[at].gap&strong != 0 {
		return false
	}
	d, skips := r.skippedDoubt(i)
	return skips && !r.counts(i) && (d != 0 || r.words[i].means&(allowed|part|next|namer|corrects|denies|refuses|heard|doubts) == 0)
}

// thirdPairMisheard reports whether the two words from i on may be the third
// pair of a spoken grid, one of them misheard.
func (r *reader) thirdPairMisheard(i int) bool {
	spells := func(j int) bool {
		_, skips := r.skippedDoubt(j)
		return skips && r.words[j].spells.trust >= loose && !r.words[j].spells.filler
	}
	symbol := func(j int) bool {
		d, _ := r.skippedDoubt(j)
		return d&unknown != 0 || spells(j)
	}
	if i >= len(r.words) || r.words[i].gap&pause != 0 {
		return false
	}
	if i+1 == len(r.words) {
		return symbol(i) && r.words[i].spells.trust == guess
	}
	return symbol(i) && (symbol(i+1) || r.words[i+1].means&link == 0) || symbol(i+1) && r.words[i].means&link == 0
}

// skippedDoubt returns the doubt of word i and whether the best reading skips
// it.
func (r *reader) skippedDoubt(i int) (d doubt, skips bool) {
	if i < 0 || i >= len(r.at) || r.at[i].kind != skipped {
		return 0, false
	}
	return r.at[i].doubt, true
}

// leftovers weighs the symbols that belong to nothing.
func (j *judgement) leftovers() {
	r := j.r
	for _, a := range j.g.around {
		i := int(a.from)
		switch {
		case a.isItem():
			j.because(Ambiguous)
		case a.doubt&strayed != 0, r.words[i].means&mark != 0 && r.words[i].s != "qrp":
			j.because(Ambiguous)
		case a.doubt&spoken != 0 && j.g.call >= 0 && (r.figures(i) || !r.isLoneName(j.g, i)):
			j.because(Ambiguous)
		}
	}
	if r.strays {
		j.because(Ambiguous)
	}
}

// strangers doubts an otherwise certain contact beside a word that nobody
// knows.
func (j *judgement) strangers() {
	if j.whys != 0 {
		return
	}
	for _, a := range j.g.around {
		if !a.isItem() && j.r.outlandish(int(a.from)) {
			j.because(Doubted)
			return
		}
	}
}

// isLoneName reports whether a spoken word can only be a name or a remark: it
// stands alone after a complete contact.
func (r *reader) isLoneName(g *group, i int) bool {
	if i < g.to || g.call < 0 || len(g.grids) == 0 || r.says(i+int(r.words[i].phrase), i) || i > g.to && r.says(i-1, i) {
		return false
	}
	for j := g.to; j < i; j++ {
		if d, _ := r.skippedDoubt(j); d != 0 {
			return false
		}
	}
	call := &r.elems[g.call]
	if call.to != i {
		return true
	}
	base := call.call.Base()
	return call.doubt == 0 && len(base) >= 3 && allLetters(base[len(base)-3:])
}

// gridFaults checks the grids of the group together and against the bird.
func (j *judgement) gridFaults() {
	for _, i := range j.g.grids {
		if j.r.elems[i].kind == badGrid {
			j.because(BadGrid)
		}
	}
	if len(j.c.Grids) > 1 && CheckGrids(j.c.Grids) != nil {
		j.because(BadGrid)
	}
	if j.outOfReach() {
		j.because(BadGrid)
	}
}

// outOfReach reports whether the bird can't serve a grid of the contact, which
// is well-formed otherwise.
func (j *judgement) outOfReach() bool {
	return CheckGrids(j.c.Grids) == nil &&
		slices.ContainsFunc(j.c.Grids, func(g Grid) bool { return j.r.outOfReach(g) > 0 })
}

// missing looks for what is not there.
func (j *judgement) missing() {
	if j.g.call < 0 {
		if j.damagedCall() {
			j.because(BadCall)
		}
		j.because(NoCall)
		return
	}
	if len(j.g.grids) == 0 && len(j.c.Grids) == 0 {
		j.because(NoGrid)
	}
}

// close decides.
func (j *judgement) close() {
	j.c.Text = j.r.span(j.g)
	for i, w := range ranks {
		if j.whys&(1<<i) != 0 {
			j.c.Why, j.c.Verdict = w, Ask
			j.candidates()
			return
		}
	}
	j.c.Verdict = Log
}

// span returns the words of a group as typed: the whole line if there is only
// one.
func (r *reader) span(g *group) string {
	if len(r.groups) < 2 {
		return r.text
	}
	from := r.f.at(r.words[g.from].from, len(r.text))
	to := len(r.text)
	for k := range r.groups {
		if h := &r.groups[k]; h.from >= g.to {
			to = min(to, r.f.at(r.words[h.from].from, len(r.text)))
		}
	}
	if end := r.f.at(r.words[g.to-1].to, len(r.text)); to < end {
		to = end
	}
	return trimSpan(r.text[from:to])
}

func trimSpan(s string) string { return strings.Trim(s, " ,;.\t&/+") }

// verdict makes the verdict on the line, and reads what lines without a
// contact can say.
func (r *reader) verdict() {
	if len(r.line.Contacts) == 0 {
		r.noContact()
		return
	}
	r.line.Verdict = Log
	for i := range r.line.Contacts {
		if r.line.Contacts[i].Verdict != Log {
			r.line.Verdict = Ask
		}
	}
}

// noContact reads a line without a contact.
func (r *reader) noContact() {
	said := 0 // spelled letters
	only := true
	for _, a := range r.path {
		switch {
		case a.kind == clockArc:
			if !r.line.Clock.IsSet() {
				r.line.Clock, _ = clockOf(r.clockText(a))
			}
		case a.kind == skipped && a.doubt&spoken != 0:
			if syms := r.words[a.from].spells.syms; isLetter(syms[0]) {
				said++
			}
			only = false
		case a.kind != skipped || r.words[a.from].means&(part|small) == 0 || !r.wordIs(int(a.from), "at", "utc", "z", "time"):
			only = false
		}
	}
	if !only {
		r.line.Clock = Clock{}
	}
	for _, c := range r.cues {
		// That somebody was heard says nothing of the contact before.
		r.line.Denies = r.line.Denies || c.why == Denied && !r.owned && r.words[c.at].means&heard == 0
	}
	c := Contact{Verdict: Ask, Why: BadCall, Text: r.text, Candidates: r.scattered()}
	if len(c.Candidates) > 0 {
		c.Why = Ambiguous
	}
	if (said >= 3 || c.Why == Ambiguous) && !r.owned {
		r.line.Contacts = append(r.line.Contacts, c)
		r.line.Verdict = Ask
	}
}
