package parse

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
	var h listener
	for i := 0; i < len(l.words); i++ {
		found, n := spokenPhrase(l.words[i:], func(e *entry) bool { return e.senses != nil })
		if n > 0 && h.meant == nil {
			h = listener{lattice: l, meant: make([]meant, len(l.words))}
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

// chooseLanguage lets the words of a line vote for the language that it is in.
func (h *listener) chooseLanguage() {
	var votes [16]int
	most := 0
	for i := 0; i < len(h.meant); i += max(1, h.meant[i].words) {
		if m := &h.meant[i]; len(h.words[i].s) > 1 {
			for k, s := range m.senses {
				if s.lang > 0 && m.senses[0].lang > 0 && (k == 0 || m.senses[k-1].lang != s.lang) {
					votes[s.lang]++
					most = max(most, votes[s.lang])
				}
			}
		}
	}
	for lang, n := range votes {
		if n == most && n > 0 {
			h.langs |= 1 << lang
		}
	}
	h.sure = most > 1
}

// understood reports whether the line may be in the language of a saying.
func (h *listener) understood(s *saying) bool { return s.lang == 0 || h.langs>>s.lang&1 != 0 }

// settle gives the words from i on the saying that they have in their line.
func (h *listener) settle(i int, m *meant) {
	t := &h.words[i]
	sp := spelling{}
	var does saying
	for k := range m.senses {
		s := &m.senses[k]
		switch {
		case !h.understood(s):
		case s.role != noRole:
			if does.role == noRole || s.lang > 0 {
				does = *s
			}
		case s.named && !h.inRowOfNames(i):
		case !s.named && !(s.trust == plain && h.sure) && !h.symbol(i-1, i) && !h.symbol(i+m.words, i+m.words):
		case sp.trust == unspelled:
			sp = spelling{trust: s.trust, syms: s.syms}
		case sp.syms != s.syms:
			sp.or = s.syms
		}
	}
	if sp.trust != unspelled && (h.sure || t.spells.trust < loose && t.means&small == 0) {
		t.spells, t.phrase = sp, int8(m.words)
		for k := 1; k < m.words; k++ {
			h.words[i+k].within = sp.trust
		}
		return
	}
	void := m.words > 1 || len(t.s) > 2 && t.means == 0 && t.spells.trust == unspelled
	if does.role == noRole || does.lang > 0 && !h.sure && !void || len(t.s) == 1 && m.words == 1 && h.besideSingle(i) ||
		does.role == humWord && !h.setOff(i, i+m.words) {
		t.spells.filler = t.spells.filler || h.langs != 0 && t.spells.trust == loose && len(t.s) < 3 // "en" may be no letter
		return
	}
	t.speech = speech{does.role, int8(m.words), does.syms}
	if does.lang > 0 {
		for k := range m.words {
			h.words[i+k].spells, h.words[i+k].within = spelling{}, unspelled
		}
		t.phrase = 1
	}
	switch does.role {
	case strokeWord:
		h.words[i+m.words-1].means |= stroke
	case markWord:
		t.means |= mark
		if t.gap == slash|space|detached && t.from-h.words[i-1].to > 2 {
			t.gap = slash | space // "hx2abc / portable"
		}
	}
}

// setOff reports whether commas, or words that are no symbols, part the words in
// between from what is spelled: otherwise a symbol may have been misheard.
func (h *listener) setOff(from, to int) bool {
	parted := func(i, at int) bool {
		return i < 0 || i >= len(h.words) || h.words[at].gap&comma != 0 || !h.symbol(i, at) && h.words[i].shape&hasDigit == 0
	}
	return parted(from-1, from) && parted(to, min(to, len(h.words)-1))
}

// symbol reports whether word j is a symbol that touches the gap before word at.
func (h *listener) symbol(j, at int) bool {
	if j < 0 || j >= len(h.words) || h.words[at].gap&strong != 0 {
		return false
	}
	t, m := &h.words[j], &h.meant[j]
	for k := range m.senses {
		s := &m.senses[k]
		if s.role == joinerWord && j < at && h.understood(s) {
			return h.symbol(j-1, j)
		}
		if h.understood(s) && (s.trust != unspelled && !s.named || s.lang > 0 && h.sure) {
			return s.trust != unspelled
		}
	}
	return max(t.spells.trust, t.within) >= loose && !t.spells.filler || t.shape == hasDigit && len(t.s) <= 2 || len(t.s) == 1
}

// inRowOfNames reports whether word i stands among four symbols or more that are
// said by their names.
func (h *listener) inRowOfNames(i int) bool {
	named := 0
	said := func(j int) bool {
		if j < 0 || j >= len(h.words) {
			return false
		}
		for k := range h.meant[j].senses {
			if s := &h.meant[j].senses[k]; s.trust != unspelled && h.understood(s) {
				if s.trust != plain {
					named++
				}
				return true
			}
		}
		return len(h.words[j].s) == 1
	}
	from, to := i, i
	for i-from < rowOfNames && said(from-1) && h.words[from].gap&strong == 0 {
		from--
	}
	for to == i || to-i < rowOfNames && said(to) && h.words[to].gap&strong == 0 {
		to++
	}
	return to-from >= rowOfNames && named > 1
}

// rowOfNames is how many symbols in a row may be said by the names of letters.
const rowOfNames = 4
