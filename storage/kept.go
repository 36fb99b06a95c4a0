package storage

import (
	"bytes"
	"maps"
	"slices"
	"strings"

	"skyslate/storage/changes"
	"skyslate/storage/keys"
	"skyslate/storage/salvage"
	"skyslate/storage/table"
)

// GuestsKey is how the keys of kept values begin that tell who is let in. They
// survive as contacts do: the journal has a line for each change of them.
const GuestsKey = "guests"

// revKey is where the number of the last change stands beside the header.
const revKey meta[uint64] = "kept"

// mostStale is how many lines about kept values may stand in the journal that later
// ones have replaced.
const mostStale = 1000

// keep replaces small values by their keys; nil removes one.
func (t *tx) keep(values map[string][]byte) {
	for _, k := range slices.Sorted(maps.Keys(values)) {
		t.checkName("a kept key", k)
		line, v := &changes.Change{Key: k}, values[k]
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
			line.Rev = revKey.of(t) + 1
			revKey.set(t, line.Rev)
			t.lines = append(t.lines, entry{Kept: line})
		}
	}
}

// behind reports whether the journal knows better who is let in: it knows more
// changes, or the database was made anew and knows no more. Before these changes
// were counted none is known.
func (t *tx) behind(l *ledger) bool {
	rev, made := revKey.of(t), mendingKey.has(t)
	uncounted, _ := t.In(inKept).Last([]byte(GuestsKey))
	return rev < l.kept.Rev || rev == l.kept.Rev && made && rev > 0 || rev == 0 && uncounted != nil
}

// restoreKept gives the database what the journal knows better.
func (t *tx) restoreKept(l *ledger) {
	if !t.behind(l) {
		return
	}
	for k, v := range l.kept.Latest {
		if v.Value == nil {
			t.In(inKept).Delete(keys.Text(k))
		} else {
			t.In(inKept).Set(keys.Text(k), []byte(*v.Value))
		}
	}
	revKey.set(t, max(l.kept.Rev, 1))
}

// takeOverKept takes over how many changes there were, and removes what a salvaged
// database without a torn page no longer had.
func (t mender) takeOverKept(g *salvage.Find) {
	var rev uint64
	if live := g.Read(inMeta, string(revKey), &rev); live {
		revKey.set(t.tx, rev)
	}
	table.DeleteWhere(t.In(inKept), []byte(GuestsKey), func(k, _ []byte) bool {
		hurt := slices.ContainsFunc(g.Hurt, func(h []byte) bool { return bytes.Equal(h, k) })
		return !g.Torn && !g.Has(inKept, string(k)) && !hurt
	})
}

// unjournalledKept are the lines that the journal lacks of who is let in: all that
// is known, for it can't be told which.
func (t *tx) unjournalledKept(l *ledger) (lines []entry) {
	rev := revKey.of(t)
	if rev <= l.kept.Rev {
		return nil
	}
	for k, v := range table.Scan[[]byte](t.In(inKept), []byte(GuestsKey)) {
		text := string(v)
		lines = append(lines, entry{Kept: &changes.Change{Key: keys.TextOf(k), Value: &text, Rev: rev}})
	}
	if len(lines) > 0 {
		lines = slices.Insert(lines, 0, entry{Kept: &changes.Change{Rev: rev, Reset: true}})
	}
	return lines
}
