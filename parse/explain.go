package parse

import (
	"slices"
	"strings"
)

// Explanation tells how a line was read.
type Explanation struct {
	Line    Line
	Words   []Word
	Phrases []Phrase
}

// Word is a word of a line, as typed, and what became of it: "field", "neutral", or
// "comment".
type Word struct {
	Text string
	Use  string
}

// Phrase is a phrase that was found in a line: the words it states, as typed, and the
// row of phrases.txt that they fit.
type Phrase struct {
	Text    string
	Row     int // line of phrases.txt
	Sense   string
	Pattern string
}

// Explain reads a message as Read does and tells how.
func Explain(text string, known Known) []Explanation {
	var list []Explanation
	for s := range strings.SplitSeq(text, "\n") {
		var r reader
		r.read(strings.TrimSuffix(s, "\r"), len(list)+1, &known)
		known.Under = r.line.Below(known.Under)
		list = append(list, r.explain())
	}
	return list
}

func (r *reader) explain() Explanation {
	e := Explanation{Line: r.line}
	for i, u := range r.uses {
		e.Words = append(e.Words, Word{r.typed(i, i+1), u.String()})
	}
	for _, h := range slices.Concat(r.earlyHits, r.hits) {
		var words []string
		for _, at := range h.spots[:h.n] {
			words = append(words, r.typed(int(at), int(at)+1))
		}
		e.Phrases = append(e.Phrases, Phrase{strings.Join(words, " "), h.row.line, h.row.sense.String(), h.row.pattern})
	}
	return e
}
