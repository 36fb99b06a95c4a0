package parse

import "slices"

// speech is what a word does in its line beside spelled symbols.
type speech struct {
	role  role
	words int8 // of a phrase that begins here
	syms  string
}

// meant holds the senses of a word, or of the phrase that it belongs to.
type meant struct {
	senses []saying
	words  int // of the phrase, from its first word on
}

// listener finds out what the words of a line say in the language that it is in.
type listener struct {
	*lattice
	meant []meant // by word
	langs uint16  // bits of the languages that the line may be in
	sure  bool    // several words tell it
}

// listen looks up what the words do and what they spell in other languages.
func (l *lattice) listen() {
	h := listener{lattice: l}
	for i := 0; i < len(l.words); i++ {
		found, n := spokenPhrase(l.words[i:], func(e *entry) bool { return e.senses != nil })
		if n > 0 && h.meant == nil {
			h.meant = make([]meant, len(l.words))
		}
		for k := range n {
			h.meant[i+k] = meant{found.senses, n - k}
		}
		i += max(0, n-1)
	}
	h.chooseLanguage()
	for i := 0; i < len(h.meant); i += max(1, h.meant[i].words) {
		h.settle(i, &h.meant[i])
	}
}

// chooseLanguage lets the words of a line vote for the language that it is in; every
// line understands English.
func (h *listener) chooseLanguage() {
	var votes [16]int
	for i := 0; i < len(h.meant); i += max(1, h.meant[i].words) {
		for k, s := range h.meant[i].senses {
			if len(h.words[i].s) > 1 && (k == 0 || h.meant[i].senses[k-1].lang != s.lang) {
				votes[s.lang]++
			}
		}
	}
	most := slices.Max(votes[1:])
	for lang, n := range votes {
		if lang == 0 || n == most && n > 0 {
			h.langs |= 1 << lang
		}
	}
	h.sure = most > 1
}

// understood reports whether the line may be in the language of a saying.
func (h *listener) understood(s *saying) bool { return h.langs>>s.lang&1 != 0 }

// settle gives the words from i on the saying that they have in their line.
func (h *listener) settle(i int, m *meant) {
	t := &h.words[i]
	var sp spelling
	var does saying
	for k := range m.senses {
		switch s := &m.senses[k]; {
		case !h.understood(s) || s.named && !h.inRowOfNames(i):
		case s.role == noRole && sp.trust == unspelled:
			sp = spelling{trust: s.trust, syms: s.syms}
		case s.role != noRole && (does.role == noRole || s.lang > 0):
			does = *s
		}
	}
	if h.leadsGrid(i, m) {
		t.speech = speech{asideWord, int8(m.words), ""}
		spell(h.words[i:i+m.words], spelling{})
		return
	}
	free := t.spells.trust < loose && t.means&(small|name) == 0 // no other meaning is known
	if sp.trust != unspelled && (h.sure || free || does.role == noRole && h.amid(i, i+m.words)) {
		spell(h.words[i:i+m.words], sp)
		return
	}
	void := m.words > 1 || len(t.s) > 2 && t.means == 0 && t.spells.trust == unspelled
	if does.role == noRole || does.lang > 0 && !h.sure && !void || len(t.s) == 1 && m.words == 1 && h.besideSingle(i) ||
		does.role == humWord && !h.pauses(i, i+m.words) {
		t.spells.filler = t.spells.filler || h.langs > 1 && t.spells.trust == loose && len(t.s) < 3 // "en" may be no letter
		return
	}
	t.speech = speech{does.role, int8(m.words), does.syms}
	if does.lang > 0 {
		spell(h.words[i:i+m.words], spelling{})
		t.phrase = 1
	}
	switch does.role {
	case strokeWord:
		h.words[i+m.words-1].means |= stroke
	case markWord:
		t.means |= mark
	}
}

// leadsGrid reports whether word i is "in" in some language: it stands between a spoken
// letter and a spoken square. A single letter is small there between capitals; "en", which
// English says for N, stands in a line that counts in no English words.
func (h *listener) leadsGrid(i int, m *meant) bool {
	to := i + m.words
	if !slices.ContainsFunc(m.senses, func(s saying) bool { return s.role == asideWord }) || !h.amid(i, to) ||
		len(h.words[i].s) == 1 && !(h.isCapital(i-1) && !h.isCapital(i) && h.isCapital(to)) ||
		h.words[i].spells.trust != unspelled && slices.ContainsFunc(h.words, func(t token) bool {
			return t.spells.trust == plain && '1' <= t.spells.syms[0] && t.spells.syms[0] <= '9' // an English figure
		}) {
		return false
	}
	if before, _ := h.symbols(i - 1); !isLetter(before[len(before)-1]) {
		return false
	}
	grid := ""
	for at := to; len(grid) < 4 && at < len(h.words); {
		syms, words := h.symbols(at)
		if syms == "" {
			return false
		}
		grid += syms
		at += words
	}
	return gridRun([]byte(grid)) == len(grid) && len(grid) == 4
}

// amid reports whether the words from, …, to-1 stand between spoken symbols.
func (h *listener) amid(from, to int) bool {
	if from == 0 || to >= len(h.words) || (h.words[from].gap|h.words[to].gap)&pause != 0 {
		return false
	}
	before, _ := h.symbols(from - 1)
	behind, _ := h.symbols(to)
	return before != "" && behind != "" && max(h.words[from-1].spells.trust, h.words[from-1].within) == plain
}

// symbols returns what word i shows or stands for in any language, and how many words
// do; "" if it is no symbol.
func (h *listener) symbols(i int) (syms string, words int) {
	t, m := &h.words[i], &h.meant[i]
	if k := slices.IndexFunc(m.senses, func(s saying) bool { return s.trust >= loose && !s.named }); k >= 0 {
		return m.senses[k].syms, m.words
	}
	if t.spells.trust == plain || t.within == plain {
		return t.spells.syms, int(t.phrase)
	}
	if t.shape == hasDigit {
		return t.s, 1
	}
	return "", 1
}

// setOff reports whether nothing, or a comma, stands before word i.
func (h *listener) setOff(i int) bool {
	return i == 0 || i == len(h.words) || h.words[i].gap&comma != 0
}

// pauses reports whether words stand by themselves: between commas, or beside three dots
// and a space, which are written for a pause.
func (h *listener) pauses(from, to int) bool {
	dotted := func(i int) bool {
		if i == 0 || i == len(h.words) || h.words[i].gap != stop|space {
			return false
		}
		before := &h.words[i-1] // its dots may count as its own: they can stand for symbols
		return h.words[i].from-before.from-len(before.s) > len("...")
	}
	return h.setOff(from) && h.setOff(to) || dotted(from) || dotted(to)
}

// inRowOfNames reports whether word i stands among four symbols or more of which
// several are said by their names.
func (h *listener) inRowOfNames(i int) bool {
	named := 0
	said := func(j int) bool {
		k := slices.IndexFunc(h.meant[j].senses, func(s saying) bool { return s.trust != unspelled && h.understood(&s) })
		if k >= 0 && h.meant[j].senses[k].trust != plain {
			named++
		}
		return k >= 0 || len(h.words[j].s) == 1
	}
	from, to := i, i
	for from > 0 && i-from < rowOfNames && h.words[from].gap&strong == 0 && said(from-1) {
		from--
	}
	for to < len(h.words) && to-i < rowOfNames && (to == i || h.words[to].gap&strong == 0) && said(to) {
		to++
	}
	return to-from >= rowOfNames && named > 1
}

// rowOfNames is how many symbols in a row may be said by the names of letters.
const rowOfNames = 4
