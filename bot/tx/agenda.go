package tx

import (
	"fmt"
	"hash/fnv"
	"time"

	"skyslate/storage"
)

// StartOfDay is the midnight before a moment.
func StartOfDay(t time.Time, loc *time.Location) time.Time {
	y, m, d := t.In(loc).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, loc).UTC()
}

// NextDay is the midnight after the one that a day begins with.
func NextDay(midnight time.Time, loc *time.Location) time.Time {
	return StartOfDay(midnight.Add(Day+Day/2), loc) // a day has 23 to 25 hours
}

// At puts an item on the agenda.
func (t *Tx) At(kind string, when time.Time, pass storage.PassID) {
	t.Agenda = append(t.Agenda, Item(t.Op.ID, kind, when, pass, t.Event.ID))
}

// Off takes an item off the agenda.
func (t *Tx) Off(kind string, pass storage.PassID) {
	t.cancel = append(t.cancel, itemKey(t.Op.ID, kind, pass))
}

// The kinds of moment.
const (
	MomentPlan   = "plan"   // work out the coming passes
	MomentRemind = "remind" // the one reminder of a pass
	MomentRise   = "rise"   // AOS
	MomentSet    = "set"    // LOS
	MomentAgain  = "again"  // contacts still wait for "which pass?"
	MomentMissed = "missed" // what was caught up can be told
)

func itemKey(op storage.OperatorID, kind string, pass storage.PassID) string {
	return kind + "/" + string(op) + "/" + string(pass)
}

// Item is a moment on an operator's agenda; by says what put it.
func Item(op storage.OperatorID, kind string, when time.Time, pass storage.PassID, by string) storage.Item {
	h := fnv.New32a()
	h.Write([]byte(by)) // a hash never fails
	return storage.Item{
		Key: itemKey(op, kind, pass), At: when, Operator: op, Kind: kind, Pass: pass,
		By: fmt.Sprintf("#%08x", h.Sum32()),
	}
}

// PlanItem is the moment to work out an operator's passes; by says what put it.
func PlanItem(op storage.OperatorID, when time.Time, by string) storage.Item {
	return Item(op, MomentPlan, when, "", by)
}
