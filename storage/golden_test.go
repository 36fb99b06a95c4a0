package storage_test

import (
	"encoding/binary"
	"hash/crc32"
	"testing"

	bolt "go.etcd.io/bbolt"
)

// newer makes an empty database of a schema that doesn't exist yet.
func newer(t *testing.T, path string) {
	const key, payload = "store", `{"magic":"skyslate store","schema":2}`
	sum := crc32.Checksum([]byte(key+payload), crc32.MakeTable(crc32.Castagnoli))
	value := append(binary.BigEndian.AppendUint32([]byte{1}, sum), payload...)
	db, err := bolt.Open(path, 0o600, nil)
	noError(t, err)
	noError(t, db.Update(func(tx *bolt.Tx) error {
		b, err := tx.CreateBucket([]byte("meta"))
		noError(t, err)
		return b.Put([]byte(key), value)
	}))
	noError(t, db.Close())
}
