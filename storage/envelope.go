package storage

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"hash/crc32"

	bolt "go.etcd.io/bbolt"
)

// A value on disk is an envelope:
//
//	byte 0     the version of the envelope, 1
//	bytes 1-4  CRC-32C (Castagnoli), big-endian, of the key and the payload
//	then       the payload: JSON
//
// The database library has no page checksums: without ours one flipped bit
// would silently be another call sign. The key is part of the sum, so a value
// that turns up under another key is found, too.
//
// The rule of compatibility: a field of the JSON is never renamed and never
// given another meaning; a field may be added if its absence means what it
// meant before. Anything else is a migration with a schema number of its own.
const (
	envelopeVersion = 1
	envelopeHead    = 5
)

func checksum(key, payload []byte) uint32 {
	table := crc32.MakeTable(crc32.Castagnoli)
	return crc32.Update(crc32.Checksum(key, table), table, payload)
}

func seal(key, payload []byte) []byte {
	data := make([]byte, 0, envelopeHead+len(payload))
	data = append(data, envelopeVersion)
	data = binary.BigEndian.AppendUint32(data, checksum(key, payload))
	return append(data, payload...)
}

// unseal returns the payload, which shares memory with data.
func unseal(key, data []byte) ([]byte, error) {
	switch {
	case len(data) < envelopeHead:
		return nil, damaged("the value of key %q is cut short", key)
	case data[0] != envelopeVersion:
		return nil, damaged("the value of key %q has the unknown version %d", key, data[0])
	case binary.BigEndian.Uint32(data[1:]) != checksum(key, data[envelopeHead:]):
		return nil, damaged("the value of key %q does not match its checksum", key)
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

func put(b *bolt.Bucket, key []byte, v any) error {
	payload, err := encode(v)
	if err != nil {
		return err
	}
	return b.Put(key, seal(key, payload))
}

// mark puts a key that says all by being there.
func mark(b *bolt.Bucket, key []byte) error { return b.Put(key, seal(key, nil)) }

func decode[T any](key, data []byte) (T, error) {
	var v T
	payload, err := unseal(key, data)
	if err != nil {
		return v, err
	}
	if err := json.Unmarshal(payload, &v); err != nil {
		return v, damaged("the value of key %q: %v", key, err)
	}
	return v, nil
}

func get[T any](b *bolt.Bucket, key []byte) (v T, ok bool, err error) {
	data := b.Get(key)
	if data == nil {
		return v, false, nil
	}
	v, err = decode[T](key, data)
	return v, err == nil, err
}

// scan visits the values whose keys begin with prefix, in order, until visit
// says stop.
func scan[T any](b *bolt.Bucket, prefix []byte, visit func(key []byte, v T) (more bool, err error)) error {
	c := b.Cursor()
	for k, data := c.Seek(prefix); k != nil && bytes.HasPrefix(k, prefix); k, data = c.Next() {
		v, err := decode[T](k, data)
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
func all[T any](b *bolt.Bucket, prefix []byte) ([]T, error) {
	var vs []T
	err := scan(b, prefix, func(_ []byte, v T) (bool, error) {
		vs = append(vs, v)
		return true, nil
	})
	return vs, err
}

// last is the value with the greatest key that begins with prefix.
func last(b *bolt.Bucket, prefix []byte) (key, data []byte) {
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
func keysWith(b *bolt.Bucket, prefix []byte) [][]byte {
	var ks [][]byte
	c := b.Cursor()
	for k, _ := c.Seek(prefix); k != nil && bytes.HasPrefix(k, prefix); k, _ = c.Next() {
		ks = append(ks, bytes.Clone(k))
	}
	return ks
}
