package storage

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"

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

func checksum(bucket string, key, payload []byte) uint32 {
	table := crc32.MakeTable(crc32.Castagnoli)
	sum := crc32.Checksum(textKey(bucket), table)
	return crc32.Update(crc32.Update(sum, table, key), table, payload)
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

// bucket is one of ours, with its name.
type bucket struct {
	*bolt.Bucket
	name string
}

func put(b bucket, key []byte, v any) error {
	payload, err := encode(v)
	if err != nil {
		return err
	}
	return b.Put(key, seal(b.name, key, payload))
}

// mark puts a key that says all by being there.
func mark(b bucket, key []byte) error { return b.Put(key, seal(b.name, key, nil)) }

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

func get[T any](b bucket, key []byte) (v T, ok bool, err error) {
	data := b.Get(key)
	if data == nil {
		return v, false, nil
	}
	v, err = decode[T](b.name, key, data)
	return v, err == nil, err
}

// scan visits the values whose keys begin with prefix, in order, until visit
// says stop.
func scan[T any](b bucket, prefix []byte, visit func(key []byte, v T) (more bool, err error)) error {
	c := b.Cursor()
	for k, data := c.Seek(prefix); k != nil && bytes.HasPrefix(k, prefix); k, data = c.Next() {
		v, err := decode[T](b.name, k, data)
		if err != nil {
			return err
		}
		if more, err := visit(k, v); err != nil || !more {
			return err
		}
	}
	return nil
}

// all are the values whose keys begin with prefix, in order.
func all[T any](b bucket, prefix []byte) ([]T, error) {
	var vs []T
	err := scan(b, prefix, func(_ []byte, v T) (bool, error) {
		vs = append(vs, v)
		return true, nil
	})
	return vs, err
}

// eachWhere does something with each value of a bucket that is wanted, once all
// have been read: a bucket can't be changed while a cursor walks it.
func eachWhere[T any](b bucket, wanted func(T) bool, do func(T) error) error {
	var found []T
	err := scan(b, nil, func(_ []byte, v T) (bool, error) {
		if wanted(v) {
			found = append(found, v)
		}
		return true, nil
	})
	return errors.Join(err, each(found, do))
}

// deleteWhere removes the values of a bucket that are not wanted any more.
func deleteWhere[T any](b bucket, unwanted func(key []byte, v T) bool) error {
	var found [][]byte
	err := scan(b, nil, func(k []byte, v T) (bool, error) {
		if unwanted(k, v) {
			found = append(found, bytes.Clone(k))
		}
		return true, nil
	})
	return errors.Join(err, each(found, b.Delete))
}

// last is the value with the greatest key that begins with prefix.
func last(b bucket, prefix []byte) (key, data []byte) {
	c := b.Cursor()
	// Keys hold at most 8+4 bytes after such a prefix: this is past them all.
	past := append(bytes.Clone(prefix), bytes.Repeat([]byte{0xff}, 16)...)
	if k, _ := c.Seek(past); k == nil {
		key, data = c.Last()
	} else {
		key, data = c.Prev()
	}
	if !bytes.HasPrefix(key, prefix) {
		return nil, nil
	}
	return key, data
}

// keysWith are copies of the keys that begin with prefix: deleting while a
// cursor stands in the bucket would skip some.
func keysWith(b bucket, prefix []byte) [][]byte {
	var ks [][]byte
	c := b.Cursor()
	for k, _ := c.Seek(prefix); k != nil && bytes.HasPrefix(k, prefix); k, _ = c.Next() {
		ks = append(ks, bytes.Clone(k))
	}
	return ks
}
