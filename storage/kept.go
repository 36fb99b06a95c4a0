package storage

import (
	"bytes"
	"maps"
	"slices"
	"strings"

	"skyslate/storage/keys"
	"skyslate/storage/salvage"
	"skyslate/storage/table"
)

// GuestsKey is how the keys of kept values begin that tell who is let in. They
// survive as contacts do: the journal has a line for each change of them.
const GuestsKey = "guests"

// keptValue is a change of such a value. Rev counts all changes: of one key the
// highest holds. Reset voids all that is lower, and without a key nothing changed.
type keptValue struct {
	Key   string  `json:"key,omitempty"`
	Value *string `json:"value,omitempty"` // nil: it was removed
	Rev   uint64  `json:"rev"`
	Reset bool    `json:"reset,omitempty"`
}

// revKey is where the number of the last change stands beside the header.
const revKey = "kept"

// mostStale is how many lines about kept values may stand in the journal that later
// ones have replaced.
const mostStale = 1000

// keep replaces small values by their keys; nil removes one.
func (t *tx) keep(values map[string][]byte) {
	for _, k := range slices.Sorted(maps.Keys(values)) {
		t.checkName("a kept key", k)
		line, v := &keptValue{Key: k}, values[k]
		if old, known := table.Get[[]byte](t.In(inKept), keys.Text(k)); known == (v != nil) && bytes.Equal(old, v) {
			continue
		}
		if v == nil {
			t.In(inKept).Delete(keys.Text(k))
		} else {
			t.In(inKept).Set(keys.Text(k), v)
			text := string(v)
			line.Value = &text
		}
		if strings.HasPrefix(k, GuestsKey) {
			line.Rev = t.keptRev() + 1
			t.In(inMeta).Set([]byte(revKey), line.Rev)
			t.lines = append(t.lines, entry{Kept: line})
		}
	}
}

func (t *tx) keptRev() uint64 {
	rev, _ := table.Get[uint64](t.In(inMeta), []byte(revKey))
	return rev
}

// note takes a line about a kept value into the ledger.
func (l *ledger) note(v keptValue) {
	if v.Reset && v.Rev > l.reset {
		l.reset = v.Rev
		maps.DeleteFunc(l.kept, func(_ string, old keptValue) bool { return old.Rev < l.reset })
	}
	l.rev = max(l.rev, v.Rev)
	old, known := l.kept[v.Key]
	if known || v.Rev < l.reset {
		l.stale++
	}
	if v.Key != "" && v.Rev >= max(old.Rev, l.reset) {
		l.kept[v.Key] = v
	}
}

// holds reports whether a line about a kept value has not been replaced.
func (l *ledger) holds(v keptValue) bool {
	return v.Reset && v.Rev == l.reset || v.Key == "" && v.Rev == l.rev || v.Key != "" && l.kept[v.Key].Rev == v.Rev
}

// behind reports whether the journal knows better who is let in: it knows more
// changes, or the database was made anew and knows no more. Before these changes
// were counted none is known.
func (t *tx) behind(l *ledger) bool {
	rev, made := t.keptRev(), t.In(inMeta).Has([]byte(mendingKey))
	uncounted, _ := t.In(inKept).Last([]byte(GuestsKey))
	return rev < l.rev || rev == l.rev && made && rev > 0 || rev == 0 && uncounted != nil
}

// restoreKept gives the database what the journal knows better.
func (t *tx) restoreKept(l *ledger) {
	if !t.behind(l) {
		return
	}
	for k, v := range l.kept {
		if v.Value == nil {
			t.In(inKept).Delete(keys.Text(k))
		} else {
			t.In(inKept).Set(keys.Text(k), []byte(*v.Value))
		}
	}
	t.In(inMeta).Set([]byte(revKey), max(l.rev, 1))
}

// takeOverKept takes over how many changes there were, and removes what a salvaged
// database without a torn page no longer had.
func (t mender) takeOverKept(g *salvage.Find) {
	var rev uint64
	if live := g.Read(inMeta, revKey, &rev); live {
		t.In(inMeta).Set([]byte(revKey), rev)
	}
	table.DeleteWhere(t.In(inKept), []byte(GuestsKey), func(k, _ []byte) bool {
		hurt := slices.ContainsFunc(g.Hurt, func(h []byte) bool { return bytes.Equal(h, k) })
		return !g.Torn && !g.Has(inKept, string(k)) && !hurt
	})
}

// unjournalledKept are the lines that the journal lacks of who is let in: all that
// is known, for it can't be told which.
func (t *tx) unjournalledKept(l *ledger) (lines []entry) {
	rev := t.keptRev()
	if rev <= l.rev {
		return nil
	}
	for k, v := range table.Scan[[]byte](t.In(inKept), []byte(GuestsKey)) {
		text := string(v)
		lines = append(lines, entry{Kept: &keptValue{Key: strings.TrimSuffix(string(k), "\x00"), Value: &text, Rev: rev}})
	}
	if len(lines) > 0 {
		lines = slices.Insert(lines, 0, entry{Kept: &keptValue{Rev: rev, Reset: true}})
	}
	return lines
}
