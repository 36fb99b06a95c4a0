package parse

import "strings"

// reader holds the reading of one line.
type reader struct {
	lattice
	text     string
	f        folded
	after    gap // what stands behind the last word
	path     []*arc
	at       []*arc // by word: the arc of the path that holds it
	elems    []element
	loose    []*arc // possible items that touch no element
	groups   []group
	ownEnd   int  // the word behind it
	owned    bool // the operator's own call stands in the line
	searches int  // made for candidates
	strays   bool // symbols that belong to nothing
	cues     []cue
	corrects bool // the line corrects what was sent before
	was      Callsign
	line     Line
}

// Read reads a whole message, one Line for each of its lines. The same text
// and knowledge always give the same reading.
func Read(text string, known Known) []Line {
	lines := make([]Line, 0, 1+strings.Count(text, "\n"))
	for s := range strings.SplitSeq(text, "\n") {
		lines = append(lines, readLine(strings.TrimSuffix(s, "\r"), len(lines)+1, &known))
	}
	return lines
}

// workPerLine bounds the steps of spelling in one line.
const workPerLine = 20000

// Overall returns the verdict on several lines together: Ask if anything in
// them must be asked, else Log if there is a contact at all.
func Overall(lines []Line) Verdict {
	v := Ignore
	for i := range lines {
		switch w := lines[i].Verdict; {
		case w == Ask:
			return Ask
		case w == Log:
			v = Log
		}
	}
	return v
}

func readLine(text string, number int, k *Known) Line {
	line := Line{Number: number, Text: text}
	f := fold(text)
	if strings.TrimLeft(f.s, " ") == "" {
		return line
	}
	var buf [16]token
	r := reader{text: text, f: f, line: line}
	r.lattice.known, r.work = k, workPerLine
	r.words, r.after = lex(f, buf[:0])
	r.endsPercent = r.after&percent != 0
	if len(r.words) == 0 {
		return r.line
	}
	if len(r.words) > maxWords {
		r.words, r.cut = r.words[:maxWords], true
	}
	know(r.words)
	r.findPieces()
	r.build()
	r.weigh()
	r.path = r.best(make([]*arc, 0, len(r.words)))
	r.at = make([]*arc, len(r.words))
	for _, a := range r.path {
		for i := a.from; i < a.to; i++ {
			r.at[i] = a
		}
	}
	r.elements()
	r.dropOwnGrid()
	r.settle()
	r.findRivals()
	r.findCues()
	r.correct()
	r.group()
	r.assign()
	r.finish()
	return r.line
}
