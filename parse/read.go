package parse

import (
	"regexp"
	"slices"
	"strings"

	"skyslate/parse/fold"
)

// reader holds the reading of one line.
type reader struct {
	lattice
	path      []*arc
	at        []*arc // by word: the arc of the path that holds it
	elems     []element
	loose     []*arc // possible items that touch no element
	groups    []group
	ownEnd    int   // the word behind it
	owned     bool  // the operator's own call stands in the line
	searches  int   // made for candidates
	strays    bool  // symbols that belong to nothing
	hits      []hit // the phrases of the line
	earlyHits []hit // those of its numbers
	claims    []claim
	uses      []use // by word
	dropped   []int // words where items that carry nothing begin
	undated   bool  // a date that can't be read
	corrects  bool  // the line corrects what was sent before
	was       Callsign
	line      Line
}

// Read reads a whole message, one Line for each of its lines. The same text
// and knowledge always give the same reading.
func Read(text string, known Known) []Line {
	lines := make([]Line, 0, 1+strings.Count(text, "\n"))
	var r reader
	for s := range strings.SplitSeq(text, "\n") {
		r.read(spacedOffset.ReplaceAllString(strings.TrimSuffix(s, "\r"), "$1+$2"), len(lines)+1, &known)
		known.Under = r.line.Below(known.Under)
		lines = append(lines, r.line)
	}
	settleHeads(lines)
	return lines
}

// spacedOffset is an offset whose sign stands apart, or is a word: "+ 4:10", "plus 4:10".
var spacedOffset = regexp.MustCompile(`(?i)(^|\s)(?:\+\s+|plus\s+)(\d{1,3}(?::[0-5]\d){1,2}(?:\s|$))`)

// folded brings a line to the characters that the grammars know.
func folded(text string) fold.Text {
	return fold.Line(text, func(word string) bool { return callClass(upper(word)) != Impossible })
}

// workPerLine bounds the steps of spelling in one line. Dictation takes five a word, at
// most seven in lines of maxWords; only rows of words that could each be several symbols
// or none take more.
const workPerLine = 8000

// read reads one line, in the memory of the line before.
func (r *reader) read(text string, number int, k *Known) {
	l := lattice{script: script{text: text, f: folded(text), known: k, birds: r.birds, words: r.words[:0]}, work: workPerLine, arcs: r.arcs[:0], costs: r.costs[:0], next: r.next[:0]}
	*r = reader{lattice: l, path: r.path[:0], line: Line{Number: number, Text: text}}
	r.f.Unstress()
	r.words, r.after = lex(r.f, r.words)
	if len(r.words) == 0 {
		return
	}
	if len(r.words) > maxWords {
		r.words, r.cut = r.words[:maxWords], true
	}
	know(r.words)
	r.findEarly()
	r.build()
	r.weigh()
	r.at = make([]*arc, len(r.words))
	for i := 0; i < len(r.words); {
		a := r.next[i]
		r.path = append(r.path, a)
		for ; i < int(a.to); i++ {
			r.at[i] = a
		}
	}
	r.elements()
	r.dropOwnGrid()
	r.settle()
	r.findRivals()
	r.findRunOns()
	r.findPhrases()
	r.correct()
	(&pairing{r}).group()
	r.assign()
	(&ledger{r}).finish()
}

// findEarly finds the phrases that say what the numbers of the line are.
func (r *reader) findEarly() {
	if !slices.ContainsFunc(r.words, func(t token) bool {
		return isNumber(&t) || len(t.entry.early) > 0 && (t.spells.trust != unspelled || t.shape&hasDigit != 0)
	}) {
		return
	}
	r.earlyHits = r.phrases()
	for k := range r.earlyHits {
		h := &r.earlyHits[k]
		if r.early == nil {
			r.early = make([]*row, len(r.words))
		}
		for _, at := range h.spots[:h.n] {
			r.early[at] = h.row
		}
	}
}
