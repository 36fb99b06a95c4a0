package watch

import (
	"time"

	"skyslate/bot/event"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// MomentEverybody is the moment, of no operator, that puts the planning of some
// operators on the agenda, and itself again for the next ones.
const MomentEverybody = "replan"

// How many are put on the agenda at a time, and how far apart.
const (
	PlannedAtOnce = 50
	PlannedApart  = 10 * time.Millisecond
)

// Everybody has all operators planned one after the other, from now on; by says what
// put it.
func Everybody(now time.Time, by string) storage.Item { return everybody(now, "", by) }

// everybody goes on behind an operator.
func everybody(at time.Time, behind storage.OperatorID, by string) storage.Item {
	return storage.Item{Key: MomentEverybody, At: at, Kind: MomentEverybody, Pass: storage.PassID(behind), By: by}
}

// NextOfEverybody puts the planning of the next operators on the agenda.
func NextOfEverybody(v *storage.View, ev event.Event) (ch storage.Changes, err error) {
	ops, err := v.OperatorsAfter(storage.OperatorID(ev.Item.Pass), PlannedAtOnce)
	if err != nil {
		return ch, err
	}
	ch.Cancel = []string{ev.Item.Key}
	at := ev.Now
	for _, op := range ops {
		ch.Agenda = append(ch.Agenda, tx.PlanItem(op, at, ev.ID))
		at = at.Add(PlannedApart)
	}
	if len(ops) == PlannedAtOnce {
		ch.Agenda = append(ch.Agenda, everybody(at, ops[len(ops)-1], ev.Item.By))
	}
	return ch, nil
}
