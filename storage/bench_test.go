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

// What is owed costs the next post nothing: ten thousand reminders wait beside a
// reaction, and beside one that is taken and settled.
func BenchmarkOwed(b *testing.B) {
	for _, many := range []int{100, 10_000} {
		s := open(b, b.TempDir())
		var c storage.Changes
		for n := range many {
			p := classed(storage.OperatorID(fmt.Sprint(n)), fmt.Sprint("p", n), storage.ClassReminder)
			p.Due = t0.Add(time.Duration(n) * time.Second)
			c.Posts = append(c.Posts, p)
		}
		commit(b, s, "storm", c)
		b.Run(fmt.Sprint("react beside ", many), func(b *testing.B) {
			for n := 0; b.Loop(); n++ {
				sign := react(fmt.Sprint("r", n), 7, "eyes")
				commit(b, s, fmt.Sprint(b.Name(), b.N, "/", n), storage.Changes{Posts: []storage.Post{sign}})
			}
		})
		b.Run(fmt.Sprint("send beside ", many), func(b *testing.B) {
			for n := 0; b.Loop(); n++ {
				answer := classed(other, fmt.Sprint(b.Name(), b.N, "/", n), storage.ClassAnswer)
				commit(b, s, answer.Name, storage.Changes{Posts: []storage.Post{answer}})
				p, _, err := s.TakeOwed(t0)
				noError(b, err)
				noError(b, s.Settle(p.Name, fmt.Sprint(n+1), t0))
				s.Release(p.Operator)
			}
		})
		noError(b, s.Close())
	}
}
