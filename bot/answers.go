package bot

import (
	"regexp"
	"slices"
	"strings"

	"skyslate/parse"
	"skyslate/storage"
)

// The short answers to a contact: an offset alone, or the letters behind the
// figure of its call.

var (
	loneOffset  = regexp.MustCompile(`^\s*\+\d{1,3}:[0-5]\d\s*$`)
	loneLetters = regexp.MustCompile(`^\s*[A-Za-z]{1,4}\s*$`)
	callParts   = regexp.MustCompile(`^(.*\d)([A-Z]+)$`)
	// chatter are short words that answer a contact without correcting it.
	chatter = strings.Fields("yes no ok oh ah yep yeah nope ty tnx thx tks fb gl gud good nice fine wow lol haha hi bye " +
		"cool yay sure what who huh why how qrm qrn qrp qrz qsb qso qsl qsy rr rrr r k roger loud weak dx best omg wait " +
		"done same dupe new odd mad sad bad big far well and the")
)

// offsetIn reads a line that is an offset alone; package parse reads one beside
// a call.
func offsetIn(text string) parse.Offset {
	if !loneOffset.MatchString(text) {
		return parse.Offset{}
	}
	for _, c := range parse.Read("HX7KZQ "+strings.TrimSpace(text), parse.Known{})[0].Contacts {
		return c.Offset
	}
	return parse.Offset{}
}

// suffixIn reads an answer of a few letters as the new suffix of a contact's
// call; its marks stay.
func suffixIn(text string, c storage.Contact) (parse.Contact, bool) {
	letters := strings.ToUpper(strings.TrimSpace(text))
	m := callParts.FindStringSubmatch(c.Call.Base())
	if m == nil || !loneLetters.MatchString(text) || slices.Contains(chatter, strings.ToLower(letters)) {
		return parse.Contact{}, false
	}
	call, err := parse.ParseCallsign(strings.Replace(c.Call.String(), m[0], m[1]+letters, 1))
	if err != nil || call.Class() != parse.Valid {
		return parse.Contact{}, false
	}
	return parse.Contact{Call: call, Verdict: parse.Log, Text: text}, true
}

// voiceOf is the voice message that contacts were written down from.
func voiceOf(contacts []storage.Contact) int64 {
	for _, c := range contacts {
		if c.Mark != nil && c.Mark.Voice != 0 {
			return c.Mark.Voice
		}
	}
	return 0
}
