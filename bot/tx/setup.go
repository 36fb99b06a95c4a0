package tx

import (
	"slices"
	"strings"
	"time"
	"unicode"

	"skyslate/bot/say"
	"skyslate/bot/say/settings"
	"skyslate/bot/shown"
	"skyslate/parse"
	"skyslate/storage"
)

// Ready reports whether the operator has said what passes and contacts need.
func (t *Tx) Ready() bool { return t.Op.Call.IsValid() && len(t.Op.Place.Grids) > 0 }

// Local is the operator's time zone.
func (t *Tx) Local() *time.Location { return shown.Zone(t.Op.Place) }

// GridIn reads a grid that names a square at least. Its error is a sentence for the
// operator.
func GridIn(word string) (parse.Grid, error) {
	g, err := parse.ParseGrid(word)
	if err != nil || g.Chars() < 4 {
		return g, Sayable(say.BadGrid(word))
	}
	return g, nil
}

// GridsAmong reads the grids among words: "my grids are JO62 and JO72", or spelled out.
// What looks like a grid and is none comes back as left out. The error, a sentence for
// the operator, is that there is no grid.
func GridsAmong(text string) (grids []parse.Grid, left string, err error) {
	var unread []string
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		g, err := GridIn(word)
		switch {
		case err == nil && !slices.Contains(grids, g):
			grids = append(grids, g)
		case err != nil && strings.ContainsFunc(word, unicode.IsDigit):
			unread = append(unread, word)
		}
	}
	if len(grids) > 0 {
		return grids, strings.Join(unread, ", "), nil
	}
	for _, c := range contactsIn(text) {
		if parse.CheckGrids(c.Grids) == nil && c.Grids[0].Chars() >= 4 {
			return c.Grids, "", nil
		}
	}
	return nil, "", Sayable(say.BadGrid(text))
}

// TellsContact reports whether a text reads as a contact: a call and a grid.
func TellsContact(text string) bool {
	return slices.ContainsFunc(contactsIn(text), func(c parse.Contact) bool { return c.Call.IsValid() && len(c.Grids) > 0 })
}

// contactsIn reads a line in all the forms that contacts have.
func contactsIn(text string) []parse.Contact {
	return parse.Read(strings.ReplaceAll(text, "\n", " "), parse.Known{})[0].Contacts
}

// GridsIn is GridsAmong for the grids of one place: one, the two of a line or the
// four of a corner. One that doesn't touch the others is left out.
func GridsIn(text string) (grids []parse.Grid, left string, err error) {
	if grids, left, err = GridsAmong(text); err != nil {
		return nil, left, err
	}
	bad := parse.CheckGrids(grids)
	if bad == nil {
		return grids, left, nil
	}
	var fitting [][]parse.Grid
	var alone string
	for i, g := range grids {
		if some := slices.Concat(grids[:i], grids[i+1:]); len(some) > 1 && parse.CheckGrids(some) == nil {
			fitting, alone = append(fitting, some), g.String()
		}
	}
	if len(fitting) != 1 {
		return nil, "", Sayable(say.BadGrids(text, bad, left))
	}
	return fitting[0], strings.Trim(left+", "+alone, ", "), nil
}

// CallIn reads the one call among the words of a text: "my call is HX7ABC", or spelled
// out. Its error is a sentence for the operator.
func CallIn(text string) (parse.Callsign, error) {
	var calls []string
	var found parse.Callsign
	for word := range strings.FieldsFuncSeq(text, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(".,:;!", r) }) {
		if call, err := parse.ParseCallsign(word); err == nil && call != found {
			found, calls = call, append(calls, call.String())
		}
	}
	if len(calls) == 0 {
		for _, c := range contactsIn(text) {
			if c.Call.IsValid() {
				found, calls = c.Call, append(calls, c.Call.String())
			}
		}
	}
	switch len(calls) {
	case 0:
		return found, Sayable(say.BadCall(text))
	case 1:
		return found, nil
	}
	return parse.Callsign{}, Sayable(settings.TwoCalls(calls))
}

// The words that work without a slash when they are the whole message.
var bareCommands = map[string]bool{"start": true, "passes": true, "log": true, "undo": true, "help": true}

// Command splits a command from its argument: "/at JO33", "/at@a_bot JO33", one of the
// bare words alone, or grids that are wanted.
func Command(text string) (name, rest string, ok bool) {
	text = strings.TrimSpace(text)
	if !strings.HasPrefix(text, "/") {
		word := strings.ToLower(text)
		if first, grids, _ := strings.Cut(word, " "); first == "wanted" {
			all, left, err := GridsAmong(grids)
			return first, grids, err == nil && left == "" && len(all) > 0
		}
		return word, "", bareCommands[word]
	}
	name, rest, _ = strings.Cut(strings.ReplaceAll(text[1:], "\n", " "), " ")
	name, _, _ = strings.Cut(name, "@")
	return strings.ToLower(name), strings.TrimSpace(rest), true
}

// The questions of setting up, in order.
const (
	AskCall  = "call"
	AskPlace = "place"
)

// Caution shows the cautions, once.
func (t *Tx) Caution() {
	if t.Op.Cautioned.IsZero() {
		t.Op.Cautioned = t.Event.At
		t.Say(say.Cautions)
	}
}

// Ask asks what is still missing, one short question at a time.
func (t *Tx) Ask() {
	switch {
	case !t.Op.Call.IsValid():
		t.Op.Asking = AskCall
		t.Say(say.AskCall)
	case len(t.Op.Place.Grids) == 0:
		t.Op.Asking = AskPlace
		t.Say(say.AskPlace)
		t.Posts[len(t.Posts)-1].Keys = storage.KeysPlace
	default:
		t.Op.Asking = ""
	}
}

// A Sayable error is one that the operator reads as it is.
type Sayable string

func (e Sayable) Error() string { return string(e) }

// MaxChoices is how many candidates a question offers.
const MaxChoices = 4
