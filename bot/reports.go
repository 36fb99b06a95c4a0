package bot

import (
	"strconv"
	"strings"

	"skyslate/bot/report"
	"skyslate/bot/say"
	"skyslate/bot/tx"
	"skyslate/parse"
)

// reports say which part of the log is shown.
type reports struct {
	report.Reports
	finder finder
}

// wordAll behind /log asks for all that the pass at hand has.
const wordAll = "all"

// showLog shows the pass at hand, or the one that is named, the history of one contact
// (by its number there, or as the answer to a post about it), or all with a station or
// in a grid.
func (r reports) showLog(word string) {
	pass, _ := r.finder.passAtHand(r.Event.At)
	replied := r.finder.repliedContacts()
	switch every := strings.EqualFold(word, wordAll); {
	case every || word == "" && len(replied) != 1:
		r.ShowPass(pass, r.finder.waiting(), every)
		return
	case word == "":
		r.ShowHistory(replied[0])
		return
	}
	if named, ok := r.finder.planner.PassesBehind(word); ok {
		if len(named) != 1 {
			r.Say(say.NoSuchPass)
			return
		}
		r.ShowPass(named[0], nil, false)
		return
	}
	meant, _ := r.finder.passMeant("")
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
