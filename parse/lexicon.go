package parse

import (
	"cmp"
	_ "embed"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// The tables: classes of words, the words that stand for symbols, and phrases. The
// head of each explains it.
var (
	//go:embed words.txt
	wordsTable string
	//go:embed spoken.txt
	spokenTable string
	//go:embed phrases.txt
	phrasesTable string
)

// meaning is what the classes of a word say of it.
type meaning uint64

// The classes that Go asks for by name, each with its name in words.txt. All others
// serve patterns alone and share a bit: there may be as many as are needed.
const (
	small      meaning = 1 << iota // a short word that is no letters of a call
	part                           // parts one item from the next: "grid", "from"
	next                           // begins another contact
	name                           // a first name
	namer                          // announces a name
	nameless                       // behind a namer: there is none
	modeword                       // a mode that linear birds carry
	stroke                         // "/"
	mark                           // a mark after a stroke
	lead                           // may stand right before a spelled call
	link                           // may stand right beside a spelled call or grid
	unit                           // a number before it is no symbol
	glued                          // a unit that may be glued to its number
	timeUnit                       // of an offset
	ordinals                       // endings of a day of the month
	half                           // of the day, glued to a time
	month                          // of a date
	region                         // a postal code that people put behind a grid
	at                             // what follows may be a time
	around                         // the same, if the number has the form of one
	minute                         // what follows may be a minute
	timeWord                       // announces a time
	utc                            // what stands before is a time
	be                             // "is"
	courtesy                       // says nothing but good of the contact
	filler                         // says nothing at all
	onBird                         // before a bird that is shaped like a grid
	times                          // between the figures of a report
	joins                          // two grids
	ands                           // joins contacts
	negates                        // "not"
	points                         // to a contact told before
	subject                        // a word of what a doubt speaks of: "the second one"
	ones                           // the one of "next one"
	ordinal                        // before it
	more                           // behind it
	calling                        // announces a name behind one of self
	self                           // "se" of "se llama"
	titled                         // stands behind a name
	mic                            // "mikro" of "edeltraud am mikro"
	hourUnit                       // glued to the hour of a time
	minuteUnit                     // glued to its minute
	ofPatterns                     // in a class that serves patterns alone
	tells                          // a word that is a phrase by itself: it speaks of a contact
)

// ofParts are the classes of endings and codes: in one of them a word is not yet
// known as one.
const ofParts = glued | timeUnit | ordinals | half | region | times

// classNames are the names in words.txt, in the same order.
var classNames = strings.Fields(`small part next name namer nameless modeword stroke mark lead link unit glued timeunit
	ordinals half month region at around minute time utc be courtesy filler onbird times joins ands not pointer subject ones
	ordinal more calling self titled mic hourunit minuteunit`)

// entry is what the tables say of a word, or of a phrase that is spoken.
type entry struct {
	means  meaning
	value  int8     // of a month
	spells spelling // in every line
	senses []saying // what depends on the language, and what it does beside symbols
	heads  bool     // phrases that are spoken begin with it
	rows   []*row   // of phrases.txt that may begin with it
	early  []*row   // those that are looked for before the line is read
}

// lexicon is what the tables hold.
type lexicon struct {
	entries   map[string]*entry
	classes   map[string][]*entry
	languages []string // of spoken.txt: all, English, and those that a line may be in
	rows      []*row
	atItem    []*row // begin with a call or a grid
	atNumber  []*row // begin with a number
}

// tables holds the tables. They are part of the program: a row that can't be read
// is a mistake in it.
var tables = sync.OnceValue(func() *lexicon {
	lex := &lexicon{entries: map[string]*entry{}, classes: map[string][]*entry{}, languages: []string{"*", "en"}}
	eachRow(wordsTable, func(_ int, row string) { lex.addClass(row) })
	eachRow(spokenTable, func(_ int, row string) { lex.addSpoken(row) })
	eachRow(phrasesTable, lex.addPhrase)
	return lex
})

// Prepare reads the tables of words, which takes as long as a thousand lines: a program
// that is about to start needs not let its first reading wait for them.
func Prepare() { tables() }

// eachRow calls f with each row of a table and its line, from 1.
func eachRow(table string, f func(line int, row string)) {
	line := 0
	for row := range strings.Lines(table) {
		line++
		if row = strings.TrimSpace(row); row != "" && row[0] != '#' {
			f(line, row)
		}
	}
}

// addClass adds a row of words.txt.
func (lex *lexicon) addClass(row string) {
	head, words, _ := strings.Cut(row, ":")
	class, number, _ := strings.Cut(head, " ")
	value, _ := strconv.Atoi(number)
	bit := ofPatterns
	if i := slices.Index(classNames, class); i >= 0 {
		bit = 1 << i
	}
	for word := range strings.FieldsSeq(words) {
		e := lex.entry(word)
		e.means |= bit
		e.value = max(e.value, int8(value))
		lex.classes[class] = append(lex.classes[class], e)
	}
}

// entry returns the entry of a word, a new one if there is none.
func (lex *lexicon) entry(word string) *entry {
	s := strings.TrimSpace(folded(word).S)
	e := lex.entries[s]
	if e == nil {
		e = &entry{}
		lex.entries[s] = e
	}
	return e
}

// none is the entry of a word that no table knows.
var none = &entry{}

// find returns the entry of a folded word, with its apostrophes or without.
func (lex *lexicon) find(s string) *entry {
	e := lex.entries[s]
	if e == nil && strings.IndexByte(s, '\'') >= 0 {
		e = lex.entries[strings.ReplaceAll(s, "'", "")]
	}
	return cmp.Or(e, none)
}

// meaningOf returns the classes of a folded word.
func meaningOf(s string) meaning { return tables().find(s).means }

// IsWord reports whether letters that are sent alone are a word, and no suffix of a
// call: one of the class "word".
func IsWord(letters string) bool {
	lex := tables()
	return slices.Contains(lex.classes["word"], lex.find(strings.TrimSpace(folded(letters).S)))
}
