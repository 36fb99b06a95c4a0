package parse

import (
	"fmt"
	"slices"
	"strings"
)

// sense is what a phrase says of the contact that it stands beside.
type sense uint8

// The senses, as their rows are marked in phrases.txt.
const (
	neutral    sense = iota // nothing that matters
	denied                  // there was no contact
	onlyHeard               // the station was only heard
	doubted                 // something speaks against it
	unsure                  // the writer doubts it, on a line of its own the one above
	others                  // somebody else's contact
	planned                 // still to come, or wished for
	elsewhere               // not by the bird
	question                // asks the log
	heading                 // governs the lines below as others' does
	shared                  // one grid for all calls that have none
	sentRST                 // the report in it was given
	gotRST                  // the report in it was received
	correct                 // the item at its end replaces the one before
	perhaps                 // the same, but it may be only polite
	instead                 // the same, if the one before is a slip away: else it is doubted
	mistake                 // the item at its end is the wrong one
	either                  // the item at its end is another possibility
	standpoint              // the grid in it is where the writer is, if the line has no call
	affirmed                // the whole line: it was a contact
	withdrawn               // what was said last is taken back, by the whole line or the head of it
	numbered                // the number in it belongs to a word
	timed                   // the time in it is the contact's after all
	untaken                 // the time in it can't be taken as it stands
	senses     = iota
)

var senseNames = [senses]string{
	"neutral", "denied", "heard", "doubted", "unsure", "others", "plan", "elsewhere", "question", "header", "shared",
	"sent", "received", "correct", "perhaps", "instead", "mistake", "either", "place", "affirmed", "withdrawn", "number", "clock", "local",
}

// whys are the reasons that senses give to ask; "" for those that give none.
var whys = [senses]Why{
	denied: Denied, onlyHeard: Denied, doubted: Doubted, unsure: Doubted, others: Doubted, planned: Doubted, elsewhere: Elsewhere,
	question: Doubted, heading: Doubted, withdrawn: Doubted,
}

func (s sense) String() string { return senseNames[s] }

// early reports whether rows of a sense are looked for before the line is read.
func (s sense) early() bool { return s >= numbered }

// row is a row of phrases.txt.
type row struct {
	line    int // from 1
	sense   sense
	pattern string
	items   []item
	pauses  bool     // the pattern states a pause
	does    []string // examples
	not     []string
}

// item is a part of a pattern.
type item struct {
	kind     itemKind
	words    map[*entry]bool // those that fit
	optional bool
}

type itemKind uint8

// The kinds of item.
const (
	wordItem   itemKind = iota // one of words, or of classes
	anyItem                    // a call or a grid
	callItem                   // a call
	typedItem                  // a call that was typed, not spoken
	gridItem                   // a grid
	numberItem                 // a number or a time
	digitsItem                 // a number without colon or point
	reportItem                 // a signal report
	gapItem                    // up to three words
	pauseItem                  // a comma, colon or stop
	startItem                  // nothing before
	endItem                    // nothing behind
)

var itemKinds = map[string]itemKind{
	"ITEM": anyItem, "CALL": callItem, "TYPED": typedItem, "GRID": gridItem, "NUM": numberItem, "DIGITS": digitsItem, "REPORT": reportItem,
	"..": gapItem, ",": pauseItem, "^": startItem, "$": endItem,
}

// addPhrase adds a row of phrases.txt: "sense | pattern | + example | - counterexample".
func (lex *lexicon) addPhrase(line int, text string) {
	cells := strings.Split(text, " | ")
	s := slices.Index(senseNames[:], cells[0])
	if s < 0 {
		panic(fmt.Sprintf("phrases.txt:%d: found %q, expected a sense", line, cells[0]))
	}
	r := &row{line: line, sense: sense(s), pattern: cells[1], pauses: strings.Contains(cells[1], ",")}
	for _, example := range cells[2:] {
		if does, ok := strings.CutPrefix(example, "+ "); ok {
			r.does = append(r.does, does)
		} else {
			r.not = append(r.not, strings.TrimPrefix(example, "- "))
		}
	}
	for part := range strings.FieldsSeq(r.pattern) {
		r.items = append(r.items, lex.item(part))
	}
	lex.rows = append(lex.rows, r)
	lex.index(r)
}

// item makes a part of a pattern of its text.
func (lex *lexicon) item(s string) item {
	text, optional := strings.CutSuffix(s, "?")
	it := item{kind: itemKinds[text], optional: optional}
	if it.kind != wordItem {
		return it
	}
	it.words = map[*entry]bool{}
	list, braced := strings.CutPrefix(text, "{")
	list = strings.TrimSuffix(list, "}")
	for w := range strings.SplitSeq(list, "|") {
		class, isClass := strings.CutPrefix(w, ":")
		if !isClass && !(braced && w == list) {
			it.words[lex.entry(w)] = true
			continue
		}
		if lex.classes[class] == nil {
			panic(fmt.Sprintf("phrases.txt: found %q, expected a class of words.txt", s))
		}
		for _, e := range lex.classes[class] {
			it.words[e] = true
		}
	}
	return it
}

// index files a row under all that it can begin with.
func (lex *lexicon) index(r *row) {
	for i := range r.items {
		it := &r.items[i]
		switch it.kind {
		case startItem, pauseItem:
			continue
		case anyItem, callItem, typedItem, gridItem:
			lex.atItem = append(lex.atItem, r)
		case numberItem, digitsItem, reportItem:
			lex.atNumber = append(lex.atNumber, r)
		case wordItem:
			for e := range it.words {
				list := &e.rows
				if r.sense.early() {
					list = &e.early
				}
				if n := len(*list); n == 0 || (*list)[n-1] != r { // once
					*list = append(*list, r)
				}
				if len(r.items) == 1 && r.sense != neutral {
					e.means |= tells
				}
			}
		}
		if !it.optional {
			return
		}
	}
}
