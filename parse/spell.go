package parse

import (
	_ "embed"
	"slices"
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
	trust trust
	// syms are the symbols in upper case, more than one for a group of digits.
	syms string
	// or is another reading, "" if there is none.
	or string
	// filler marks a word that is as often no symbol at all ("to", "for").
	filler bool
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

// spokenTable is the table of spoken words; its head explains it.
//
//go:embed spoken.txt
var spokenTable string

// vocabulary is what the table says, by words; those of a phrase are joined by
// one space.
type vocabulary struct {
	spellings map[string]spelling // what is a symbol in every line
	senses    map[string][]saying // what depends on the language, and roles
	// heads are the first words of phrases of either kind.
	spellingHeads, senseHeads map[string]bool
	languages                 []string
	tens                      map[uint8][][2]string // word and first figure, by language
}

var (
	spokenWords = readVocabulary(spokenTable)
	spellings   = spokenWords.spellings
	phraseHeads = spokenWords.spellingHeads
)

var spellingKinds = map[string]trust{"guess": guess, "loose": loose, "homophone": loose, "plain": plain, "name": loose}

var roles = map[string]role{
	"stroke": strokeWord, "mark": markWord, "times": timesWord, "figure": figureWord, "like": likeWord, "tail": tailWord,
	"joiner": joinerWord, "hundred": hundredWord, "at": atWord, "utc": utcWord, "hum": humWord, "aside": asideWord,
	"farewell": farewellWord,
}

func readVocabulary(table string) *vocabulary {
	v := &vocabulary{
		spellings: map[string]spelling{}, senses: map[string][]saying{}, spellingHeads: map[string]bool{}, senseHeads: map[string]bool{},
		languages: []string{"*", "en"}, tens: map[uint8][][2]string{},
	}
	for line := range strings.Lines(table) {
		if cells := strings.Split(strings.TrimSpace(line), " | "); len(cells) == 4 && cells[0][0] != '#' {
			v.addRow(cells[0], cells[1], cells[2], strings.Split(cells[3], ", "))
		}
	}
	return v
}

// addRow adds a row of the table.
func (v *vocabulary) addRow(sym, kind, language string, words []string) {
	lang := slices.Index(v.languages, language)
	if lang < 0 {
		lang = len(v.languages)
		v.languages = append(v.languages, language)
	}
	first, counts := strings.CutSuffix(sym, "..")
	for i, word := range words {
		s := saying{role: roles[kind], trust: spellingKinds[kind], named: kind == "name", lang: uint8(max(0, lang-1)), syms: sym}
		switch {
		case word == "-": // another row has it
			continue
		case kind == "compound":
			v.addCompounds(sym, word, i+1, s.lang)
			continue
		case counts && len(first) == 2 && first[1] == '0':
			s.syms = tens[atoi(first)+10*i]
			v.tens[s.lang] = append(v.tens[s.lang], [2]string{word, s.syms[:1]})
		case counts:
			s.syms = strings.TrimPrefix(tens[atoi(first)+i], "0")
			s.syms = strings.Repeat("0", 1-min(1, len(s.syms))) + s.syms
		case sym == "-" && s.trust != unspelled:
			s.syms, word, _ = strings.Cut(word, " ")
		}
		for w := range strings.SplitSeq(word, "/") {
			v.add(w, s, kind == "homophone")
		}
	}
}

// addCompounds adds the tens of a language with one of the units, in the order
// of a pattern. A ten that stands first may lose its last letter.
func (v *vocabulary) addCompounds(pattern, unit string, figure int, lang uint8) {
	for _, ten := range v.tens[lang] {
		s := saying{trust: plain, lang: lang, syms: ten[1] + tens[figure][1:]}
		word := ten[0]
		v.add(strings.NewReplacer("U", unit, "T", word).Replace(pattern), s, false)
		if pattern[0] == 'T' {
			v.add(word[:len(word)-1]+unit, s, false)
		}
	}
}

// add adds a word or phrase.
func (v *vocabulary) add(word string, s saying, filler bool) {
	head, _, phrase := strings.Cut(word, " ")
	if s.role == noRole && s.lang == 0 {
		syms, or, _ := strings.Cut(s.syms, " or ")
		v.spellings[word] = spelling{trust: s.trust, syms: syms, or: or, filler: filler}
		v.spellingHeads[head] = v.spellingHeads[head] || phrase
		return
	}
	v.senses[word] = append(v.senses[word], s)
	v.senseHeads[head] = v.senseHeads[head] || phrase
}

// tens holds the numbers from 0 to 99 in two figures.
var tens = func() (t [100]string) {
	for i := range t {
		t[i] = string([]byte{'0' + byte(i/10), '0' + byte(i%10)})
	}
	return t
}()
