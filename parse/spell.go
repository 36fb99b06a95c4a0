package parse

import (
	"slices"
	"strconv"
	"strings"
)

// trust says how far a spoken word stands for its symbol.
type trust uint8

// The levels. A plain word has no other meaning; a loose one counts only beside
// other spelled symbols; a guess only suggests.
const (
	unspelled trust = iota
	guess
	loose
	plain
)

// spelling is what a spoken word stands for.
type spelling struct {
	trust  trust
	syms   string // in upper case, more than one for a group of digits
	or     string // another reading, "" if there is none
	filler bool   // as often no symbol at all: "to", "for"
}

// role is what a word does beside spelled symbols.
type role uint8

// The roles that the table tells of.
const (
	noRole role = iota
	strokeWord
	markWord
	timesWord
	figureWord
	likeWord
	tailWord
	joinerWord
	hundredWord
	atWord
	utcWord
	humWord
	thanksWord
	asideWord
	farewellWord
)

// saying is what a word or phrase stands for in a language, or does there beside
// symbols.
type saying struct {
	role  role
	trust trust // unspelled if it has a role
	named bool  // a letter's name, which counts in a row of such
	lang  uint8 // 0 for what every line understands
	syms  string
}

// spokenKinds are the kinds of rows of spoken.txt.
var spokenKinds = map[string]saying{
	"guess": {trust: guess}, "loose": {trust: loose}, "homophone": {trust: loose}, "plain": {trust: plain}, "name": {trust: loose, named: true},
	"stroke": {role: strokeWord}, "mark": {role: markWord}, "times": {role: timesWord}, "figure": {role: figureWord}, "like": {role: likeWord},
	"tail": {role: tailWord}, "joiner": {role: joinerWord}, "hundred": {role: hundredWord}, "at": {role: atWord}, "utc": {role: utcWord},
	"hum": {role: humWord}, "thanks": {role: thanksWord}, "aside": {role: asideWord}, "farewell": {role: farewellWord},
}

// addSpoken adds a row of spoken.txt.
func (lex *lexicon) addSpoken(row string) {
	cells := strings.Split(row, " | ")
	symbol, kind, language := cells[0], cells[1], cells[2]
	lang := slices.Index(lex.languages, language)
	if lang < 0 {
		lang = len(lex.languages)
		lex.languages = append(lex.languages, language)
	}
	s := spokenKinds[kind]
	s.syms, s.lang = symbol, uint8(max(0, lang-1))
	first, counts := strings.CutSuffix(symbol, "..")
	figure, step := 0, 1
	if counts {
		if figure = atoi(first); figure > 0 && figure%10 == 0 {
			step = 10
		}
	}
	for i, word := range strings.Split(cells[3], ", ") {
		switch {
		case counts:
			s.syms = strconv.Itoa(figure + i*step)
		case symbol == "-" && s.trust != unspelled:
			s.syms, word, _ = strings.Cut(word, " ")
		}
		for w := range strings.SplitSeq(word, "/") {
			if w != "-" { // another row has it
				lex.addSaying(w, s, kind == "homophone")
			}
		}
	}
}

// addSaying adds a spoken word or phrase.
func (lex *lexicon) addSaying(word string, s saying, filler bool) {
	e := lex.entry(word)
	if head, _, phrase := strings.Cut(word, " "); phrase {
		lex.entry(head).heads = true
	}
	if s.role != noRole || s.lang > 0 {
		e.senses = append(e.senses, s)
		return
	}
	syms, or, _ := strings.Cut(s.syms, " or ")
	e.spells = spelling{trust: s.trust, syms: syms, or: or, filler: filler}
}

// mostPhrase is how many words a spoken phrase has at most.
const mostPhrase = 5

// spokenPhrase returns the entry of the longest phrase that words begin with of those
// that are wanted, and how many words it takes: none and 0 if there is none.
func spokenPhrase(all []token, wanted func(*entry) bool) (e *entry, words int) {
	e = none
	if first := all[0].entry; wanted(first) {
		e, words = first, 1
	}
	if !all[0].entry.heads {
		return e, words
	}
	var buf [64]byte
	b := append(buf[:0], all[0].s...)
	for n := 1; n < mostPhrase && n < len(all); n++ {
		if all[n].gap&^(space|hyphen) != 0 || len(b)+1+len(all[n].s) > len(buf) {
			break
		}
		b = append(append(b, ' '), all[n].s...)
		if found := tables().entries[string(b)]; found != nil && wanted(found) {
			e, words = found, n+1
		}
	}
	return e, words
}

// spell notes what words, of one phrase, stand for.
func spell(words []token, sp spelling) {
	words[0].spells, words[0].phrase = sp, int8(len(words))
	for k := range words[1:] {
		words[1+k].within = sp.trust
	}
}
