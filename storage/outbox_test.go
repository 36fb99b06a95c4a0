package storage_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// queue is the outbox in short: "op name=text".
func queue(t testing.TB, s *storage.Store) string {
	t.Helper()
	owed, err := s.Owed(t0)
	noError(t, err)
	var lines []string
	for _, p := range owed {
		line := fmt.Sprintf("%s %s=%s", p.Op, p.Name, p.Text)
		if p.Target != "" {
			line += " of " + p.Target
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "; ")
}

func send(name, text string) storage.Post {
	return storage.Post{Name: name, Operator: op, Op: storage.Send, Text: text}
}

func edit(name, target, text string) storage.Post {
	return storage.Post{Name: name, Operator: op, Op: storage.Edit, Target: target, Text: text}
}

func react(name string, to int64, sign string) storage.Post {
	return storage.Post{Name: name, Operator: op, Op: storage.React, ReplyTo: to, Text: sign}
}

// A step of a script: what happens to the outbox, and the queue after it.
type outboxStep struct {
	do   any // storage.Post: it is owed; string: the post of that name is out
	want string
}

func TestOutbox(t *testing.T) {
	for name, steps := range map[string][]outboxStep{
		"in order": {
			{send("a", "1"), "send a=1"},
			{send("b", "2"), "send a=1; send b=2"},
			{"a", "send b=2"},
			{send("c", "3"), "send b=2; send c=3"},
		},
		"the same name is replaced in place": {
			{send("a", "1"), "send a=1"},
			{send("b", "2"), "send a=1; send b=2"},
			{send("a", "3"), "send a=3; send b=2"},
		},
		"a name that is out is owed anew": {
			{send("a", "1"), "send a=1"},
			{"a", ""},
			{send("a", "2"), "send a=2"},
		},
		"an edit of what is owed changes that": {
			{send("a", "1"), "send a=1"},
			{send("b", "2"), "send a=1; send b=2"},
			{edit("e", "a", "3"), "send a=3; send b=2"},
		},
		"an edit of what is out": {
			{send("a", "1"), "send a=1"},
			{"a", ""},
			{edit("e", "a", "2"), "edit e=2 of a"},
			{"e", ""},
			{edit("e", "a", "3"), "edit e=3 of a"},
		},
		"edits coalesce": {
			{send("a", "1"), "send a=1"},
			{"a", ""},
			{edit("e", "a", "2"), "edit e=2 of a"},
			{send("b", "x"), "edit e=2 of a; send b=x"},
			{edit("f", "a", "3"), "edit e=3 of a; send b=x"},
			{edit("g", "e", "4"), "edit e=4 of a; send b=x"},
		},
		"an edit of an edit that is out means the post": {
			{send("a", "1"), "send a=1"},
			{"a", ""},
			{edit("e", "a", "2"), "edit e=2 of a"},
			{"e", ""},
			{edit("f", "e", "3"), "edit f=3 of a"},
		},
		"an edit of nothing is dropped": {
			{edit("e", "nothing", "2"), ""},
			{edit("e", "e", "2"), ""},
		},
		"reactions to one message coalesce": {
			{react("r", 7, "eyes"), "react r=eyes"},
			{react("s", 8, "eyes"), "react r=eyes; react s=eyes"},
			{react("q", 7, "ok"), "react r=ok; react s=eyes"},
			{"r", "react s=eyes"},
			{react("r", 7, "no"), "react s=eyes; react r=no"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := storagetest.Open(t)
			for i, step := range steps {
				switch do := step.do.(type) {
				case storage.Post:
					commit(t, s, fmt.Sprint("event ", i), storage.Changes{Operator: operator(op), Posts: []storage.Post{do}})
				case string:
					noError(t, s.Settle(do, fmt.Sprint(100+i), t0))
				}
				same(t, fmt.Sprintf("after step %d", i), queue(t, s), step.want)
			}
		})
	}
}

func TestPostIsFoundByItsAppID(t *testing.T) {
	s := storagetest.Open(t)
	find := func(id int64) (storage.Post, bool) {
		var p storage.Post
		var ok bool
		view(t, s, func(v *storage.View) (err error) {
			p, ok, err = v.PostByApp(op, id)
			return err
		})
		return p, ok
	}
	a := send("a", "1")
	a.About, a.Buttons = []uint64{4}, [][]storage.Button{{{Label: "yes", Data: "y"}}}
	commit(t, s, "e1", storage.Changes{Operator: operator(op), Posts: []storage.Post{a}})
	queue(t, s)
	noError(t, s.Settle("a", "55", t0.Add(time.Second)))
	a.AppID, a.SentAt = 55, t0.Add(time.Second)
	got, _ := find(55)
	same(t, "as sent", got, a)

	commit(t, s, "e2", storage.Changes{Posts: []storage.Post{edit("x", "a", "2")}})
	got, _ = find(55)
	same(t, "the edit is not out yet", got, a)
	queue(t, s)
	noError(t, s.Settle("x", "", t0.Add(time.Minute)))
	a.Text, a.Buttons = "2", nil
	got, _ = find(55)
	same(t, "as edited", got, a)

	commit(t, s, "e3", storage.Changes{Posts: []storage.Post{send("a", "new")}})
	queue(t, s)
	noError(t, s.Settle("a", "56", t0))
	got, _ = find(55)
	same(t, "the older of the same name", got.Text, "2")
	got, _ = find(56)
	same(t, "the newer of the same name", got.Text, "new")
	if _, ok := find(57); ok {
		t.Error("an unknown number was found")
	}
}

// What Owed handed out may be replaced before it is settled: then that, and not
// the newer content, is out.
func TestReplacedWhileUnderWay(t *testing.T) {
	for name, c := range map[string]struct {
		before       []storage.Post // settled
		first, newer storage.Post
		out, want    string
	}{
		"send, same name": {first: send("a", "1"), newer: send("a", "2"), out: "1", want: "edit a/newer=2 of a"},
		"send, edited":    {first: send("a", "1"), newer: edit("e", "a", "2"), out: "1", want: "edit a/newer=2 of a"},
		"edit": {
			before: []storage.Post{send("a", "0")},
			first:  edit("e", "a", "1"), newer: edit("f", "a", "2"), out: "1", want: "edit e=2 of a",
		},
		"react": {
			before: []storage.Post{send("a", "0")},
			first:  react("r", 7, "eyes"), newer: react("s", 7, "ok"), out: "0", want: "react r=ok",
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := storagetest.Open(t)
			commit(t, s, "e0", storage.Changes{Operator: operator(op), Posts: c.before})
			for _, p := range c.before {
				noError(t, s.Settle(p.Name, "55", t0))
			}
			commit(t, s, "e1", storage.Changes{Posts: []storage.Post{c.first}})
			queue(t, s) // handed out
			commit(t, s, "e2", storage.Changes{Posts: []storage.Post{c.newer}})
			noError(t, s.Settle(c.first.Name, "55", t0))
			view(t, s, func(v *storage.View) error {
				p, _, err := v.PostByApp(op, 55)
				same(t, "out", p.Text, c.out)
				return err
			})
			same(t, "owed", queue(t, s), c.want)
		})
	}
}

func TestHandedOver(t *testing.T) {
	s := storagetest.Open(t)
	file := func(name string, refs ...storage.ContactRef) storage.Post {
		return storage.Post{Name: name, Operator: op, Op: storage.File, Recipe: &storage.Recipe{Kind: "adif", Contacts: refs}}
	}
	commit(t, s, "e", storage.Changes{
		Operator: operator(op),
		Contacts: []storage.Contact{contact(op, 1, 1, "OX9QZU"), contact(op, 1, 2, "OX9QZV"), contact(op, 2, 1, "OX9QZW")},
		Posts:    []storage.Post{file("f", storage.ContactRef{ID: 1, Version: 2}), file("g", storage.ContactRef{ID: 1, Version: 1})},
	})
	check := func(id uint64, version int, ok bool) {
		t.Helper()
		view(t, s, func(v *storage.View) error {
			gotVersion, gotOK := v.HandedOver(op, id)
			same(t, "version", gotVersion, version)
			same(t, "handed over", gotOK, ok)
			return nil
		})
	}
	check(1, 0, false)
	noError(t, s.Settle("f", "5", t0))
	check(1, 2, true)
	check(2, 0, false)
	noError(t, s.Settle("g", "6", t0)) // an older version goes out later: the newer was out
	check(1, 2, true)
	noError(t, s.Settle("g", "6", t0))
}

func TestExpiredAndDropped(t *testing.T) {
	s := storagetest.Open(t)
	late := send("late", "")
	late.NotAfter = t0.Add(time.Minute)
	commit(t, s, "e", storage.Changes{Operator: operator(op), Posts: []storage.Post{late, send("a", "1"), send("b", "2")}})
	same(t, "in time", queue(t, s), "send late=; send a=1; send b=2")
	owed, err := s.Owed(late.NotAfter)
	noError(t, err)
	same(t, "owed at the last moment", len(owed), 3)
	owed, err = s.Owed(late.NotAfter.Add(1))
	noError(t, err)
	same(t, "owed later", len(owed), 2)
	noError(t, s.Drop("a", "the chat is closed", t0))
	noError(t, s.Drop("a", "again", t0))
	same(t, "owed", queue(t, s), "send b=2")

	noError(t, s.Settle("late", "9", t0)) // it went out after all
	view(t, s, func(v *storage.View) error {
		_, ok, err := v.PostByApp(op, 9)
		same(t, "found", ok, true)
		return err
	})
	noError(t, s.Settle("forgotten", "9", t0))
	view(t, s, func(v *storage.View) error {
		_, ok, err := v.Post("forgotten")
		same(t, "a forgotten post came back", ok, false)
		return err
	})
	commit(t, s, "bye", storage.Changes{Posts: []storage.Post{
		{Name: "bye", Operator: op, Op: storage.Send, Text: "all is removed", Last: true},
	}})
	owes, err := s.Owes("bye")
	noError(t, err)
	same(t, "the farewell is owed", owes, true)
	noError(t, s.Settle("bye", "10", t0))
	owes, err = s.Owes("bye")
	noError(t, err)
	same(t, "the farewell is owed when it is out", owes, false)
	view(t, s, func(v *storage.View) error {
		_, ok, err := v.PostByApp(op, 10)
		same(t, "the farewell is kept", ok, false)
		return err
	})
}
