package contact

import (
	"slices"
	"strings"

	"skyslate/parse"
	"skyslate/storage"
)

// reply completes or corrects the contact that the answered message is about;
// false if it is about none, or the answer is a contact of its own.
func (d *derivation) reply(l *line, read parse.Line) bool {
	r := l.message.said.Reply
	var targets []*contact
	for _, key := range d.answeredKeys(r) {
		if c := d.byKey[key]; c != nil && c.State != storage.Dropped {
			targets = append(targets, c)
		}
	}
	if len(targets) == 0 || len(l.message.lines) != 1 || r.Voice != 0 {
		return false
	}
	if says(l.text, takeBackWords) {
		return d.withdraw(l, targets)
	}
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
	case says(l.text, workedWords) && !slices.ContainsFunc(targets, (*contact).questioned):
		return false
	case r.List && c.Call.IsValid() && !c.Corrects && !slices.ContainsFunc(targets, func(t *contact) bool { return t.Call == c.Call }):
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

// withdraw drops the contact that an answer takes back.
func (d *derivation) withdraw(l *line, targets []*contact) bool {
	if len(targets) > 1 {
		l.message.outcome.Ignored = WhichOne
		return true
	}
	targets[0].State, targets[0].kept = storage.Dropped, false
	d.touch(targets[0], l)
	return true
}

// What a reply may say of a contact that was only heard, or is in doubt.
var (
	workedWords = []string{"worked", "worked him", "worked her", "yes", "yes worked"}
	heardWords  = []string{"heard", "only heard", "heard only", "not worked", "no"}
)

func says(text string, words []string) bool {
	return slices.Contains(words, strings.Trim(strings.ToLower(text), " .!"))
}

// answerIn is what a line says about the contact it answers.
func answerIn(line parse.Line) (parse.Contact, bool) {
	switch {
	case len(line.Contacts) == 1:
		c := line.Contacts[0]
		c.Clock = firstSet(c.Clock, line.Clock)
		return c, true
	case line.Clock.IsSet():
		return parse.Contact{Clock: line.Clock, Verdict: parse.Log}, true
	case line.Denies, says(line.Text, heardWords):
		return parse.Contact{Verdict: parse.Log, Heard: true}, true
	case says(line.Text, workedWords):
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
