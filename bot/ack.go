package bot

import (
	"fmt"
	"slices"
	"strings"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// echo says how each contact was taken, a line each.
func (p *plan) echo(contacts []storage.Contact) string {
	var lines []string
	for i, c := range contacts {
		block := strings.Split(p.Echoed(c), "\n")
		room := say.Lines - len(lines)
		if i < len(contacts)-1 {
			room-- // for how many more there are
		}
		if len(block) > room {
			lines = append(lines, say.MoreLogged(len(contacts)-i))
			break
		}
		lines = append(lines, block...)
	}
	if more := p.echoNews(contacts); more != "" && len(lines) < say.Lines-2 {
		lines = append(lines, more)
	}
	return strings.Join(lines, "\n")
}

// question asks what a doubtful contact is: one silent line, the candidates as
// buttons. The buttons carry the version, so that an old one can't undo newer
// work.
func (p *plan) question(c storage.Contact) {
	p.Put(storage.Post{
		Name: p.Name("ask", c.ID), ReplyTo: c.Message, Text: say.Question(shown.Contact(c)),
		Buttons: answerButtons(c), About: []uint64{c.ID}, Pass: c.Pass,
	})
}

// answerButtons are the answers to the question what a contact is.
func answerButtons(c storage.Contact) [][]storage.Button {
	var rows [][]storage.Button
	for i, cand := range c.Candidates[:min(len(c.Candidates), tx.MaxChoices)] {
		rows = append(rows, []storage.Button{{
			Label: say.StationLabel(cand.Call, cand.Grids), Data: fmt.Sprintf("%s:%d:%d:%d", tapPick, c.ID, c.Version, i),
		}})
	}
	var last []storage.Button
	if worked := c.Why == string(parse.Doubted) || c.Why == string(parse.Denied); worked && c.Call.IsValid() {
		rows = [][]storage.Button{{{Label: say.LabelWorked, Data: fmt.Sprintf("%s:%d:%d", tapKeep, c.ID, c.Version)}}}
		last = append(last, storage.Button{Label: say.LabelHeard, Data: fmt.Sprintf("%s:%d:%d", tapHeard, c.ID, c.Version)})
	} else if future := c.Why == contact.WhyTime && c.Time.After(c.Made); c.Call.IsValid() && parse.CheckGrids(c.Grids) == nil && !offered(c) && !future {
		last = append(last, storage.Button{Label: say.LabelAsTyped, Data: fmt.Sprintf("%s:%d:%d", tapKeep, c.ID, c.Version)})
	}
	if c.Why == contact.WhyTime && (c.Clock.IsSet() || c.Mark != nil) {
		last = append(last, storage.Button{Label: say.LabelNoTime, Data: fmt.Sprintf("%s:%d:%d", tapNoTime, c.ID, c.Version)})
	}
	last = append(last, storage.Button{Label: say.LabelDrop, Data: fmt.Sprintf("%s:%d:%d", tapDrop, c.ID, c.Version)})
	return append(rows, last)
}

// offered reports whether the contact as it stands is one of its candidates.
func offered(c storage.Contact) bool {
	return slices.ContainsFunc(c.Candidates, func(cand storage.Candidate) bool {
		return cand.Call == c.Call && slices.Equal(cand.Grids, c.Grids)
	})
}
