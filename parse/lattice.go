package parse

import (
	"slices"
	"unicode"
	"unicode/utf8"

	"skyslate/parse/fold"
)

// kind is what an arc reads its words as.
type kind uint8

// The kinds.
const (
	skipped   kind = iota // a word that belongs to no part
	callArc               // a call
	gridArc               // a grid
	callGrid              // a call and a grid in one word
	gridCall              // a grid and a call in one word
	tailArc               // the digits of a grid beside the one before: "jo31/32"
	partCall              // a call with unread characters, or a suffix
	partGrid              // a grid with unread characters, or two digits of one
	partBoth              // the end of a call and two digits of a grid in one word
	badGrid               // a grid with a slip in it
	birdArc               // a bird's name
	reportArc             // a signal report
	clockArc              // a time
	offsetArc             // an offset from the slate
	nameArc               // an announced name
	modeArc               // a mode
	dateArc               // a date
	asideArc              // words that carry nothing
)

// doubt is what speaks against taking an arc for certain.
type doubt uint16

// The doubts.
const (
	unusual   doubt = 1 << iota // the call is unusual
	mended                      // readable only after mending
	joined                      // typed words were joined
	dictated                    // more than one word, some of them spoken
	eitherWay                   // it could as well be no item at all
	strayed                     // a symbol that belongs to nothing
	unknown                     // a word that is not known
	spoken                      // one spelled word that belongs to nothing
)

// arc reads the words from, …, to-1 as one thing, at a cost: the more it is
// against custom, the higher.
type arc struct {
	from, to int16
	kind     kind
	cost     int16
	doubt    doubt
	n, split uint8    // symbols; how many of them stand before the glue
	bird     uint16   // of Known.Birds
	buf      [28]byte // symbols in upper case
}

func (a *arc) text() string { return string(a.buf[:a.n]) }

// isItem reports whether the arc holds a call, a grid or a part of one.
func (a *arc) isItem() bool { return callArc <= a.kind && a.kind <= badGrid }

// margin is how much dearer a reading must be not to count as a rival. The
// costs are set in a way that whatever an operator could sensibly mean stays
// within it.
const margin = 4

// The costs of what is against custom.
const (
	costUnknown     = 1          // a word left over that is not known
	costUnreachable = 1          // a grid that the bird can't serve: a question, not another reading
	costJoint       = 1          // typed words joined, or a pause within an item
	costLetter      = 2          // a typed letter left over
	costName        = 2          // a spoken word left over that may be a name
	costUnusual     = 2          // an unusual call
	costBad         = 2          // a grid with a slip
	costEveryday    = 3          // a call that is also a word
	costWeak        = 3          // symbols made of words that mean something else
	costStray       = margin     // typed symbols left over
	costFarFetched  = margin + 1 // anything with a simpler explanation
	costSpoken      = margin + 2 // a plain spoken symbol left over

	gainHeard    = margin     // a station heard on this pass
	gainExpected = margin - 1 // a scheduled one

	tooDear = 1 << 14 // beyond all others
)

// maxWords is how many words of a line are read; what follows is no contact
// that anybody would type in one line, and is asked about.
const maxWords = 600

// script is a line as it is written: its words, and what is known beside them. Its
// methods say what a word is by itself and its neighbours.
type script struct {
	text  string
	f     fold.Text
	words []token
	after gap // what stands behind the last word
	known *Known
	birds []string // plain names of Known.Birds
	early []*row   // by word: the phrase that says what a number is; nil if there is none
}

// isCapital reports whether word i was typed with a capital.
func (l *script) isCapital(i int) bool {
	first, _ := utf8.DecodeRuneInString(l.text[l.f.At(l.words[i].from, len(l.text)):])
	return unicode.IsUpper(first)
}

// lattice is all that the words of a line could be.
type lattice struct {
	script
	grids      int // whole ones that are typed
	pieces     []piece
	firstPiece []int32
	arcs       []arc // by from
	work       int   // steps left
	cut        bool
	// ahead and behind are the costs of the cheapest way from the start to a
	// word, and from it to the end; next is the arc that this way begins with.
	costs, ahead, behind []int16
	next                 []*arc
}

// build fills the pieces and the arcs.
func (l *lattice) build() {
	l.listen()
	l.firstPiece = make([]int32, len(l.words)+1)
	l.pieces = make([]piece, 0, 4+2*len(l.words))
	l.arcs = slices.Grow(l.arcs, 8+4*len(l.words))
	for _, name := range l.known.Birds[len(l.birds):] {
		l.birds = append(l.birds, plainName(name))
	}
	for i := range l.words {
		l.wordPieces(i)
		l.firstPiece[i+1] = int32(len(l.pieces))
		if t := &l.words[i]; t.shape == hasLetter|hasDigit && isSquare(t.s) {
			l.grids++
		}
	}
	for i := range l.words {
		cost, left := l.skip(i)
		l.add(arc{from: int16(i), to: int16(i + 1), kind: skipped, cost: cost, doubt: left})
		l.addTyped(i)
		l.addSpelled(i)
		l.addSides(i)
	}
}

func (l *lattice) add(a arc) { l.arcs = append(l.arcs, a) }

// weigh finds the cheapest ways; the cost of the best reading is l.behind[0]. Of
// equals the one holds whose first arc is longer, and reads its words as something.
func (l *lattice) weigh() {
	n := len(l.words)
	l.costs = slices.Grow(l.costs, 2*(n+1))[:2*(n+1)]
	l.next = slices.Grow(l.next, n)[:n]
	l.ahead, l.behind = l.costs[:n+1], l.costs[n+1:]
	l.ahead[0], l.behind[n] = 0, 0
	for i := range n {
		l.ahead[i+1], l.behind[i], l.next[i] = tooDear, tooDear, nil
	}
	for i := range l.arcs {
		a := &l.arcs[i]
		l.ahead[a.to] = min(l.ahead[a.to], l.ahead[a.from]+a.cost)
	}
	for i := len(l.arcs) - 1; i >= 0; i-- {
		a, best := &l.arcs[i], l.next[l.arcs[i].from]
		cost := l.behind[a.to] + a.cost
		if best == nil || cost < l.behind[a.from] || cost == l.behind[a.from] && (a.to > best.to || a.to == best.to && a.kind != skipped) {
			l.behind[a.from], l.next[a.from] = cost, a
		}
	}
}
