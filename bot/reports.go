package bot

import (
	"strconv"
	"strings"

	"skyslate/bot/lists"
	"skyslate/bot/meant"
	"skyslate/bot/report"
	"skyslate/bot/say"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// reports say which part of the log is shown.
type reports struct {
	report.Reports
	finder meant.Finder
}

// wordAll behind /log asks for all of the last day, or of a pass that is named, wordOpen for
// what is still asked, wordNotes for what is no contact; the word for the last one is wordLast.
const (
	wordAll   = "all"
	wordOpen  = "open"
	wordNotes = "notes"
)

// showLog shows the pass at hand, or the one that is named, the history of one contact
// (by its number there, or as the answer to a post about it), or all with a station or
// in a grid.
func (r reports) showLog(word string) {
	switch strings.ToLower(word) {
	case wordOpen:
		r.ShowOpen()
		return
	case wordLast:
		r.ShowLast()
		return
	}
	pass, _ := r.finder.PassAtHand(r.Event.At)
	if words, notes := strings.CutSuffix(" "+strings.ToLower(word), " "+wordNotes); notes {
		if words = strings.TrimSpace(words); words != "" || r.Event.ReplyTo != 0 {
			pass, _ = r.finder.PassMeant(words)
		}
		r.finder.Ledger.ShowNotes(pass)
		return
	}
	replied := r.finder.RepliedContacts()
	switch {
	case strings.EqualFold(word, wordAll):
		r.ShowAll(pass, r.finder.Waiting())
		return
	case word == "" && len(replied) != 1:
		r.ShowPass(pass, r.finder.Waiting(), false)
		return
	case word == "":
		r.ShowHistory(replied[0])
		return
	}
	passWords, all := cutAll(word)
	if named, ok := r.finder.Planner.PassesBehind(passWords); ok {
		r.showPasses(named, passWords, all)
		return
	}
	meant, _ := r.finder.PassMeant("")
	n, _ := strconv.Atoi(word)
	if c, ok := r.Numbered(meant.ID, n); ok {
		r.ShowHistory(c)
	} else if grid, err := tx.GridIn(word); err == nil {
		r.ShowGrid(grid)
	} else if call, err := parse.ParseCallsign(word); err == nil {
		r.ShowStation(call)
	} else {
		r.Say(say.NoSuchContact)
	}
}

// cutAll takes the word for all from behind the words for a pass.
func cutAll(word string) (rest string, all bool) {
	rest, all = strings.CutSuffix(strings.ToLower(word), " "+wordAll)
	if !all {
		return word, false
	}
	return rest, true
}

// showPasses shows the passes that words name: the latest on which anything is logged.
func (r reports) showPasses(named []storage.Pass, words string, all bool) {
	worked := lists.Filter(named, r.WorkedOn)
	if len(worked) == 0 {
		r.Say(say.NothingOn(words))
		return
	}
	for _, pass := range worked[max(len(worked)-report.MostPasses, 0):] {
		r.ShowPass(pass, nil, all)
	}
	if len(worked) > report.MostPasses {
		r.Say(say.Meaning("older"))
	}
}

// handOver hands over a file, and asks again what its own grids hang on.
func (p *plan) handOver(words string) {
	p.HandOver(words, p.LastPass)
	p.AskAshore()
}
