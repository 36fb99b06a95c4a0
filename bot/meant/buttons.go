package meant

import (
	"slices"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// Answers are the answers to the question what a contact is. A time that was told ahead
// of it can be taken once it is past.
func Answers(c storage.Contact, now time.Time) [][]storage.Button {
	answer := func(label, verb string) storage.Button { return tx.Button(label, verb, c.ID, c.Version) }
	var rows [][]storage.Button
	for i, cand := range c.Candidates[:min(len(c.Candidates), tx.MaxChoices)] {
		rows = append(rows, []storage.Button{tx.Button(say.StationLabel(cand.Call, cand.Grids), contact.Pick, c.ID, c.Version, i)})
	}
	asTyped := func(o storage.Candidate) bool { return o.Call == c.Call && slices.Equal(o.Grids, c.Grids) }
	offered := slices.ContainsFunc(c.Candidates, asTyped)
	var last []storage.Button
	if c.Why == contact.WhyGrid {
		rows = [][]storage.Button{{answer(say.LabelBoth, contact.Keep)}}
		for i := range c.Candidates { // two: to take one says that the other was wrong
			wrong := c.Candidates[len(c.Candidates)-1-i].Grids
			rows = append(rows, []storage.Button{tx.Button(say.WrongLabel(wrong), contact.Pick, c.ID, c.Version, i)})
		}
	}
	if c.Why == contact.WhyTwin {
		rows = append([][]storage.Button{{answer(say.LabelBoth, contact.Keep)}}, rows...)
		return append(rows, []storage.Button{answer(say.LabelDrop, contact.Drop)})
	}
	if contact.Questionable(c.Why) && c.Call.IsValid() {
		label := say.LabelWorked
		if c.Why == contact.WhyNew {
			label = say.LabelLogIt
		}
		rows = [][]storage.Button{{answer(label, contact.Keep)}}
		last = append(last, answer(say.LabelHeard, contact.Heard))
	} else if future := c.Why == contact.WhyTime && c.Time.After(now.Add(timing.ClockSlack)); c.Call.IsValid() && parse.CheckGrids(c.Grids) == nil && !offered && !future {
		last = append(last, answer(say.AsTypedLabel(shown.Contact(c)), contact.Keep))
	}
	if c.Why == contact.WhyTime && (c.Clock.IsSet() || c.Mark != nil) {
		last = append(last, answer(say.LabelNoTime, contact.NoTime))
	}
	last = append(last, answer(say.LabelDrop, contact.Drop))
	return append(rows, last)
}
