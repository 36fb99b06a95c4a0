package bot

import (
	"slices"
	"time"

	"skyslate/bot/say"
	"skyslate/storage"
)

// NoRoom is what is said when the disk is full, ready to go out: to those whose
// messages these are or, without any, to those for whom something waits at now.
// It is no post, because the outbox is on that disk too.
func (d *Desk) NoRoom(now time.Time, raws ...storage.Raw) []Outgoing {
	var ops []storage.OperatorID
	if len(raws) == 0 {
		raws, ops = d.waiting(now)
	}
	for _, r := range raws {
		if ev, err := d.read(r); err == nil {
			ops = append(ops, ev.Operator)
		}
	}
	slices.Sort(ops)
	var out []Outgoing
	for _, op := range slices.Compact(ops) {
		if op != "" {
			out = append(out, Outgoing{Name: string(op) + "/noroom", Operator: op, Op: storage.Send, Text: say.NoRoom, Silent: true})
		}
	}
	return out
}

// waiting is the head of the inbox and those for whom something is due. What
// can't be read has nobody to be told.
func (d *Desk) waiting(now time.Time) (raws []storage.Raw, ops []storage.OperatorID) {
	if r, ok, err := d.store.Oldest(); err == nil && ok {
		raws = append(raws, r)
	}
	items, err := d.store.Due(now)
	if err != nil {
		return raws, nil
	}
	for _, it := range items {
		ops = append(ops, it.Operator)
	}
	return raws, ops
}
