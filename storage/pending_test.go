package storage_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// classed is a post of a class to an operator.
func classed(to storage.OperatorID, name string, class storage.Class) storage.Post {
	return storage.Post{Name: name, Operator: to, Op: storage.Send, Class: class}
}

// owe commits posts, each in an event of its own.
func owe(t testing.TB, s *storage.Store, posts ...storage.Post) {
	t.Helper()
	for _, p := range posts {
		event := "owe/" + p.Name + "/" + p.Text
		commit(t, s, event, storage.Changes{Operator: operator(p.Operator), Posts: []storage.Post{p}})
	}
}

// takeAll takes what may be taken, and releases nothing.
func takeAll(t testing.TB, s *storage.Store, now time.Time) string {
	t.Helper()
	var names []string
	for {
		p, ok, err := s.TakeOwed(now)
		noError(t, err)
		if !ok {
			return strings.Join(names, " ")
		}
		names = append(names, p.Name)
	}
}

func TestOrderOfSending(t *testing.T) {
	s := storagetest.Open(t)
	later, sooner := classed("1", "later", storage.ClassReminder), classed("2", "sooner", storage.ClassReminder)
	later.Due, sooner.Due = t0.Add(9*time.Minute), t0.Add(8*time.Minute)
	owe(t, s,
		classed("3", "card", storage.ClassCard), classed("4", "question", storage.ClassQuestion), later, sooner,
		classed("5", "ask", storage.ClassAsk), classed("6", "answer", storage.ClassAnswer), classed("7", "second", storage.ClassAnswer),
	)
	const want = "answer second ask sooner later question card"
	var names []string
	owed, err := s.Owed(t0)
	noError(t, err)
	for _, p := range owed {
		names = append(names, p.Name)
	}
	same(t, "owed", strings.Join(names, " "), want)
	same(t, "taken", takeAll(t, s, t0), want)
}

// To one operator nothing goes out beside what is under way; the next is chosen
// when that has ended, and what came meanwhile may be it.
func TestOnePostAtATime(t *testing.T) {
	s := storagetest.Open(t)
	owe(t, s, classed(op, "card", storage.ClassCard), classed(op, "other card", storage.ClassCard))
	same(t, "first", takeAll(t, s, t0), "card")
	owe(t, s, classed(op, "answer", storage.ClassAnswer), classed(other, "another's", storage.ClassCard))
	same(t, "meanwhile", takeAll(t, s, t0), "another's")
	noError(t, s.Settle("card", "1", t0))
	same(t, "settled, not released", takeAll(t, s, t0), "")
	s.Release(op)
	same(t, "released", takeAll(t, s, t0), "answer")
	s.Release(op) // it did not go out
	same(t, "again", takeAll(t, s, t0), "answer")
}

// An edit of what is under way, or is out, goes after that; one of what still
// waits is part of it, and doesn't make it go earlier.
func TestEditsFollow(t *testing.T) {
	s := storagetest.Open(t)
	owe(t, s, classed(op, "card", storage.ClassCard))
	same(t, "the card", takeAll(t, s, t0), "card")
	owe(t, s, edit("card/edit", "card", "newer"))
	same(t, "while it is under way", takeAll(t, s, t0), "")
	noError(t, s.Settle("card", "1", t0))
	s.Release(op)
	same(t, "when it is out", takeAll(t, s, t0), "card/newer")
	noError(t, s.Settle("card/newer", "", t0))
	s.Release(op)

	owe(t, s, classed(op, "card 2", storage.ClassCard), classed(op, "question", storage.ClassQuestion), edit("e", "card 2", "newer"))
	same(t, "one that waits", takeAll(t, s, t0), "question")
}

// What a newer post takes the place of may have been more urgent: that stays.
func TestReplacedKeepsItsUrgency(t *testing.T) {
	s := storagetest.Open(t)
	answer := classed(op, "a", storage.ClassAnswer)
	card := answer
	card.Class, card.Text = storage.ClassCard, "newer"
	owe(t, s, answer, classed(other, "b", storage.ClassReminder), card)
	same(t, "owed", queue(t, s), "send a=newer; send b=")
}

// Too late is too late for what is at the head of the queue and for what is far
// behind, but not for what is under way.
func TestLateIsDropped(t *testing.T) {
	s := storagetest.Open(t)
	var c storage.Changes
	for n := range 500 {
		p := classed(storage.OperatorID(fmt.Sprint(n)), fmt.Sprint("p", n), storage.ClassReminder)
		p.Due = t0.Add(time.Duration(n) * time.Second)
		p.NotAfter = p.Due
		if n%3 == 0 {
			p.NotAfter = time.Time{}
		}
		c.Posts = append(c.Posts, p)
	}
	c.Operator = operator(op)
	commit(t, s, "storm", c)
	first, ok, err := s.TakeOwed(t0)
	noError(t, err)
	same(t, "taken", first.Name+fmt.Sprint(ok), "p0true")
	second, _, err := s.TakeOwed(t0)
	noError(t, err)
	same(t, "taken", second.Name, "p1")
	left := strings.Fields(takeAll(t, s, t0.Add(400*time.Second)))
	for _, name := range left {
		var n int
		_, err := fmt.Sscanf(name, "p%d", &n)
		noError(t, err)
		if n < 400 && n%3 != 0 {
			t.Errorf("%s goes out too late", name)
		}
	}
	same(t, "left", len(left), 166+67) // those that may be late, but for the first, and the last hundred
	owes, err := s.Owes("p1")
	noError(t, err)
	same(t, "what is under way is owed", owes, true)
}

// What is pending is known again after a restart.
func TestPendingAfterRestart(t *testing.T) {
	dir := t.TempDir()
	s := storagetest.OpenDir(t, dir)
	owe(t, s, classed("1", "card", storage.ClassCard), classed("2", "answer", storage.ClassAnswer), react("r", 7, "eyes"))
	noError(t, s.Accept(nil, from("1", "a"), from("1", "b"), from("2", "c")))
	noError(t, s.Close())
	s = storagetest.OpenDir(t, dir)
	owe(t, s, react("q", 7, "ok"))
	same(t, "owed", queue(t, s), "send answer=; react r=ok; send card=")
	same(t, "worked", workAll(t, s), "a c b")
	counts, err := s.Counts(t0)
	noError(t, err)
	same(t, "operators", counts.Operators, 3)
	same(t, "owed", counts.Owed, 3)
	same(t, "waiting", counts.Waiting, 0)
}

func from(who storage.OperatorID, id string) storage.Raw {
	return storage.Raw{ID: id, From: who, At: t0}
}

// workAll works what waits and names it in order.
func workAll(t testing.TB, s *storage.Store) string {
	t.Helper()
	var ids []string
	for {
		r, ok, err := s.Oldest()
		noError(t, err)
		if !ok {
			return strings.Join(ids, " ")
		}
		ids = append(ids, r.ID)
		commit(t, s, r.ID, storage.Changes{})
	}
}

// Operators take turns; what each of them sent stays in order. What is nobody's
// may be anybody's, and goes first.
func TestTurns(t *testing.T) {
	s := storagetest.Open(t)
	noError(t, s.Accept(nil, from("1", "a1"), from("1", "a2"), from("1", "a3"), from("2", "b1"), from("3", "c1"), from("2", "b2")))
	same(t, "worked", workAll(t, s), "a1 b1 c1 a2 b2 a3")
	noError(t, s.Accept(nil, from("1", "d1"), from("1", "d2"), from("2", "e1")))
	noError(t, s.Accept(nil, from("", "nobody's")))
	noError(t, s.SetAside("d1", "no sense", t0))
	same(t, "worked", workAll(t, s), "nobody's e1 d2")
}

// Of an operator who is forgotten nothing is pending.
func TestForgottenIsNotPending(t *testing.T) {
	s := storagetest.Open(t)
	owe(t, s, classed(op, "a", storage.ClassAnswer), classed(op, "b", storage.ClassAnswer), classed(other, "c", storage.ClassCard))
	noError(t, s.Accept(nil, from(op, "x"), from(other, "y")))
	same(t, "taken", takeAll(t, s, t0), "a c")
	_, err := s.Forget(op, t0, func(_ *storage.View, r storage.Raw) bool { return r.From == op })
	noError(t, err)
	s.Release(op)
	s.Release(other)
	same(t, "taken", takeAll(t, s, t0), "c")
	same(t, "worked", workAll(t, s), "y")
	counts, err := s.Counts(t0)
	noError(t, err)
	same(t, "operators", counts.Operators, 1)
}

// The agenda gives what is due a few at a time, and tells what is ahead by its keys.
func TestAgendaInParts(t *testing.T) {
	s := storagetest.Open(t)
	var c storage.Changes
	for n := range 10 {
		kind := []string{"remind", "card"}[n%2]
		c.Agenda = append(c.Agenda, storage.Item{Key: fmt.Sprint(kind, "/", n), At: t0.Add(time.Duration(n) * time.Minute), Kind: kind})
	}
	commit(t, s, "e", c)
	due, err := s.Due(t0.Add(5*time.Minute), 3)
	noError(t, err)
	same(t, "due", len(due), 3)
	ahead, err := s.Planned("remind/", t0.Add(2*time.Minute), t0.Add(8*time.Minute))
	noError(t, err)
	var keys []string
	for _, p := range ahead {
		keys = append(keys, p.Key)
		it, ok, err := s.Item(p.Key)
		noError(t, err)
		if !ok || !it.At.Equal(p.At) {
			t.Errorf("%s is planned for %s, and the item says %s", p.Key, p.At, it.At)
		}
	}
	if !slices.Equal(keys, []string{"remind/4", "remind/6", "remind/8"}) {
		t.Errorf("ahead: %s", keys)
	}
	noError(t, s.Cancel("remind/0"))
	noError(t, s.Cancel("remind/0"))
	due, err = s.Due(t0, 3)
	noError(t, err)
	same(t, "due after it was cancelled", len(due), 0)
}
