package contact

import (
	"regexp"
	"slices"
	"strings"

	"skyslate/parse"
)

var (
	loneLetters = regexp.MustCompile(`^\s*[A-Za-z]{1,4}\s*$`)
	callParts   = regexp.MustCompile(`^(.*\d)([A-Z]+)$`)
	// shortWords are short answers that spell no suffix.
	shortWords = strings.Fields("tnx thx tks txs pls qrm qrn qrp qrz qsb qso qsl qsy rrr no ok oh ah ty fb gl hi rr r k ur my me so we it dup dupe sri sry")
)

// shortAnswer reads an answer of a few letters as the new suffix of a contact's
// call; its marks stay. What can be spoken as a word, or is a name, rewrites no
// call: a character off the suffix it is asked, else it changes nothing.
func shortAnswer(l *line, c *contact) (parse.Contact, bool) {
	letters := strings.ToUpper(strings.TrimSpace(l.text))
	m := callParts.FindStringSubmatch(c.Call.Base())
	if m == nil || !loneLetters.MatchString(l.text) || slices.Contains(shortWords, strings.ToLower(letters)) {
		return parse.Contact{}, false
	}
	call, err := parse.ParseCallsign(strings.Replace(c.Call.String(), m[0], m[1]+letters, 1))
	if err != nil || call.Class() != parse.Valid {
		return parse.Contact{}, false
	}
	named := strings.TrimSpace(l.text) != letters && strings.TrimSpace(l.text) != strings.ToLower(letters) // "Ed"
	if letters != m[2] && pronounceable(letters) && (len(letters) > 2 || named) {
		if len(letters) != len(m[2]) || distance(letters, m[2]) > 1 {
			l.message.outcome.Ignored = NoRewrite
			return parse.Contact{}, false
		}
		// A slip of the suffix, or a name after all: asked.
		return parse.Contact{
			Call: c.Call, Grids: c.Grids, Verdict: parse.Ask, Why: parse.Ambiguous, Text: l.text,
			Candidates: []parse.Candidate{{Call: call, Grids: c.Grids}, {Call: c.Call, Grids: c.Grids}},
		}, true
	}
	return parse.Contact{Call: call, Verdict: parse.Log, Text: l.text}, true
}

var offsetAlone = regexp.MustCompile(`^\s*\+\d{1,3}:[0-5]\d\s*$`)

// loneOffset reads a line that is an offset alone; package parse reads one beside
// a call.
func loneOffset(text string) parse.Offset {
	if !offsetAlone.MatchString(text) {
		return parse.Offset{}
	}
	for _, c := range parse.Read("HX7KZQ "+strings.TrimSpace(text), parse.Known{})[0].Contacts {
		return c.Offset
	}
	return parse.Offset{}
}

// pronounceable reports whether letters could be a name or a word.
func pronounceable(letters string) bool {
	return strings.ContainsAny(strings.ToUpper(letters), "AEIOUY")
}

// distance counts the characters that differ, are missing, or have changed places
// with the next (Damerau 1964, restricted to adjacent places).
func distance(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
