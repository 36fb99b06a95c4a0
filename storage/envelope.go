package storage

import (
	"bytes"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"iter"

	"skyslate/storage/block"
)

// The rule of compatibility of what is stored: a field of the JSON is never renamed and
// never given another meaning; a field may be added if its absence means what it meant
// before. Anything else is a migration with a schema number of its own.

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// encode is JSON without the escapes that only HTML needs.
func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, fmt.Errorf("encode %T: %w", v, err)
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// bucket is one of ours in a transaction: values are JSON, those of indexes are empty.
// One that a backup of an older schema lacks, open for reading, is empty.
type bucket struct {
	*block.Bucket
	name string
	tx   *tx
}

// mark puts a key that says all by being there.
func (b bucket) mark(key []byte) { b.Put(key, nil) }

// put stores a value.
func (b bucket) put(key []byte, v any) {
	text, err := encode(v)
	b.tx.fail(err)
	b.Put(key, text)
}

// read is a value of the bucket; false if the transaction has failed.
func read[T any](b bucket, key, text []byte) (v T, ok bool) {
	if err := json.Unmarshal(text, &v); err != nil && b.tx.err == nil {
		b.tx.fail(damaged("the value of %s %q: %v", b.name, key, err))
	}
	return v, b.tx.err == nil
}

func get[T any](b bucket, key []byte) (v T, ok bool) {
	if text := b.Get(key); text != nil {
		return read[T](b, key, text)
	}
	return v, false
}

// with is the range of the keys that begin with prefix.
func with(prefix []byte) (from, before []byte) {
	for n := len(prefix); n > 0; n-- {
		if prefix[n-1] < 0xff {
			before = bytes.Clone(prefix[:n])
			before[n-1]++
			return prefix, before
		}
	}
	return prefix, nil
}

// last is the entry with the greatest key that begins with prefix.
func (b bucket) last(prefix []byte) (key, data []byte) {
	for k, data := range b.Down(with(prefix)) {
		return k, data
	}
	return nil, nil
}

// scan walks the values whose keys begin with prefix, in order. It ends when one
// can't be read: the transaction has failed then.
func scan[T any](b bucket, prefix []byte) iter.Seq2[[]byte, T] {
	return func(yield func([]byte, T) bool) {
		for k, data := range b.Up(with(prefix)) {
			if v, ok := read[T](b, k, data); !ok || !yield(k, v) {
				return
			}
		}
	}
}

// all are the values whose keys begin with prefix, in order.
func all[T any](b bucket, prefix []byte) (vs []T) {
	for _, v := range scan[T](b, prefix) {
		vs = append(vs, v)
	}
	return vs
}

// deleteWhere removes the values that are not wanted any more of those whose keys begin
// with prefix, once all have been read.
func deleteWhere[T any](b bucket, prefix []byte, unwanted func(key []byte, v T) bool) {
	var found [][]byte
	for k, v := range scan[T](b, prefix) {
		if unwanted(k, v) {
			found = append(found, bytes.Clone(k))
		}
	}
	for _, k := range found {
		b.Delete(k)
	}
}

// deleteWith removes the entries whose keys begin with prefix, at most so many (0: all),
// and returns how many it has removed.
func (b bucket) deleteWith(prefix []byte, most int) int {
	var found [][]byte
	for k := range b.Up(with(prefix)) {
		if found = append(found, bytes.Clone(k)); len(found) == most {
			break
		}
	}
	for _, k := range found {
		b.Delete(k)
	}
	return len(found)
}
