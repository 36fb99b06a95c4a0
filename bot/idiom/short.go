package idiom

import (
	"regexp"
	"strings"

	"skyslate/parse"
	"skyslate/parse/slip"
)

var (
	markOnly    = regexp.MustCompile(`^\s*/[A-Za-z0-9]{1,4}\s*$`)
	loneLetters = regexp.MustCompile(`^\s*[A-Za-z]{1,4}\s*$`)
	twoFigures  = regexp.MustCompile(`^\s*(\d\d)\s*$`)
	callParts   = regexp.MustCompile(`^(.*\d)([A-Z]+)$`)
)

// IsMark reports whether an answer is a mark of a call and nothing else: "/p".
func IsMark(answer string) bool { return markOnly.MatchString(answer) }

// Figures are two figures that are all of an answer, as those of a grid: "44".
func Figures(answer string) (figures string, ok bool) {
	if m := twoFigures.FindStringSubmatch(answer); m != nil {
		return m[1], true
	}
	return "", false
}

// A Rewriting says what a short answer to a contact does to its call.
type Rewriting int

// What a short answer can do to a call.
const (
	NoRewriting Rewriting = iota // it says nothing of it
	Rewritten                    // it gives the call as it is now
	MayRewrite                   // a slip of the suffix, or a name after all
	MayNot                       // a word, or a name, that could be a suffix
)

// Rewrite reads an answer of a few letters as the new suffix of a call; its marks stay.
// A mark alone, or a word for one, joins the call. What can be spoken as a word, or is a name, rewrites no
// call: a character off the suffix it may, else not.
func Rewrite(answer string, call parse.Callsign) (now parse.Callsign, how Rewriting) {
	if mark, ok := MarkIn(answer); ok {
		answer = "/" + mark
	}
	typed := strings.TrimSpace(answer)
	letters := strings.ToUpper(typed)
	if IsMark(answer) && call.IsValid() {
		return Marked(call, letters[1:])
	}
	m := callParts.FindStringSubmatch(call.Base())
	if m == nil || !loneLetters.MatchString(answer) || parse.IsWord(letters) {
		return parse.Callsign{}, NoRewriting
	}
	how = Rewritten
	named := typed != letters && typed != strings.ToLower(letters) // "Ed"
	if spoken := strings.ContainsAny(letters, "AEIOUY"); letters != m[2] && spoken && (len(letters) > 2 || named) {
		how = MayNot
		if len(letters) == len(m[2]) && slip.One(letters, m[2]) {
			how = MayRewrite
		}
	}
	return rewritten(strings.Replace(call.String(), m[0], m[1]+letters, 1), how)
}

// Marked is a call with a mark that it is said to have: where it has another one, one of them
// may be wrong, or a slip.
func Marked(call parse.Callsign, mark string) (now parse.Callsign, how Rewriting) {
	before, behind, _ := strings.Cut(call.String(), call.Base())
	how = Rewritten
	if behind != "" && behind != "/"+mark {
		how = MayRewrite
	}
	return rewritten(before+call.Base()+"/"+mark, how)
}

// rewritten is a call as an answer gives it, if it can be one.
func rewritten(text string, how Rewriting) (parse.Callsign, Rewriting) {
	call, err := parse.ParseCallsign(text)
	if err != nil || call.Class() != parse.Valid {
		return parse.Callsign{}, NoRewriting
	}
	return call, how
}
