// Package oneself reads what operators say of themselves in sentences: their own call, their
// grid, where they are at home, and that they have or know none of these. That is the whole
// of a line, and nothing of a contact. The words stand in oneself.txt.
package oneself

import (
	_ "embed"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"skyslate/bot/idiom"
	"skyslate/bot/question"
	"skyslate/parse"
	"skyslate/parse/slip"
)

// The kinds of what is said, beside those of package question.
const (
	Call      question.Kind = "own call"       // what one's call is; without one, that it is another
	MaybeCall question.Kind = "own call asked" // the same in words that may be about somebody else's
	Home      question.Kind = "own home"       // where one is at home
)

// longest is how much is said of oneself in one breath.
const longest = 80

// Read reads a line that says what one's own call or grid is, or where one is at home. Words
// that lead to anybody's call are about one's own only where it is nearly the known one. A
// line that begins as a correction, "no, my grid is jo54", is read without that beginning.
func Read(line string, own parse.Callsign) (question.Question, bool) {
	text := fold(line)
	if len(line) > longest || text == "" {
		return question.Question{}, false
	}
	rest := turned(before.ReplaceAllString(text, ""))
	if m := home.FindStringSubmatch(rest); m != nil && Grids(m[1]) != "" {
		return question.Question{Kind: Home, Grids: Grids(m[1])}, true
	}
	if q, ok := readCall(rest, own); ok {
		if isAsked(line) {
			q.Kind = MaybeCall
		}
		return q, true
	}
	if rest = aside(rest); rest == text {
		return question.Question{}, false // as package question reads it
	}
	q, ok := question.Read(rest, question.Birds{Is: func(string) bool { return false }})
	return q, ok && q.Grids != "" && q.Call == ""
}

// turned are words that say behind a call or grids whose they are, as the other forms say it.
func turned(words string) string {
	words = isMine.ReplaceAllString(words, "my call is $1$2")
	return isWhere.ReplaceAllString(words, "my grid is $1$2")
}

// readCall reads words as what one's call is.
func readCall(words string, own parse.Callsign) (question.Question, bool) {
	if call, ok := remarked(words, own); ok {
		return question.Question{Kind: MaybeCall, Call: call.String()}, true
	}
	for _, form := range leads {
		m := form.is.FindStringSubmatch(words)
		if m == nil {
			continue
		}
		said := aside(m[1])
		if not := onlyNot.FindStringSubmatch(said); not != nil && isCall(not[1]) && form.kind == Call {
			return question.Question{Kind: Call}, true
		}
		call, grids, ok := callIn(said)
		if !ok {
			continue
		}
		if form.near && (call == own || call.Base() != own.Base() && !slip.One(call.Base(), own.Base())) {
			continue
		}
		return question.Question{Kind: form.kind, Call: call.String(), Grids: grids}, true
	}
	return question.Question{}, false
}

// remarked reads words that say that one's own call has a mark today, or has it no longer.
func remarked(words string, own parse.Callsign) (call parse.Callsign, ok bool) {
	to, said := "", words
	if m := unmarked.FindStringSubmatch(words); m != nil {
		said = m[1]
	} else if to, said = "/", marked.ReplaceAllString(words, ""); said == words && aside(said) == words {
		return call, false // "portable" alone is said of a station
	}
	mark, ok := idiom.MarkIn(aside(said))
	bare, had := strings.CutSuffix(own.String(), "/"+mark)
	if to != "" {
		bare += to + mark
	}
	call, err := parse.ParseCallsign(bare)
	return call, ok && err == nil && own.IsValid() && (to != "" || had)
}

// callIn reads the one call of what is said, and the grids behind it. Where one call is put
// in place of another it is the one that is right.
func callIn(said string) (call parse.Callsign, grids string, ok bool) {
	for _, form := range puttingRight {
		if m := form.FindStringSubmatch(said); m != nil && isCall(m[1]) && isCall(m[2]) {
			said = m[2]
			if form == rightNotWrong {
				said = m[1]
			}
			break
		}
	}
	words := strings.Fields(said)
	if first := slices.IndexFunc(words, isGrid); first >= 0 && !slices.ContainsFunc(words[:first], isCall) {
		return call, "", false // "in jo33 hx7abc" tells of a station
	}
	read := parse.Read(said, parse.Known{})[0].Contacts
	if len(read) != 1 || !read[0].Call.IsValid() || read[0].Comment != "" || read[0].Clock.IsSet() {
		return call, "", false
	}
	for _, g := range read[0].Grids {
		grids += " " + g.String()
	}
	c := read[0]
	return c.Call, strings.TrimSpace(grids), c.Why == "" || c.Why == parse.NoGrid || c.Why == parse.Odd
}

// Introduced reads the first words of somebody new, if they are their call, or that and a
// grid, or that in a sentence.
func Introduced(line string) (call, grids string, ok bool) {
	if q, is := Read(line, parse.Callsign{}); is && (q.Kind == Call || q.Kind == MaybeCall) {
		return q.Call, q.Grids, q.Call != ""
	}
	words := strings.Fields(aside(before.ReplaceAllString(fold(line), "")))
	if len(words) == 0 || !isCall(words[0]) || isGrid(words[0]) {
		return "", "", false
	}
	grids = Grids(strings.Join(words[1:], " "))
	return words[0], grids, len(words) == 1 || grids != ""
}

// Grids are the grids of words that are nothing else, but for what joins grids and for words
// that only lead to them; empty if they are more.
func Grids(words string) string {
	var grids []string
	for word := range strings.FieldsSeq(aside(lead.ReplaceAllString(before.ReplaceAllString(fold(words), ""), ""))) {
		switch {
		case isGrid(word):
			grids = append(grids, word)
		case len(grids) == 0 || !joins.MatchString(word):
			return ""
		}
	}
	return strings.Join(grids, " ")
}

// Apart reports whether the grids in a text are not claimed together: other words stand
// between them than those that join, "jo54 or jo55".
func Apart(text string) bool {
	var between []string
	some := false
	for word := range strings.FieldsSeq(strings.ReplaceAll(fold(text), "/", " ")) {
		switch {
		case isGrid(word) && some && len(between) > 0 && !joins.MatchString(strings.Join(between, " ")):
			return true
		case isGrid(word):
			some, between = true, nil
		case !strings.ContainsFunc(word, unicode.IsDigit): // else it is an unreadable grid
			between = append(between, word)
		}
	}
	return false
}

// HasNoCall reports whether a text says that one has no call yet, or only listens; KnowsNoGrid
// that one doesn't know one's grid, Greets that it only greets.
func HasNoCall(text string) bool   { return is(noCall, text) }
func KnowsNoGrid(text string) bool { return is(noGrid, text) }
func Greets(text string) bool      { return is(greets, text) }

// is reports whether a text is a form, but for words that may stand around it.
func is(form *regexp.Regexp, text string) bool {
	for text, more := fold(text), true; more; {
		if form.MatchString(text) || form.MatchString(aside(text)) {
			return true
		}
		left := begins.ReplaceAllString(text, "")
		text, more = left, left != text
	}
	return false
}

func isCall(word string) bool { _, err := parse.ParseCallsign(word); return err == nil }

func isGrid(word string) bool {
	g, err := parse.ParseGrid(word)
	return err == nil && g.Chars() >= 4
}

func isAsked(line string) bool { return strings.HasSuffix(strings.TrimRight(line, " !."), "?") }

// aside are words without those that may stand before and behind them.
func aside(words string) string {
	return strings.TrimSpace(behind.ReplaceAllString(now.ReplaceAllString(words, ""), ""))
}

// fold writes a line as the forms have it.
func fold(line string) string {
	line = strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Mn, r), strings.ContainsRune("'’`", r):
			return -1
		case unicode.IsLetter(r), unicode.IsDigit(r), r == '/':
			return r
		}
		return ' '
	}, norm.NFD.String(strings.ReplaceAll(strings.ToLower(line), "ß", "ss")))
	return strings.Join(strings.Fields(line), " ")
}

//go:embed oneself.txt
var table string

// forms are the rows of the table by kind, as alternatives.
var forms = idiom.Forms(table)

var (
	begins = regexp.MustCompile(`^(?:` + forms["before"] + `)(?: |$)`)
	before = regexp.MustCompile(`^(?:(?:` + forms["before"] + `)(?: |$))+`)
	behind = regexp.MustCompile(`(?:(?:^| )(?:` + forms["behind"] + `))+$`)
	now    = regexp.MustCompile(`^(?:(?:` + forms["behind"] + `) )+`)
	home   = regexp.MustCompile(`^(?:` + forms["home"] + `) (.+)$`)
	// behind the call or the grids, and before what may stand behind all of it
	isMine  = regexp.MustCompile(`^(\S+) (?:` + forms["is mine"] + `)( .+)?$`)
	isWhere = regexp.MustCompile(`^(\S+(?: \S+)?) (?:` + forms["is where"] + `)( .+)?$`)

	lead   = regexp.MustCompile(`^(?:` + forms["it"] + `) `)
	joins  = regexp.MustCompile(`^(?:` + forms["joins"] + `)$`)
	noCall = regexp.MustCompile(`^(?:` + forms["no call"] + `)$`)
	noGrid = regexp.MustCompile(`^(?:` + forms["no grid"] + `)$`)
	greets = regexp.MustCompile(`^(?:` + forms["greets"] + `)$`)

	onlyNot       = regexp.MustCompile(`^(?:` + forms["not"] + `) (\S+)$`)
	wrongButRight = regexp.MustCompile(`^(?:` + forms["not"] + `) (\S+) (?:(?:` + forms["but"] + `) )?(\S+)$`)
	rightNotWrong = regexp.MustCompile(`^(\S+)(?: (?:` + forms["but"] + `))? (?:` + forms["not"] + `) (\S+)$`)
	wrongToRight  = regexp.MustCompile(`^(\S+) (?:` + forms["into"] + `) (\S+)$`)
	puttingRight  = []*regexp.Regexp{wrongButRight, rightNotWrong, wrongToRight}

	marked   = regexp.MustCompile(`^(?:` + forms["marked"] + `) `)
	unmarked = leading("unmarked")

	leads = []struct {
		kind question.Kind
		near bool // only of a call that is nearly one's own
		is   *regexp.Regexp
	}{
		{Call, false, leading("call")},
		{Call, false, leading("am")},
		{MaybeCall, true, leading("short")},
	}
)

func leading(kind string) *regexp.Regexp { return regexp.MustCompile(`^(?:` + forms[kind] + `) (.+)$`) }
