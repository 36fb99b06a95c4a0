package storage

import (
	"bytes"
	"maps"
	"slices"
	"strings"

	"skyslate/storage/changes"
	"skyslate/storage/keys"
	"skyslate/storage/salvage"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// GuestsKey is how the keys of kept values begin that tell who is let in. They
// survive as contacts do: the journal has a line for each change of them.
const GuestsKey = "guests"

// revKey is where the number of the last change stands beside the header.
const revKey schema.Value[uint64] = "kept"

// mostStale is how many lines about kept values may stand in the journal that later
// ones have replaced.
const mostStale = 1000

// keep replaces small values by their keys; nil removes one.
func (t *tx) keep(values map[string][]byte) {
	for _, k := range slices.Sorted(maps.Keys(values)) {
		t.checkName("a kept key", k)
		line, v := &changes.Change{Key: k}, values[k]
		if old, known := table.Get[[]byte](t.In(schema.Kept), keys.Text(k)); known == (v != nil) && bytes.Equal(old, v) {
			continue
		}
		if v == nil {
			t.In(schema.Kept).Delete(keys.Text(k))
		} else {
			t.In(schema.Kept).Set(keys.Text(k), v)
			text := string(v)
			line.Value = &text
		}
		if strings.HasPrefix(k, GuestsKey) {
			line.Rev = revKey.Of(t.Tx) + 1
			revKey.Set(t.Tx, line.Rev)
			t.lines = append(t.lines, entry{Kept: line})
		}
	}
}

// behind reports whether the journal knows better who is let in: it knows more
// changes, or the database was made anew and knows no more. Before these changes
// were counted none is known.
func (t *tx) behind(l *ledger) bool {
	rev, made := revKey.Of(t.Tx), mendingKey.Has(t.Tx)
	uncounted, _ := t.In(schema.Kept).Last([]byte(GuestsKey))
	return rev < l.kept.Rev || rev == l.kept.Rev && made && rev > 0 || rev == 0 && uncounted != nil
}

// restoreKept gives the database what the journal knows better.
func (t *tx) restoreKept(l *ledger) {
	if !t.behind(l) {
		return
	}
	for k, v := range l.kept.Latest {
		if v.Value == nil {
			t.In(schema.Kept).Delete(keys.Text(k))
		} else {
			t.In(schema.Kept).Set(keys.Text(k), []byte(*v.Value))
		}
	}
	revKey.Set(t.Tx, max(l.kept.Rev, 1))
}

// takeOverKept takes over how many changes there were, and removes what a salvaged
// database without a torn page no longer had.
func (t mender) takeOverKept(g *salvage.Find) {
	var rev uint64
	if live := g.Read(schema.Meta, string(revKey), &rev); live {
		revKey.Set(t.Tx, rev)
	}
	table.DeleteWhere(t.In(schema.Kept), []byte(GuestsKey), func(k, _ []byte) bool {
		hurt := slices.ContainsFunc(g.Hurt, func(h []byte) bool { return bytes.Equal(h, k) })
		return !g.Torn && !g.Has(schema.Kept, string(k)) && !hurt
	})
}

// unjournalledKept are the lines that the journal lacks of who is let in: all that
// is known, for it can't be told which.
func (t *tx) unjournalledKept(l *ledger) (lines []entry) {
	rev := revKey.Of(t.Tx)
	if rev <= l.kept.Rev {
		return nil
	}
	for k, v := range table.Scan[[]byte](t.In(schema.Kept), []byte(GuestsKey)) {
		text := string(v)
		lines = append(lines, entry{Kept: &changes.Change{Key: keys.TextOf(k), Value: &text, Rev: rev}})
	}
	if len(lines) > 0 {
		lines = slices.Insert(lines, 0, entry{Kept: &changes.Change{Rev: rev, Reset: true}})
	}
	return lines
}
