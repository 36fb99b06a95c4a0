package storage

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"iter"

	bolt "go.etcd.io/bbolt"
)

// A value on disk is an envelope:
//
//	byte 0     the version of the envelope, 1
//	bytes 1-4  CRC-32C (Castagnoli), big-endian, of the bucket's name, a zero
//	           byte, the key and the payload
//	then       the payload: JSON
//
// The database library has no page checksums: without ours one flipped bit
// would silently be another call sign. Bucket and key are part of the sum, so a
// value that turns up in another place is found, too.
//
// The rule of compatibility: a field of the JSON is never renamed and never
// given another meaning; a field may be added if its absence means what it
// meant before. Anything else is a migration with a schema number of its own.
const (
	envelopeVersion = 1
	envelopeHead    = 5
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

func checksum(bucket string, key, payload []byte) uint32 {
	sum := crc32.Checksum(textKey(bucket), castagnoli)
	return crc32.Update(crc32.Update(sum, castagnoli, key), castagnoli, payload)
}

func seal(bucket string, key, payload []byte) []byte {
	data := make([]byte, 0, envelopeHead+len(payload))
	data = append(data, envelopeVersion)
	data = binary.BigEndian.AppendUint32(data, checksum(bucket, key, payload))
	return append(data, payload...)
}

// unseal returns the payload, which shares memory with data.
func unseal(bucket string, key, data []byte) ([]byte, error) {
	switch {
	case len(data) < envelopeHead:
		return nil, damaged("the value of %s %q is cut short", bucket, key)
	case data[0] != envelopeVersion:
		return nil, damaged("the value of %s %q has the unknown version %d", bucket, key, data[0])
	case binary.BigEndian.Uint32(data[1:]) != checksum(bucket, key, data[envelopeHead:]):
		return nil, damaged("the value of %s %q does not match its checksum", bucket, key)
	}
	return data[envelopeHead:], nil
}

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

// bucket is one of ours in a transaction. One that a backup of an older schema
// lacks, open for reading, is empty.
type bucket struct {
	in   *bolt.Bucket
	name string
	tx   *tx
}

func (b bucket) raw(key []byte) []byte {
	if b.in == nil {
		return nil
	}
	return b.in.Get(key)
}

func (b bucket) has(key []byte) bool { return b.raw(key) != nil }

// putRaw and delete do nothing once the transaction has failed.
func (b bucket) putRaw(key, value []byte) {
	if b.tx.err == nil {
		b.tx.fail(b.in.Put(key, value))
	}
}

func (b bucket) delete(key []byte) {
	if b.tx.err == nil {
		b.tx.fail(b.in.Delete(key))
	}
}

// mark puts a key that says all by being there.
func (b bucket) mark(key []byte) { b.putRaw(key, seal(b.name, key, nil)) }

// put stores a value.
func (b bucket) put(key []byte, v any) {
	payload, err := encode(v)
	b.tx.fail(err)
	b.putRaw(key, seal(b.name, key, payload))
}

func decode[T any](bucket string, key, data []byte) (T, error) {
	var v T
	payload, err := unseal(bucket, key, data)
	if err != nil {
		return v, err
	}
	if err := json.Unmarshal(payload, &v); err != nil {
		return v, damaged("the value of %s %q: %v", bucket, key, err)
	}
	return v, nil
}

// read is a value of the bucket; false if the transaction has failed.
func read[T any](b bucket, key, data []byte) (T, bool) {
	v, err := decode[T](b.name, key, data)
	b.tx.fail(err)
	return v, b.tx.err == nil
}

func get[T any](b bucket, key []byte) (v T, ok bool) {
	if data := b.raw(key); data != nil {
		return read[T](b, key, data)
	}
	return v, false
}

// up walks the entries with from ≤ key < before, in order; before nil: to the
// end. The bucket must not be changed meanwhile.
func (b bucket) up(from, before []byte) iter.Seq2[[]byte, []byte] {
	return func(yield func(key, data []byte) bool) {
		if b.in == nil {
			return
		}
		c := b.in.Cursor()
		for k, data := c.Seek(from); k != nil && (before == nil || bytes.Compare(k, before) < 0); k, data = c.Next() {
			if !yield(k, data) {
				return
			}
		}
	}
}

// down walks the same entries, the last first.
func (b bucket) down(from, before []byte) iter.Seq2[[]byte, []byte] {
	return func(yield func(key, data []byte) bool) {
		if b.in == nil {
			return
		}
		c := b.in.Cursor()
		var k, data []byte
		if at, _ := c.Seek(before); before == nil || at == nil {
			k, data = c.Last()
		} else {
			k, data = c.Prev()
		}
		for ; k != nil && bytes.Compare(k, from) >= 0; k, data = c.Prev() {
			if !yield(k, data) {
				return
			}
		}
	}
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
	for k, data := range b.down(with(prefix)) {
		return k, data
	}
	return nil, nil
}

// scan walks the values whose keys begin with prefix, in order. It ends when one
// can't be read: the transaction has failed then.
func scan[T any](b bucket, prefix []byte) iter.Seq2[[]byte, T] {
	return func(yield func([]byte, T) bool) {
		for k, data := range b.up(with(prefix)) {
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

// deleteWhere removes the values that are not wanted any more, once all have been
// read.
func deleteWhere[T any](b bucket, unwanted func(key []byte, v T) bool) {
	var found [][]byte
	for k, v := range scan[T](b, nil) {
		if unwanted(k, v) {
			found = append(found, bytes.Clone(k))
		}
	}
	for _, k := range found {
		b.delete(k)
	}
}

// deleteWith removes all whose keys begin with prefix.
func (b bucket) deleteWith(prefix []byte) {
	var found [][]byte
	for k := range b.up(with(prefix)) {
		found = append(found, bytes.Clone(k))
	}
	for _, k := range found {
		b.delete(k)
	}
}
