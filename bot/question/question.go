// Package question reads the plain questions that everybody asks: when the next pass
// is, what to do now, frequencies, where to point, what a word means, and what a command
// answers. The forms stand in questions.txt, a row each, which says how they are written.
// It knows nothing of contacts: who asks it has found none in the line, or takes but those
// that ask about a call ([Question.Call]).
package question

import (
	_ "embed"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"skyslate/bot/glossary"
	"skyslate/bot/idiom"
	"skyslate/parse/slip"
)

// Kind is what a line asks for. A kind with a slash is the command that answers it.
type Kind string

// The kinds of question that no command answers, as the table names them.
const (
	Next   Kind = "next"   // when the next pass is
	Up     Kind = "up"     // which birds are up; of a bird whether it is, when next, how high
	Now    Kind = "now"    // what is to be done at the moment
	Radio  Kind = "radio"  // frequencies and tones
	Where  Kind = "where"  // where to point
	Best   Kind = "best"   // which pass is the highest of a day, or of the next
	Table  Kind = "table"  // the timetable of a pass
	Far    Kind = "far"    // how far a grid is
	Arm    Kind = "arm"    // nothing: that a pass be reminded of
	Skip   Kind = "skip"   // nothing: that a pass be not
	Means  Kind = "means"  // what a term means
	Home   Kind = "home"   // nothing: that one is at home
	Move   Kind = "move"   // nothing: that one is in a grid now
	There  Kind = "there"  // nothing: that one is where one is meant to be
	Over   Kind = "over"   // nothing: that the day out ends
	Maybe  Kind = "maybe"  // nothing: that one may be in a grid, or will be
	Was    Kind = "was"    // nothing: that one was in a grid
	Clock  Kind = "clock"  // the time
	Skeds  Kind = "skeds"  // when a contact is arranged with a call
	Worked Kind = "worked" // what the log knows of a call, or of grids
	Speech Kind = "speech" // said to somebody who should understand it, and none of these
)

// Following are the words of Skip where it is about the pass after the one that is up, Back
// those of Arm where it is about one that was skipped, Brought where it is about that or about
// a contact that was dropped, and nothing else.
const (
	Following = "next"
	Back      = "back"
	Brought   = "brought"
)

// Question is what a line asks.
type Question struct {
	Kind  Kind
	Words string // those of the command, with the grids that it names; of a term its row in the glossary
	Bird  string // the bird asked about, as it was typed, and the day and time of its pass; empty: none was named
	Grids string // those that Move and Maybe name, the last that Was does, or that are asked about, as they were typed
	Call  string // that it asks about, as it was typed
}

// Command is what could be typed in its place behind a slash, if a command answers it.
func (q Question) Command() (name, words string, ok bool) {
	name, ok = strings.CutPrefix(string(q.Kind), "/")
	return name, strings.Join(strings.Fields(q.Words+" "+q.Call+" "+q.Bird), " "), ok
}

// TellsPlace reports whether it tells where one is, was or may be.
func (q Question) TellsPlace() bool {
	return slices.Contains([]Kind{Home, Move, There, Maybe, Was}, q.Kind)
}

// Changes reports whether it is no question, but changes what one is reminded of.
func (q Question) Changes() bool { return q.Kind == Arm || q.Kind == Skip }

// Doubtful reports whether it may be a word about a contact all the same.
func (q Question) Doubtful() bool {
	return q.Kind == Speech || q.Kind == "/undo" && q.Words == ""
}

// A row is one form of a question.
type row struct {
	asks     Question
	calls    bool                  // it names a call
	grids    bool                  // it is a command for grids
	form     func() *regexp.Regexp // made when it is first asked for: most never are
	examples []string              // with a sign before each
}

//go:embed questions.txt
var table string

var rows, byHead = readTable(table)

// polite are words around a question that ask nothing.
const polite = `(?:(?:please|pls|hey|hi|hello|ok|okay|so|and|well|um|bot|skyslate|bitte|hallo|por favor|hola|svp|s il vous plait|per favore|ciao|ola) )*`

// Birds knows the names of birds.
type Birds struct {
	Is    func(name string) bool
	Names []string
}

// Read reads a line as a question. A day and a time in it say which pass to arm, to skip
// or to draw.
func Read(line string, birds Birds) (Question, bool) {
	if right, ok := idiom.WithoutDenied(line); ok {
		if q, ok := Read(right, birds); ok && q.TellsPlace() && q.Grids != "" {
			return q, true
		}
	}
	q, ok := read(line, birds)
	if q.Kind == Arm && q.Words == timed {
		q, ok = Question{}, false // "I want one too"
	}
	if ok && q.Kind != Speech && q.Kind != windows && q.Kind != Worked {
		return q, true
	}
	line = idiom.Plain(line)
	when := moments().FindAllStringSubmatch(line, -1)
	if len(when) == 0 {
		return q, ok
	}
	about, fits := read(moments().ReplaceAllString(line, " "), birds)
	if !fits || !slices.Contains(ofPasses, about.Kind) {
		return q, ok
	}
	if about.Words == timed {
		about.Words = ""
	}
	for _, m := range when {
		about.Bird = strings.Join(strings.Fields(about.Bird+" "+m[1]+" "+m[2]), " ")
	}
	return about, true
}

// ofPasses are the kinds that a pass can be named for.
var ofPasses = []Kind{Arm, Skip, Next, Best, Table, "/look", "/reach", "/passes", "/outing", windows}

// timed are the words of Arm in forms that ask for a pass only beside a time or a day.
const timed = "at"

// windows is the kind that asks when a grid is in reach: its forms have room for any words,
// those of a day too.
const windows Kind = "/with"

// moments are a day with a part of it, or a time, of a pass.
var moments = sync.OnceValue(func() *regexp.Regexp {
	days := idiom.DayWords(func(name string) bool { return !idiom.IsPart(name) && !idiom.IsHalf(name) && name != idiom.Yesterday })
	return regexp.MustCompile(`\b(?:(?:at|on|from|of|for|um|am|a las|de las|del|el|alle|as|no|na|le|il|para|per|pour|de|di|do|da|d) )?(?:the |den |dem )?\b` +
		`(?:(` + strings.Join(days, "|") + `|(?:[01]?\d|2[0-3]):[0-5]\d(?: ?(?:z|utc|local))?)(?: (` + strings.Join(idiom.DayWords(idiom.IsPart), "|") + `))?)\b`)
})

// read reads a line as a question. A line with a question mark that fits no row asks
// about the bird that it names; else it is speech. A name that is nearly a bird's asks
// about that bird when it stands alone, because nothing can be filed under it.
func read(line string, birds Birds) (Question, bool) {
	words := fold(line)
	if len(words) == 0 || len(line) > longest {
		return Question{}, false
	}
	greets := hello.MatchString(joined(words))
	words = strings.Fields(politely.ReplaceAllString(joined(words), ""))
	words, grids := withoutGrids(words)
	words, call := replaced(words, 1, "CALL", callForm.MatchString)
	words, bird := replaced(words, 2, "BIRD", birds.Is)
	near := false
	if bird == "" {
		alone := strings.Join(words, " ")
		words, bird = replaced(words, 2, "BIRD", func(name string) bool { return birds.isNear(name, name == alone) })
		near = bird != ""
	}
	if len(words) == 0 {
		return Question{Kind: Now}, greets // nothing else is said
	}
	termed, term := replaced(words, 3, "TERM", isTerm)
	fitting := byHead[words[0]]
	if termed[0] != words[0] {
		fitting = slices.Concat(fitting, byHead[termed[0]])
	}
	for _, r := range fitting {
		if call != "" && len(grids) > 0 && !r.calls {
			continue // a call and a grid may be a contact
		}
		q := r.asks
		q.Bird, q.Grids = bird, strings.Join(grids, " ")
		if q.Kind == Was && len(grids) > 0 {
			q.Grids = grids[len(grids)-1]
		}
		if r.calls {
			q.Call = call
		}
		if r.grids {
			q.Words = strings.TrimSpace(q.Words + " " + q.Grids)
		}
		switch {
		case r.form().MatchString(joined(words)):
			for _, n := range r.form().FindStringSubmatch(joined(words))[1:] {
				q.Words += " " + n
			}
			return q, true
		case term != "" && r.form().MatchString(joined(termed)):
			q.Words = glossary.Find(term)
			return q, true
		}
	}
	asked := words[len(words)-1] == "?"
	switch {
	case bird != "" && (asked || near && len(words) == 1):
		return Question{Kind: Up, Bird: bird}, true
	case asked && len(grids) == 0 && len(words) > 2:
		return Question{Kind: Speech}, true
	}
	return Question{}, false
}

// withoutGrids puts one sign for grids in place of those that stand in a row.
func withoutGrids(words []string) (left, grids []string) {
	for i, word := range words {
		last := len(left) > 0 && left[len(left)-1] == gridSign
		switch {
		case gridForm.MatchString(word) && last:
			grids[len(grids)-1] += " " + word
		case gridForm.MatchString(word):
			left, grids = append(left, gridSign), append(grids, word)
		case last && slices.Contains(between, word) && i+1 < len(words) && gridForm.MatchString(words[i+1]):
		default:
			left = append(left, word)
		}
	}
	return left, grids
}

const gridSign = "GRID"

var (
	gridForm = regexp.MustCompile(`^[a-r]{2}[0-9]{2}(?:[a-x]{2})?$`)
	callForm = regexp.MustCompile(`^(?:[a-z0-9]{1,4}/)?[a-z0-9]{1,2}[0-9][a-z]{1,4}(?:/[a-z0-9]{1,4})?$`)
	between  = strings.Fields("and und y et e to")
)

// replaced puts a sign in place of the first name that is known, of the most words
// or of fewer.
func replaced(words []string, most int, sign string, isKnown func(string) bool) (left []string, name string) {
	for n := most; n > 0; n-- {
		for i := range len(words) - n + 1 {
			if name := strings.Join(words[i:i+n], " "); !strings.HasSuffix(name, "?") && isKnown(name) {
				return slices.Concat(words[:i], []string{sign}, words[i+n:]), name
			}
		}
	}
	return words, ""
}

func isTerm(name string) bool { return glossary.Find(name) != "" }

// leastNear is how long a name is that may be told from a slip of it.
const leastNear = 4

// isNear reports whether a name is a bird's but for one character. Beside other words it
// has a figure: else it may be any word.
func (b Birds) isNear(name string, alone bool) bool {
	plain := strings.NewReplacer(" ", "", "-", "")
	typed := plain.Replace(name)
	return (alone || strings.ContainsAny(typed, "0123456789")) && slices.ContainsFunc(b.Names, func(known string) bool {
		known = plain.Replace(strings.ToLower(known))
		return len(known) >= leastNear && slip.One(typed, known)
	})
}

// joined are words as forms are held against them.
func joined(words []string) string { return strings.Join(words, " ") + " " }

// hello is a greeting, which is answered with what is to be done.
var hello = regexp.MustCompile(`^(?:hey|hi|hello|hallo|hola|ciao|ola) (?:bot |skyslate )?$`)

var politely = regexp.MustCompile("^" + polite)

// longest is how much is asked in one breath.
const longest = 80

// fold writes the words of a line as the forms have them, with a question mark at the
// end as a word of its own.
func fold(line string) []string {
	line = strings.TrimSpace(line)
	asked := strings.HasSuffix(strings.TrimRight(line, "! ."), "?")
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.ToLower(ofCall.ReplaceAllString(named(line), "$1"))) {
		switch {
		case unicode.IsLetter(r), unicode.IsDigit(r), r == '-', r == '/':
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r), strings.ContainsRune("'’`", r):
		default:
			b.WriteByte(' ')
		}
	}
	words := strings.Fields(hyphen.ReplaceAllString(b.String(), " $1"))
	if asked && len(words) > 0 {
		words = append(words, "?")
	}
	return words
}

// signs are those that posts have and people ask about, by what they are called.
var signs = map[string]string{"~": "tilde", "+": "plus", "✓": "tick", "✍": "pencil", "✍️": "pencil"}

// named is a line with the names of signs that stand alone, in quotes or not, in their place.
func named(line string) string {
	words := strings.Fields(line)
	for i, word := range words {
		if name := signs[strings.Trim(word, `?"'“”„«».,`)]; name != "" {
			words[i] = name + strings.TrimLeft(word, `"'“”„«»~+✓✍`)
		}
	}
	return strings.Join(words, " ")
}

// ofCall says that something is a station's, "HX7ABC's".
var ofCall = regexp.MustCompile(`(\pL\pN\pL+(?:/\pL+)?)['’]s\b`)

// hyphen parts words; before a figure it belongs to a bird's name.
var hyphen = regexp.MustCompile(`-+([^0-9-]|$)`)

// readTable reads the rows, and which may fit a line by its first word.
func readTable(text string) (all []row, byHead map[string][]row) {
	byHead = map[string][]row{}
	for line := range strings.Lines(text) {
		cells := strings.Split(strings.TrimSpace(line), " | ") // no blanks stand around the signs within a pattern
		if len(cells) < 3 || strings.HasPrefix(cells[0], "#") {
			continue
		}
		kind, words, _ := strings.Cut(cells[0], " ")
		made := sync.OnceValue(func() *regexp.Regexp { return form(cells[1]) })
		r := row{
			asks: Question{Kind: Kind(kind), Words: words}, calls: strings.Contains(cells[1], "CALL"),
			grids: strings.HasPrefix(kind, "/") && strings.Contains(cells[1], "GRID"), form: made, examples: cells[2:],
		}
		all = append(all, r)
		for _, word := range heads(cells[1]) {
			byHead[word] = append(byHead[word], r)
		}
	}
	return all, byHead
}

// heads are the words that a form may begin with.
func heads(pattern string) []string {
	var words []string
	for _, p := range part.FindAllString(pattern, -1) {
		p, may := strings.CutSuffix(p, "?")
		for one := range strings.SplitSeq(strings.Trim(p, "{}"), "|") {
			word, _, _ := strings.Cut(one, " ")
			if !slices.Contains(words, word) {
				words = append(words, word)
			}
		}
		if !may {
			break
		}
	}
	return words
}

var part = regexp.MustCompile(`\{[^}]*\}\??|\S+`)

// form makes a pattern what it stands for.
func form(pattern string) *regexp.Regexp {
	var b strings.Builder
	b.WriteByte('^')
	asked := false
	for _, p := range part.FindAllString(pattern, -1) {
		p, may := strings.CutSuffix(p, "?")
		switch {
		case p == "..":
			b.WriteString(`(?:[^ ?]+ ){0,3}`)
			continue
		case p == "WORDS":
			b.WriteString(`(?:[^ ?A-Z]+ ){1,6}`)
			continue
		case p == "NUM":
			b.WriteString(`([0-9]{1,3}) `)
			continue
		case p == "ASKED":
			asked = !may
			continue
		}
		b.WriteString(`(?:` + strings.ReplaceAll(strings.Trim(p, "{}"), "|", " |") + ` )`)
		if may {
			b.WriteByte('?')
		}
	}
	b.WriteString(polite + `\?`)
	if asked {
		b.WriteString(" $")
	} else {
		b.WriteString("? ?$")
	}
	return regexp.MustCompile(b.String())
}
