package storage_test

import (
	"testing"
	"time"

	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// numbers are the numbers of messages that an app names, 0 for none.
func numbers(t *testing.T, s *storage.Store, op storage.OperatorID, names ...string) (ns []int64) {
	t.Helper()
	view(t, s, func(v *storage.View) error {
		for _, name := range names {
			n := v.Number(op, name)
			if n != 0 && v.Name(op, n) != name {
				t.Errorf("%q has the number %d, which has the name %q", name, n, v.Name(op, n))
			}
			ns = append(ns, n)
		}
		return nil
	})
	return ns
}

// A message that its app names gets a number as it comes in, a post as it is out; both
// stay through a restart, in a backup, and as long as something is kept of the message.
func TestNamedMessages(t *testing.T) {
	const day = 24 * time.Hour
	dir := t.TempDir()
	s := open(t, dir)
	commit(t, s, "setup", storage.Changes{Operator: operator(op)})
	one := storage.Raw{ID: "mx/1", From: op, At: t0, Name: "$one"}
	noError(t, s.Accept(nil, one, storage.Raw{ID: "mx/2", From: op, At: t0, Name: "$two"}))
	noError(t, s.Accept(nil, one, storage.Raw{ID: "mx/3", From: op, At: t0, Name: "$one"})) // again, and changed
	first := t0.UnixMilli() | 1
	same(t, "numbers", numbers(t, s, op, "$one", "$two", "$none"), []int64{first, first + 2, 0})

	commit(t, s, "mx/1", storage.Changes{
		Messages: []storage.Message{{Operator: op, ID: first, At: t0, Text: "hello"}}, Posts: []storage.Post{send("ack", "1")},
	})
	commit(t, s, "mx/2", storage.Changes{})
	queue(t, s)
	noError(t, s.Settle("ack", "$ack", t0.Add(time.Second)))
	noError(t, s.Close())
	s = storagetest.OpenDir(t, dir)
	ack := t0.Add(time.Second).UnixMilli() &^ 1
	same(t, "numbers", numbers(t, s, op, "$one", "$two", "$ack"), []int64{first, first + 2, ack})
	view(t, s, func(v *storage.View) error {
		p, _, err := v.PostByApp(op, ack)
		same(t, "the post", p.Name, "ack")
		return err
	})
	copied, err := s.BackupTo("", t0, 3)
	noError(t, err)
	backup, err := storage.OpenForRead(copied)
	noError(t, err)
	same(t, "numbers in a backup", numbers(t, backup, op, "$one", "$ack"), []int64{first, ack})
	noError(t, backup.Close())

	noError(t, s.Prune(t0.Add(60*day)))
	same(t, "numbers of 60 days", numbers(t, s, op, "$one", "$two", "$ack"), []int64{first, first + 2, ack})
	noError(t, s.Prune(t0.Add(60*day+2*time.Second))) // the post goes, and its name with it
	same(t, "numbers of messages kept", numbers(t, s, op, "$one", "$two", "$ack"), []int64{first, 0, 0})

	_, err = s.Forget(op, t0.Add(time.Hour), nil)
	noError(t, err)
	same(t, "numbers of who is forgotten", numbers(t, s, op, "$one"), []int64{0})
}
