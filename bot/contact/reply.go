package contact

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"skyslate/parse"
	"skyslate/storage"
)

// reply completes or corrects the contact that the answered message is about;
// false if it is about none, or the answer is a contact of its own.
func (d *derivation) reply(l *line, read parse.Line) bool {
	r := l.message.said.Reply
	targets := d.targets(r)
	if len(targets) == 0 || len(l.message.lines) != 1 || r.Voice != 0 {
		return false
	}
	return d.answered(l, read, targets, r.List)
}

// targets are the contacts that an answer can mean.
func (d *derivation) targets(r *storage.Answered) []*contact {
	var all []*contact
	for _, key := range d.answeredKeys(r) {
		if c := d.byKey[key]; c != nil && c.State != storage.Dropped {
			all = append(all, c)
		}
	}
	return all
}

// answered takes what a line says of contacts that it answers, be they shown among
// others; false if it says nothing of them.
func (d *derivation) answered(l *line, read parse.Line, targets []*contact, list bool) bool {
	if read.Withdraws {
		if len(targets) > 1 {
			l.message.outcome.Ignored = WhichOne
			return true
		}
		targets[0].State, targets[0].kept = storage.Dropped, false
		d.touch(targets[0], l)
		return true
	}
	unsure := func(t *contact) bool { return t.State == storage.Heard || t.Note != "" || Questionable(t.Why) }
	c, ok := answerIn(read)
	if !ok && len(targets) == 1 {
		c, ok = shortAnswer(l, targets[0])
	}
	if !ok && len(targets) == 1 && d.stateDial(targets[0], l.text) {
		d.touch(targets[0], l)
		return true
	}
	switch {
	case !ok:
		return false
	case read.Affirms && !slices.ContainsFunc(targets, unsure):
		return false
	case list && c.Call.IsValid() && !c.Corrects && !slices.ContainsFunc(targets, func(t *contact) bool { return t.Call == c.Call }):
		return false // another station: a late line of that pass
	}
	target := meant(targets, c)
	if target == nil {
		l.message.outcome.Ignored = WhichOne
		return true
	}
	if another(target, c) {
		return false
	}
	d.amend(target, spoken(c, target), l)
	return true
}

// answerIn is what a line says about the contact it answers.
func answerIn(line parse.Line) (parse.Contact, bool) {
	switch {
	case len(line.Contacts) == 1:
		c := line.Contacts[0]
		c.Clock = cmp.Or(c.Clock, line.Clock)
		return c, true
	case line.Clock.IsSet():
		return parse.Contact{Clock: line.Clock, Verdict: parse.Log}, true
	case line.Denies, line.Heads.Why == parse.Denied:
		return parse.Contact{Verdict: parse.Log, Heard: true}, true
	case line.Affirms:
		return parse.Contact{Verdict: parse.Log}, true
	}
	if offset := loneOffset(line.Text); offset.IsSet() {
		return parse.Contact{Offset: offset, Verdict: parse.Log}, true
	}
	return parse.Contact{}, false
}

// meant picks the contact that an answer means: the only one; the one of the same
// call; for a grid alone the only one without. nil if that is not clear.
func meant(targets []*contact, c parse.Contact) *contact {
	if len(targets) == 1 {
		return targets[0]
	}
	fitting := filter(targets, func(t *contact) bool {
		if c.Call.IsValid() {
			return t.Call == c.Call
		}
		return len(c.Grids) > 0 && len(t.Grids) == 0
	})
	if len(fitting) != 1 {
		return nil
	}
	return fitting[0]
}

// another reports whether an answer tells another station than the contact's: not
// a slip of a character, and not a correction in so many words.
func another(target *contact, c parse.Contact) bool {
	if c.Corrects || !c.Call.IsValid() || !target.Call.IsValid() || c.Call == target.Call || c.Call.Base() == target.Call.Base() {
		return false
	}
	if slices.ContainsFunc(target.Candidates, func(o storage.Candidate) bool { return o.Call == c.Call }) {
		return false
	}
	slips := distance(c.Call.Base(), target.Call.Base())
	if len(c.Grids) > 0 && len(target.Grids) > 0 && !slices.Equal(c.Grids, target.Grids) {
		return true
	}
	return slips > 2 || slips > 1 && len(c.Grids) > 0
}

var (
	markOnly    = regexp.MustCompile(`^\s*/[A-Za-z0-9]{1,4}\s*$`)
	loneLetters = regexp.MustCompile(`^\s*[A-Za-z]{1,4}\s*$`)
	callParts   = regexp.MustCompile(`^(.*\d)([A-Z]+)$`)
)

// shortAnswer reads an answer of a few letters as the new suffix of a contact's
// call; its marks stay. A mark alone joins the call. What can be spoken as a word, or is a name, rewrites no
// call: a character off the suffix it is asked, else it changes nothing.
func shortAnswer(l *line, c *contact) (parse.Contact, bool) {
	letters := strings.ToUpper(strings.TrimSpace(l.text))
	if markOnly.MatchString(letters) && c.Call.IsValid() {
		call, err := parse.ParseCallsign(c.Call.String() + letters)
		return parse.Contact{Call: call, Verdict: parse.Log, Text: l.text}, err == nil && call.Class() == parse.Valid
	}
	m := callParts.FindStringSubmatch(c.Call.Base())
	if m == nil || !loneLetters.MatchString(l.text) || parse.IsWord(letters) {
		return parse.Contact{}, false
	}
	call, err := parse.ParseCallsign(strings.Replace(c.Call.String(), m[0], m[1]+letters, 1))
	if err != nil || call.Class() != parse.Valid {
		return parse.Contact{}, false
	}
	named := strings.TrimSpace(l.text) != letters && strings.TrimSpace(l.text) != strings.ToLower(letters) // "Ed"
	if spoken := strings.ContainsAny(letters, "AEIOUY"); letters != m[2] && spoken && (len(letters) > 2 || named) {
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
