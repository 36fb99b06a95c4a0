package setup

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"skyslate/bot/say"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// add adds a bird. Of one whose elements are here any of its names is enough: its
// number is known, and its frequencies are asked.
func (p Birds) add(words []string) {
	for n := len(words); n > 0; n-- {
		e, ok := p.lacked(strings.Join(words[:n], " "))
		switch rest := words[n:]; {
		case !ok:
		case len(rest) > 0 && rest[0] == strconv.Itoa(e.Catalog):
			p.addWith(e, strings.Join(rest[1:], " "))
			return
		default:
			p.addWith(e, strings.Join(rest, " "))
			return
		}
	}
	listed, ok := p.Sky.Bird(strings.Join(words, " "))
	number := slices.IndexFunc(words, isNumber)
	switch {
	case len(words) == 0:
		p.Say(say.BirdHow)
	case ok:
		p.Say(say.ListedAlready(listed))
	case number < 1:
		p.Say(say.NoSuchElements(strings.Join(words, " ")))
	default:
		name := strings.Join(words[:number], "-")
		p.birdChange(p.addBird(name, words[number], strings.Join(words[number+1:], " "), ""))
	}
}

// isNumber reports whether a word is a catalog number; shorter ones belong to names.
func isNumber(word string) bool {
	_, err := strconv.Atoi(word)
	return err == nil && len(word) >= 4
}

// addWith adds the bird of elements, or asks what a text leaves open of its frequencies.
func (p Birds) addWith(e predict.Elements, text string) {
	way, err := readPair(text)
	switch {
	case text == "":
		p.askPair(e, say.AskPair(e))
	case err != nil:
		p.askPair(e, err.Error())
	case way.either:
		var rows [][]storage.Button
		for _, set := range []map[string]string{way.set, way.turned()} {
			label := say.PairLabel(set[uplink], set[downlink])
			rows = append(rows, []storage.Button{tx.Button(label, watch.TapAdd, e.Catalog, inOrder(set))})
		}
		p.askPair(e, say.AskUplink(e), rows...)
	default:
		names := predict.NamesIn(e.Name)
		p.birdChange(p.addBird(wordOf(e), strconv.Itoa(e.Catalog), text, strings.Join(names[1:], ";")))
	}
}

// lacked finds elements of a bird that the list lacks, by a name or the number.
func (p Birds) lacked(name string) (predict.Elements, bool) {
	all := p.Sky.Orphans()
	i := slices.IndexFunc(all, func(e predict.Elements) bool { return strconv.Itoa(e.Catalog) == name || e.Called(name) })
	if i < 0 {
		return predict.Elements{}, false
	}
	return all[i], true
}

// wordOf is the name under which a bird is added of which there are elements: the one
// it goes by, in one word, or else its number.
func wordOf(e predict.Elements) string {
	name := strings.Join(strings.Fields(predict.NamesIn(e.Name)[0]), "-")
	if nameable(name) {
		return name
	}
	return "SAT-" + strconv.Itoa(e.Catalog)
}

// nameable reports whether a new bird may have a name: a call's would turn lines
// with that call into lines about the bird.
func nameable(name string) bool {
	call, err := parse.ParseCallsign(name)
	isCall := err == nil && call.Class() == parse.Valid
	return birdName.MatchString(name) && !isCall
}

// askPairOf begins the names of the questions for a bird's frequencies, and of what
// their answers answer; behind it stands the bird's number. pairAsked is where the
// number of the bird is kept that was asked about last.
const (
	askPairOf = "pair/"
	pairAsked = "pair"
)

func (p Birds) askPair(e predict.Elements, text string, rows ...[]storage.Button) {
	number := strconv.Itoa(e.Catalog)
	p.Keep(storage.OwnKey(p.Op.ID, pairAsked), []byte(number))
	post := storage.Post{
		Name: p.Name(askPairOf + number), Class: p.Asking(), ReplyTo: p.Event.Message,
		Text: text, Silent: true, Buttons: rows,
	}
	if len(rows) == 0 {
		post.Keys = storage.KeysReply
	}
	p.Post(post)
}

// TapAddBird asks for the frequencies of a bird that is to be added, or takes them from
// the button.
func (p Birds) TapAddBird(tap tx.Tap) {
	e, ok := p.lacked(tap.Part(0))
	if !ok {
		p.Say(say.OldButton)
		return
	}
	p.addWith(e, tap.Part(1))
}

// PairAsked is the question for a bird's frequencies that a message answers, empty if
// none: the one that it replies to or, if it tells frequencies and nothing else, the
// last one.
func (p Birds) PairAsked(text string) string {
	post, ok := p.RepliedPost()
	if number, isIt := strings.CutPrefix(post.Name, p.Name(askPairOf)); isIt {
		return askPairOf + number
	}
	if _, err := readPair(text); ok || err != nil {
		return ""
	}
	number, _ := tx.Got(p.Tx, func() ([]byte, bool, error) {
		kept, err := p.View.Kept(storage.OwnKey(p.Op.ID, pairAsked))
		return kept, true, err
	})
	if _, open := p.lacked(string(number)); open {
		return askPairOf + string(number)
	}
	return ""
}

// pairTold takes the answer to it.
func (p Birds) pairTold(question, text string) {
	e, ok := p.lacked(strings.TrimPrefix(question, askPairOf))
	if !ok {
		p.Say(say.OldButton)
		return
	}
	p.addWith(e, text)
}

// addBird adds a bird of one transponder to the operator's list; alias are its other
// names, as the list has them.
func (p Birds) addBird(name, number, text, alias string) (int, error) {
	set := map[string]string{
		"bird": name, "catalog": number, "alias": alias, "on": "yes", "status": say.AddedByYou,
		"status_date": p.Event.At.UTC().Format("2006-01-02"), "source": "you", "kind": "FM", "mode": "FM",
	}
	if !nameable(name) {
		return 0, tx.Sayable(say.BadBirdName)
	}
	way, err := readPair(text)
	switch {
	case text == "":
		return 0, tx.Sayable(say.BirdHow)
	case err != nil:
		return 0, err
	case way.either:
		return 0, tx.Sayable(say.WhichUplink(way.set[uplink], way.set[downlink]))
	}
	maps.Copy(set, way.set)
	if strings.Contains(set[uplink], "-") {
		set["kind"], set["mode"] = "linear", "SSB"
	}
	bird, err := sky.NewBird(set)
	if err != nil {
		return 0, err
	}
	return bird.Catalog, p.keepNewBird(bird, set)
}

func (p Birds) keepNewBird(bird predict.Bird, set map[string]string) error {
	own := p.OwnThings()
	_, taken := p.Sky.Bird(bird.Name)
	_, numbered := p.Sky.ByCatalog(bird.Catalog)
	switch {
	case taken || numbered:
		return tx.Sayable(say.ListedAlready(bird))
	case len(own.Birds) >= sky.MostBirds:
		return errTooManyBirds
	}
	own.Birds = slices.DeleteFunc(own.Birds, func(b sky.Change) bool { return b.Catalog == bird.Catalog })
	_, shared := p.Skies.Shared.ByCatalog(bird.Catalog)
	own.Birds = append(own.Birds, sky.Change{Catalog: bird.Catalog, New: !shared, Set: set})
	p.KeepOwn(own)
	return nil
}
