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
	j := judgement{r: r, g: g, c: c, whys: g.whys}
	j.c.Corrects, j.c.Was = r.corrects, r.was
	j.fill()
	j.under()
	j.parts()
	j.rivals()
	j.leftovers()
	j.gridFaults()
	j.missing()
	j.close()
}

// judgement collects what speaks against a contact.
type judgement struct {
	r    *reader
	g    *group
	c    *Contact
	whys uint16 // bits by rank
}

// ranks orders the reasons: the first of those found is told.
var ranks = [...]Why{Denied, Doubted, Elsewhere, Dated, Partial, Ambiguous, BadCall, BadGrid, Repaired, Odd, NoGrid, NoCall}

func rankOf(w Why) uint16 { return 1 << slices.Index(ranks[:], w) }

func (j *judgement) because(w Why) { j.whys |= rankOf(w) }

func (g *group) because(w Why) { g.whys |= rankOf(w) }

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

// under weighs what the phrases say, and the lines above.
func (j *judgement) under() {
	if h := j.r.known.Under; h.Why != "" {
		j.because(h.Why)
	}
	if strings.HasPrefix(strings.TrimLeft(j.r.text, " "), ">") {
		j.because(Doubted) // quoted: somebody else's
	}
	if !j.c.Date.IsSet() {
		j.c.Date = j.r.known.Under.Date
	}
	if j.c.Date.IsSet() && !j.c.Date.Fits(j.r.known.Date) || j.r.undated {
		j.because(Dated)
	}
	j.c.Heard = j.whys&rankOf(Denied) != 0
	if above := j.r.known.Under.Comment; above != "" {
		j.c.Comment = strings.TrimSuffix(above+" "+j.c.Comment, " ")
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
		if e.kind == callArc && j.r.dropsFigure(e) {
			j.because(Ambiguous)
		}
		if e.kind == callArc && j.r.joinsWord(e) && !j.r.isKnown(e.call) {
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

// dropsFigure reports whether a spelled call holds a word that may be a figure of it
// and stands behind another: "two for x-ray".
func (r *reader) dropsFigure(e *element) bool {
	for i := e.from + 1; i < e.to; i++ {
		if r.words[i].spells.filler && r.figure(i-1) >= 0 && !r.words[i-1].spells.filler {
			return true
		}
	}
	return false
}

// joinsWord reports whether a call was joined of a prefix and a word that can be
// said: "ne5 quit".
func (r *reader) joinsWord(e *element) bool {
	t := &r.words[e.to-1]
	return e.to == e.from+2 && e.doubt&joined != 0 && e.doubt&dictated == 0 && t.shape == hasLetter && len(t.s) > 2 && pronounceable(t.s)
}

// pronounceable reports whether three or four letters can be said as a word.
func pronounceable(s string) bool {
	vowel := func(i int) bool { return strings.IndexByte("aeiouy", s[i]) >= 0 }
	if len(s) == 3 {
		return vowel(1) || vowel(0) && vowel(2)
	}
	return strings.ContainsAny(s, "aeiouy")
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
	return c.class == Valid && r.gain(c.s) > 0 // joined: heard on this pass
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
	case t.shape != hasLetter || t.gap&(comma|strong) != 0 || !glued && (len(t.s) > 2 || t.means&part != 0 && r.startsElement(e.to+1)):
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
	return skips && !r.counts(i) && (d != 0 || r.words[i].means&(allowed|part|next|namer|tells) == 0)
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
		case a.doubt&strayed != 0, r.words[i].means&mark != 0 && r.words[i].means&courtesy == 0:
			j.because(Ambiguous)
		case a.doubt&spoken != 0 && j.g.call >= 0 && (r.figures(i) || !r.isLoneName(j.g, i)):
			j.because(Ambiguous)
		}
	}
	if r.strays {
		j.because(Ambiguous)
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
func (r *ledger) verdict() {
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
func (r *ledger) noContact() {
	said := 0 // spelled letters
	only := true
	for _, a := range r.path {
		switch {
		case a.kind == clockArc:
			if !r.line.Clock.IsSet() {
				r.line.Clock = r.clock(a)
			}
		case a.kind == dateArc:
			r.line.Heads.Date = r.dateOf(a)
		case a.kind == skipped && a.doubt&spoken != 0:
			if syms := r.words[a.from].spells.syms; isLetter(syms[0]) {
				said++
			}
			only = false
		case a.kind != skipped || r.words[a.from].means&(at|utc|timeWord) == 0:
			only = false
		}
	}
	if !only {
		r.line.Clock, r.line.Heads = Clock{}, Header{}
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
