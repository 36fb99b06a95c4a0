package tx

import (
	"errors"
	"slices"
	"strings"
	"time"

	"skyslate/bot/say"
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
	if err == nil && g.Chars() < 4 {
		err = errShortGrid
	}
	if err != nil {
		return g, Sayable(say.BadGrid(word, err))
	}
	return g, nil
}

// GridsIn reads one grid, the two of a line or the four of a corner. Its error
// is a sentence for the operator.
func GridsIn(text string) ([]parse.Grid, error) {
	var grids []parse.Grid
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == '/' || r == '\n' }) {
		g, err := GridIn(word)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(grids, g) {
			grids = append(grids, g)
		}
	}
	if err := parse.CheckGrids(grids); err != nil {
		return nil, Sayable(say.BadGrid(text, err))
	}
	return grids, nil
}

// KnownBird reports whether a name typed is a bird's, and says so if it isn't.
// No name is one too.
func (t *Tx) KnownBird(name string) bool {
	if name == "" {
		return true
	}
	if _, ok := t.Sky.Bird(name); !ok {
		t.Say(say.UnknownBird(name, t.Sky.ProperNames()))
		return false
	}
	return true
}

// The words that work without a slash when they are the whole message.
var bareCommands = map[string]bool{"start": true, "passes": true, "log": true, "undo": true, "help": true}

// Command splits a command from its argument: "/at JO33", "/at@a_bot JO33", or
// one of the bare words alone.
func Command(text string) (name, rest string, ok bool) {
	text = strings.TrimSpace(text)
	if !strings.HasPrefix(text, "/") {
		word := strings.ToLower(text)
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

var errShortGrid = errors.New("a grid has four characters at least, such as JO33")

// A Sayable error is one that the operator reads as it is.
type Sayable string

func (e Sayable) Error() string { return string(e) }

// MaxChoices is how many candidates a question offers.
const MaxChoices = 4
