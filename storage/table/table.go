// Package table is a transaction of the database and the entries in its buckets: texts
// of JSON, or nothing where the key says all.
//
// Inside a transaction no read and no write returns an error: the first one stays with
// the transaction (Tx), makes nothing of all that follows, undoes it and is its outcome.
//
// The rule of compatibility of what is stored: a field of the JSON is never renamed and
// never given another meaning; a field may be added if its absence means what it meant
// before.
package table

import (
	"bytes"
	"encoding/json"
	"fmt"
	"iter"

	bolt "go.etcd.io/bbolt"

	"skyslate/storage/block"
	"skyslate/storage/fault"
	"skyslate/storage/keys"
)

// Layout says how entries lie in each bucket, by its name.
type Layout map[string]block.Shape

// Tx is a transaction.
type Tx struct {
	*bolt.Tx
	layout  Layout
	buckets map[string]Bucket
	err     error
}

// With is fn as the library calls it.
func (l Layout) With(fn func(*Tx)) func(*bolt.Tx) error {
	return func(t *bolt.Tx) error {
		ours := Tx{Tx: t, layout: l, buckets: map[string]Bucket{}}
		fn(&ours)
		for _, b := range ours.buckets {
			b.Flush()
		}
		return ours.err
	}
}

// Fail makes an error the outcome of the transaction, unless there was one before.
func (t *Tx) Fail(err error) {
	if t.err == nil {
		t.err = err
	}
}

// Err is the first error.
func (t *Tx) Err() error { return t.err }

// In is the bucket of a name. One that there isn't, as in an older layout that is only
// read, is empty.
func (t *Tx) In(name string) Bucket {
	b, known := t.buckets[name]
	if !known || !b.Exists() {
		b = Bucket{block.New(t.Tx, name, t.layout[name], &t.err), name, t}
		t.buckets[name] = b
	}
	return b
}

// Count is how many entries a bucket of single entries has, without a look at them.
func (t *Tx) Count(name string) int {
	b := t.Bucket([]byte(name))
	if b == nil {
		return 0
	}
	return b.Stats().KeyN
}

// Names are the buckets that there are.
func (t *Tx) Names() (names []string) {
	t.Fail(t.ForEach(func(name []byte, _ *bolt.Bucket) error {
		names = append(names, string(name))
		return nil
	}))
	return names
}

// Create makes a bucket that is missing.
func (t *Tx) Create(name string) {
	_, err := t.CreateBucketIfNotExists([]byte(name))
	t.Fail(err)
}

// Drop removes a bucket with all that is in it.
func (t *Tx) Drop(name string) {
	delete(t.buckets, name)
	t.Fail(t.DeleteBucket([]byte(name)))
}

// Encode is JSON without the escapes that only HTML needs.
func Encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, fmt.Errorf("encode %T: %w", v, err)
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// Same reports whether two values read the same where they are stored.
func Same(a, b any) bool {
	x, errX := Encode(a)
	y, errY := Encode(b)
	return errX == nil && errY == nil && bytes.Equal(x, y)
}

// Bucket is a bucket in a transaction.
type Bucket struct {
	*block.Bucket
	name string
	tx   *Tx
}

// Mark puts a key that says all by being there.
func (b Bucket) Mark(key []byte) { b.Put(key, nil) }

// Set stores a value.
func (b Bucket) Set(key []byte, v any) {
	text, err := Encode(v)
	b.tx.Fail(err)
	b.Put(key, text)
}

// Last is the entry with the greatest key that begins with prefix.
func (b Bucket) Last(prefix []byte) (key, text []byte) {
	for k, text := range b.Down(keys.With(prefix)) {
		return k, text
	}
	return nil, nil
}

// Read is the value of an entry; false if the transaction has failed.
func Read[T any](b Bucket, key, text []byte) (v T, ok bool) {
	if err := json.Unmarshal(text, &v); err != nil && b.tx.err == nil {
		b.tx.Fail(fault.Damaged("the value of %s %q: %v", b.name, key, err))
	}
	return v, b.tx.err == nil
}

// Get is the value under a key, if there is one.
func Get[T any](b Bucket, key []byte) (v T, ok bool) {
	if text := b.Get(key); text != nil {
		return Read[T](b, key, text)
	}
	return v, false
}

// Scan walks the values whose keys begin with prefix, in order. It ends when one
// can't be read: the transaction has failed then.
func Scan[T any](b Bucket, prefix []byte) iter.Seq2[[]byte, T] {
	return func(yield func([]byte, T) bool) {
		for k, text := range b.Up(keys.With(prefix)) {
			if v, ok := Read[T](b, k, text); !ok || !yield(k, v) {
				return
			}
		}
	}
}

// All are the values whose keys begin with prefix, in order.
func All[T any](b Bucket, prefix []byte) (vs []T) {
	for _, v := range Scan[T](b, prefix) {
		vs = append(vs, v)
	}
	return vs
}

// DeleteWhere removes the values that are not wanted any more of those whose keys begin
// with prefix, once all have been read.
func DeleteWhere[T any](b Bucket, prefix []byte, unwanted func(key []byte, v T) bool) {
	var found [][]byte
	for k, v := range Scan[T](b, prefix) {
		if unwanted(k, v) {
			found = append(found, bytes.Clone(k))
		}
	}
	for _, k := range found {
		b.Delete(k)
	}
}

// DeleteWith removes the entries whose keys begin with prefix, at most so many (0: all),
// and returns how many it has removed.
func (b Bucket) DeleteWith(prefix []byte, most int) int {
	var found [][]byte
	for k := range b.Up(keys.With(prefix)) {
		if found = append(found, bytes.Clone(k)); len(found) == most {
			break
		}
	}
	for _, k := range found {
		b.Delete(k)
	}
	return len(found)
}
