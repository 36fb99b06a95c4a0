// Package index keeps in step with records the entries of other buckets that lead to
// them. What leads to a record follows from the record alone: it is written and removed
// with it, made anew, and compared with what is there.
package index

import (
	"bytes"
	"fmt"
	"iter"
	"slices"

	"skyslate/storage/keys"
	"skyslate/storage/table"
)

// Lead is an entry of an index, a bucket. Without a value its key says all.
type Lead struct {
	Index string
	Key   []byte
	Value any
}

// holds reports whether the entry doesn't lead elsewhere by now.
func (l Lead) holds(t *table.Tx) bool {
	if l.Value == nil {
		return true
	}
	text, err := table.Encode(l.Value)
	t.Fail(err)
	return bytes.Equal(t.In(l.Index).Get(l.Key), text)
}

func (l Lead) put(t *table.Tx) {
	if l.Value == nil {
		t.In(l.Index).Mark(l.Key)
	} else {
		t.In(l.Index).Set(l.Key, l.Value)
	}
}

// equal passes over values: under the same key a record has but one.
func (l Lead) equal(other Lead) bool { return l.Index == other.Index && bytes.Equal(l.Key, other.Key) }

// Move replaces leads by others. An entry that leads elsewhere by now is left alone, and
// so is one that stays.
func Move(t *table.Tx, from, to []Lead) {
	for _, l := range from {
		if !slices.ContainsFunc(to, l.equal) && l.holds(t) {
			t.In(l.Index).Delete(l.Key)
		}
	}
	for _, l := range to {
		if !slices.ContainsFunc(from, l.equal) || !t.In(l.Index).Has(l.Key) {
			l.put(t)
		}
	}
}

// Kind is a kind of record, by its bucket, and what leads to one under its key.
type Kind[T any] struct {
	Bucket string
	Leads  func(t *table.Tx, key []byte, v T) []Lead
}

// Get is the record under a key.
func (k Kind[T]) Get(t *table.Tx, key []byte) (T, bool) { return table.Get[T](t.In(k.Bucket), key) }

func (k Kind[T]) leads(t *table.Tx, key []byte) (ls []Lead) {
	if v, known := k.Get(t, key); known {
		ls = k.Leads(t, key, v)
	}
	return ls
}

// Put stores a record in the place of the one under its key.
func (k Kind[T]) Put(t *table.Tx, key []byte, v T) {
	old := k.leads(t, key)
	t.In(k.Bucket).Set(key, v)
	Move(t, old, k.Leads(t, key, v))
}

// Remove takes the record under a key away if it is there.
func (k Kind[T]) Remove(t *table.Tx, key []byte) {
	Move(t, k.leads(t, key), nil)
	t.In(k.Bucket).Delete(key)
}

// Walk visits all records with what should lead to each.
func (k Kind[T]) Walk(t *table.Tx) iter.Seq2[T, []Lead] {
	return func(yield func(T, []Lead) bool) {
		for key, v := range table.Scan[T](t.In(k.Bucket), nil) {
			if !yield(v, k.Leads(t, key, v)) {
				return
			}
		}
	}
}

// Rebuild writes what leads to all records of the kind.
func (k Kind[T]) Rebuild(t *table.Tx) {
	for _, ls := range k.Walk(t) {
		Move(t, nil, ls)
	}
}

// Expected are the entries that indexes should have, by their names.
type Expected map[string]map[string]bool

// Add notes what leads to a record.
func (x Expected) Add(ls []Lead) {
	for _, l := range ls {
		if x[l.Index] == nil {
			x[l.Index] = map[string]bool{}
		}
		x[l.Index][string(l.Key)] = true
	}
}

// Compare tells in sentences how an index differs from what was expected of it.
func (x Expected) Compare(t *table.Tx, name string) (wrong []string) {
	want := x[name]
	for k := range t.In(name).Up(keys.With(nil)) {
		if !want[string(k)] {
			wrong = append(wrong, fmt.Sprintf("%s: %q leads nowhere", name, k))
		}
		delete(want, string(k))
	}
	for k := range want {
		wrong = append(wrong, fmt.Sprintf("%s: %q is missing", name, k))
	}
	return wrong
}
