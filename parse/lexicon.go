package parse

import (
	_ "embed"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

//go:embed words.txt
var wordsText string

//go:embed phrases.txt
var phrasesText string

// meaning is the set of classes that a word is in.
type meaning uint64

// The classes that Go asks for by name, each with its name in words.txt; the
// others serve patterns alone.
const (
	small       meaning = 1 << iota // a short word that is no letters of a call
	part                            // parts one item from the next: "grid", "from"
	next                            // begins another contact
	name                            // a first name
	namer                           // announces a name
	nameless                        // behind a namer: there is none
	modeword                        // a mode that linear birds carry
	stroke                          // "/"
	mark                            // a mark after a stroke
	lead                            // may stand right before a spelled call
	link                            // may stand right beside a spelled call or grid
	unit                            // a number before it is no symbol
	glued                           // a unit that may be glued to its number
	timeUnit                        // of an offset
	ordinals                        // endings of a day of the month
	half                            // of the day, glued to a time
	month                           // of a date
	region                          // a postal code that people put behind a grid
	at                              // what follows may be a time
	around                          // the same, if the number has the form of one
	minute                          // what follows may be a minute
	timeWord                        // announces a time
	utc                             // what stands before is a time
	be                              // "is"
	courtesy                        // says nothing but good of the contact
	filler                          // says nothing at all
	onBird                          // before a bird that is shaped like a grid
	times                           // between the figures of a report
	joins                           // two grids
	ands                            // joins contacts
	negates                         // "not"
	points                          // to a contact told before
	ones                            // the one of "next one"
	ordinal                         // before it
	more                            // behind it
	tells                           // a word that is a phrase by itself: it speaks of a contact
	classesOfGo = iota
)

// ofParts are the classes of endings and codes: in one of them a word is not yet
// known as one.
const ofParts = glued | timeUnit | ordinals | half | region | times

var classNames = [classesOfGo]string{
	"small", "part", "next", "name", "namer", "nameless", "modeword", "stroke", "mark", "lead", "link", "unit", "glued", "timeunit", "ordinals", "half",
	"month", "region", "at", "around", "minute", "time", "utc", "be", "courtesy", "filler", "onbird", "times", "joins", "ands", "not", "him", "ones", "ordinal", "more", "(tells)",
}

// entry is what the tables say of a word.
type entry struct {
	means meaning
	value int8   // of a month
	rows  []*row // the phrases that may begin with it
	early []*row // those that are looked for before the line is read
}

// lexicon is what stands in words.txt and phrases.txt.
type lexicon struct {
	entries  map[string]*entry
	classes  map[string]meaning
	rows     []*row
	atItem   []*row // begin with a call or a grid
	atNumber []*row // begin with a number
}

// tables holds the two files.
var tables = sync.OnceValue(func() *lexicon {
	lex, err := readLexicon(wordsText, phrasesText)
	if err != nil {
		panic(err) // the files are part of the program
	}
	return lex
})

func readLexicon(words, phrases string) (*lexicon, error) {
	lex := &lexicon{entries: map[string]*entry{}, classes: map[string]meaning{}}
	for i, n := range classNames {
		lex.classes[n] = 1 << i
	}
	n := 0
	for line := range strings.Lines(words) {
		n++
		if err := lex.readWords(strings.TrimSpace(line)); err != nil {
			return nil, fmt.Errorf("words.txt:%d: %w", n, err)
		}
	}
	if n := len(lex.classes); n > 64 {
		return nil, fmt.Errorf("words.txt: found %d classes, expected at most 64", n)
	}
	if err := lex.readPhrases(phrases); err != nil {
		return nil, err
	}
	return lex, nil
}

// readWords reads a row of words.txt.
func (lex *lexicon) readWords(line string) error {
	if line == "" || line[0] == '#' {
		return nil
	}
	head, list, ok := strings.Cut(line, ":")
	class, number, numbered := strings.Cut(head, " ")
	value, err := strconv.Atoi("0" + number)
	if !ok || numbered && err != nil {
		return fmt.Errorf("found %q, expected a class, a colon and words", line)
	}
	bit, known := lex.classes[class]
	if !known {
		bit = 1 << len(lex.classes)
		lex.classes[class] = bit
	}
	for w := range strings.FieldsSeq(list) {
		e := lex.entry(w)
		e.means |= bit
		e.value = max(e.value, int8(value))
	}
	return nil
}

// entry returns the entry of a word, a new one if there is none.
func (lex *lexicon) entry(word string) *entry {
	s := strings.TrimSpace(fold(word).s)
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
	if e := lex.entries[s]; e != nil {
		return e
	}
	if strings.IndexByte(s, '\'') >= 0 {
		if e := lex.entries[strings.ReplaceAll(s, "'", "")]; e != nil {
			return e
		}
	}
	return none
}

// meaningOf returns the classes of a folded word.
func meaningOf(s string) meaning { return tables().find(s).means }

// IsWord reports whether letters that are sent alone are a word, and no suffix of a
// call: one of the class "word".
func IsWord(letters string) bool {
	return meaningOf(strings.TrimSpace(fold(letters).s))&tables().classes["word"] != 0
}
