package storage_test

import (
	"fmt"
	"testing"
	"time"

	"skyslate/storage"
)

// One message with a contact, its acknowledgement and its settling: three
// durable transactions and a line of the journal.
func BenchmarkMessage(b *testing.B) {
	s := open(b, b.TempDir())
	defer s.Close()
	commit(b, s, "join", storage.Changes{Operator: operator(op)})
	n := uint64(0)
	for b.Loop() {
		n++
		if err := workOne(s, n); err != nil {
			b.Fatal(err)
		}
	}
}

// A store of 20,000 contacts, a large life's log.
func BenchmarkLarge(b *testing.B) {
	const many = 20000
	dir := b.TempDir()
	s := open(b, dir)
	p := pass(op, t0, 10*time.Minute)
	commit(b, s, "join", storage.Changes{Operator: operator(op), Passes: []storage.Pass{p}})
	for first := 0; first < many; first += 1000 {
		var c storage.Changes
		for n := range 1000 {
			c.Contacts = append(c.Contacts, contact(op, uint64(first+n+1), 1, "OX9QZU"))
		}
		commit(b, s, fmt.Sprint("import", first), c)
	}
	b.Run("commit", func(b *testing.B) {
		for n := 0; b.Loop(); n++ {
			commit(b, s, fmt.Sprint(b.Name(), b.N, "/", n), storage.Changes{Operator: operator(op)})
		}
	})
	b.Run("all contacts", func(b *testing.B) {
		for b.Loop() {
			view(b, s, func(v *storage.View) error {
				cs, err := v.Contacts(op, t0, t0.Add(many*time.Minute))
				same(b, "contacts", len(cs), many-1)
				return err
			})
		}
	})
	noError(b, s.Close())
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			noError(b, open(b, dir).Close())
		}
	})
	b.Run("verify", func(b *testing.B) {
		for b.Loop() {
			if _, err := storage.Verify(dir); err != nil {
				b.Fatal(err)
			}
		}
	})
}
