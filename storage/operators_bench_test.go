//go:build unix

package storage_test

import (
	"errors"
	"fmt"
	"syscall"
	"testing"
	"time"

	"skyslate/storage"
)

// What a store costs that is checked, opened and pruned, by operator of 1,000 and of
// 10,000, each with ten contacts, their messages and posts: it must not grow.
func BenchmarkOperators(b *testing.B) {
	for _, many := range []int{1000, 10_000} {
		dir := b.TempDir()
		s := open(b, dir)
		for n := range many {
			commit(b, s, fmt.Sprint("life", n), lifeOf(storage.OperatorID(fmt.Sprint(10_000+n)), 10))
		}
		for _, c := range []struct {
			name string
			do   func() error
		}{
			{"prune", func() error { return s.Prune(t0.AddDate(1, 0, 0)) }},
			{"verify", func() error {
				return errors.Join(s.Close(), func() error { _, err := storage.Verify(dir); return err }())
			}},
			{"open", func() error { s = open(b, dir); return s.Close() }},
		} {
			b.Run(fmt.Sprint(c.name, " ", many), func(b *testing.B) {
				before := processor(b)
				for b.Loop() {
					noError(b, c.do())
				}
				spent := processor(b) - before
				b.ReportMetric(float64(spent.Microseconds())/float64(b.N*many), "processor-µs/operator")
			})
		}
	}
}

// lifeOf is an operator with so many contacts, and what goes with them.
func lifeOf(id storage.OperatorID, contacts int) storage.Changes {
	p := pass(id, t0, 10*time.Minute)
	c := storage.Changes{Operator: operator(id), Passes: []storage.Pass{p}}
	for n := range contacts {
		one := contact(id, uint64(n+1), 1, "OX9QZU")
		one.Pass = p.ID
		post := send(fmt.Sprint(id, "/ack/", n), "1 OX9QZU")
		post.Operator = id
		c.Contacts, c.Posts = append(c.Contacts, one), append(c.Posts, post)
		c.Messages = append(c.Messages, storage.Message{Operator: id, ID: int64(n), At: t0, Pass: p.ID, Text: "ox9qzu"})
	}
	return c
}

// processor is the time that this process has spent.
func processor(b *testing.B) time.Duration {
	b.Helper()
	var used syscall.Rusage
	noError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &used))
	return time.Duration(used.Utime.Nano())
}
