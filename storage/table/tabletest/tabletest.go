// Package tabletest is a database for tests of what stands in a transaction.
package tabletest

import (
	"path/filepath"
	"testing"

	bolt "go.etcd.io/bbolt"

	"skyslate/storage/table"
)

// Update runs fn in a transaction on a new database with the buckets of a layout.
func Update(t *testing.T, layout table.Layout, fn func(*table.Tx)) {
	t.Helper()
	db, err := bolt.Open(filepath.Join(t.TempDir(), "test.db"), 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	err = db.Update(layout.With(func(x *table.Tx) {
		for name := range layout {
			x.Create(name)
		}
		fn(x)
	}))
	if err != nil {
		t.Error(err)
	}
}
