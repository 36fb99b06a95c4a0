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
	neutral   sense = iota // nothing that matters
	denied                 // there was no contact
	onlyHeard              // the station was only heard
	doubted                // the writer is not sure
	others                 // somebody else's contact
	planned                // still to come, or wished for
	elsewhere              // not by the bird
	question               // asks the log
	heading                // governs the lines below as others' does
	shared                 // one grid for all calls that have none
	sentRST                // the report in it was given
	gotRST                 // the report in it was received
	correct                // the item at its end replaces the one before
	perhaps                // the same, but it may be only polite
	mistake                // the item at its end is the wrong one
	either                 // the item at its end is another possibility
	affirmed               // the whole line: it was a contact
	withdrawn              // the whole line: what was said last is taken back
	numbered               // the number in it belongs to a word
	timed                  // the time in it is the contact's after all
	untaken                // the time in it can't be taken as it stands
	senses    = iota
)

var senseNames = [senses]string{
	"neutral", "denied", "heard", "doubted", "others", "plan", "elsewhere", "question", "header", "shared",
	"sent", "received", "correct", "perhaps", "mistake", "either", "affirmed", "withdrawn", "number", "clock", "local",
}

// whys are the reasons that senses give to ask; "" for those that give none.
var whys = [senses]Why{
	denied: Denied, onlyHeard: Denied, doubted: Doubted, others: Doubted, planned: Doubted, elsewhere: Elsewhere,
	question: Doubted, heading: Doubted,
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
	does    []string // examples
	not     []string
}

// item is a part of a pattern.
type item struct {
	kind     itemKind
	words    []string
	classes  meaning
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

// readPhrases reads phrases.txt.
func (lex *lexicon) readPhrases(text string) error {
	n := 0
	for line := range strings.Lines(text) {
		n++
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		r, err := lex.readRow(line)
		if err != nil {
			return fmt.Errorf("phrases.txt:%d: %w", n, err)
		}
		r.line = n
		lex.rows = append(lex.rows, r)
		lex.index(r)
	}
	return nil
}

// readRow reads "sense | pattern | + example | - counterexample".
func (lex *lexicon) readRow(line string) (*row, error) {
	parts := strings.Split(line, "|")
	for i := 0; i+1 < len(parts); { // alternatives in braces
		if strings.Count(parts[i], "{") > strings.Count(parts[i], "}") {
			parts[i] += "|" + parts[i+1]
			parts = slices.Delete(parts, i+1, i+2)
		} else {
			i++
		}
	}
	if len(parts) < 2 {
		return nil, fmt.Errorf("found %q, expected a sense and a pattern", line)
	}
	s := slices.Index(senseNames[:], strings.TrimSpace(parts[0]))
	if s < 0 {
		return nil, fmt.Errorf("found %q, expected a sense", parts[0])
	}
	r := &row{sense: sense(s), pattern: strings.TrimSpace(parts[1])}
	for _, example := range parts[2:] {
		switch text := strings.TrimSpace(example); {
		case strings.HasPrefix(text, "+ "):
			r.does = append(r.does, text[2:])
		case strings.HasPrefix(text, "- "):
			r.not = append(r.not, text[2:])
		default:
			return nil, fmt.Errorf("found %q, expected an example behind + or -", text)
		}
	}
	for f := range strings.FieldsSeq(r.pattern) {
		it, err := lex.readItem(f)
		if err != nil {
			return nil, err
		}
		r.items = append(r.items, it)
	}
	return r, nil
}

// readItem reads one item of a pattern.
func (lex *lexicon) readItem(s string) (item, error) {
	var it item
	rest, optional := strings.CutSuffix(s, "?")
	if it.optional = optional && rest != ""; it.optional {
		s = rest
	}
	if kind, ok := itemKinds[s]; ok {
		it.kind = kind
		return it, nil
	}
	list, braced := strings.CutPrefix(s, "{")
	list, closed := strings.CutSuffix(list, "}")
	if braced != closed || list == "" {
		return it, fmt.Errorf("found %q, expected a word, a class in braces, or one of ITEM CALL GRID NUM REPORT .. , ^ $", s)
	}
	all := strings.Split(list, "|")
	for _, w := range all {
		class, isClass := strings.CutPrefix(w, ":")
		if !isClass && !(braced && len(all) == 1) {
			it.words = append(it.words, strings.TrimSpace(fold(w).s))
			continue
		}
		bit, ok := lex.classes[class]
		if !ok {
			return it, fmt.Errorf("found %q, expected a class of words.txt", w)
		}
		it.classes |= bit
	}
	return it, nil
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
			for _, w := range it.words {
				lex.file(lex.entry(w), r)
			}
			if it.classes != 0 {
				for _, e := range lex.entries {
					if e.means&it.classes != 0 {
						lex.file(e, r)
					}
				}
			}
			if len(r.items) == 1 && r.sense != neutral {
				lex.tell(it)
			}
		}
		if !it.optional {
			return
		}
	}
}

// file adds a row to an entry, once.
func (lex *lexicon) file(e *entry, r *row) {
	list := &e.rows
	if r.sense.early() {
		list = &e.early
	}
	if n := len(*list); n == 0 || (*list)[n-1] != r {
		*list = append(*list, r)
	}
}

// tell marks the words of an item as phrases by themselves.
func (lex *lexicon) tell(it *item) {
	for _, e := range lex.entries {
		if e.means&it.classes != 0 {
			e.means |= tells
		}
	}
	for _, w := range it.words {
		lex.entry(w).means |= tells
	}
}

// fits reports whether a word is one of the item.
func (it *item) fits(t *token) bool {
	return (t.means|t.entry.means)&it.classes != 0 || slices.Contains(it.words, t.s) || t.plain != "" && slices.Contains(it.words, t.plain)
}
