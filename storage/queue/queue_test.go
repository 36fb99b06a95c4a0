package queue

import (
	"fmt"
	"maps"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// model is the queue as plain values.
type model struct {
	posts   map[string]Post
	waiting map[string][]uint64
	taken   map[string]string // by operator
}

// first is the name of the post that is to go out next.
func (m model) first() (name string) {
	for _, p := range m.inOrder() {
		if m.taken[p.Operator] == "" {
			return p.Name
		}
	}
	return ""
}

func (m model) inOrder() []*Post {
	var posts []*Post
	for _, p := range m.posts {
		posts = append(posts, &p)
	}
	slices.SortFunc(posts, inOrder)
	return posts
}

// After each step of a random history the queue is what a plain list says: the posts in
// order, the first of those whose operator's lane is free, who waits, and what is owed
// for a place. An operator has a second turn only after all who
// waited at the first.
func TestLawOfQueue(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		m := model{map[string]Post{}, map[string][]uint64{}, map[string]string{}}
		var q Queue[string]
		q.Learn(News{})
		start, number := time.Unix(1_800_000_000, 0), uint64(0)
		last, others := "", []string{} // whose turn it was, and who waited then
		someone := func() string { return rapid.SampledFrom([]string{"1", "2", "3"}).Draw(r, "operator") }
		r.Repeat(map[string]func(*rapid.T){
			"owe": func(r *rapid.T) {
				var n News
				number++
				p := Post{Operator: someone(), Rank: rapid.IntRange(0, 2).Draw(r, "rank"), Seq: number}
				p.Name = fmt.Sprint(p.Operator, "/", rapid.IntRange(0, 4).Draw(r, "name"))
				p.Due = start.Add(time.Duration(rapid.IntRange(0, 3).Draw(r, "due")) * time.Minute)
				if rapid.Bool().Draw(r, "has a place") {
					p.Place = Place{Operator: p.Operator, Target: p.Name}
				}
				n.Post(p)
				q.Take(n)
				m.posts[p.Name] = p
			},
			"pay": func(r *rapid.T) {
				var n News
				name := fmt.Sprint(someone(), "/", rapid.IntRange(0, 4).Draw(r, "name"))
				n.Post(Post{Name: name})
				q.Take(n)
				delete(m.posts, name)
			},
			"hand out": func(r *rapid.T) {
				name, _, ok := q.Next(start)
				if !ok {
					return
				}
				op := m.posts[name].Operator
				if !q.HandOut(op, name, "content of "+name, true) {
					r.Fatalf("%s is not handed out", name)
				}
				m.taken[op] = name
				if content, ok := q.LastHanded(name); !ok || content != "content of "+name {
					r.Fatalf("%s was handed out as %q", name, content)
				}
			},
			"release": func(*rapid.T) {
				op := someone()
				q.Release(op)
				delete(m.taken, op)
			},
			"arrive": func(*rapid.T) {
				var n News
				op := someone()
				number++
				n.Arrive(op, number)
				q.Take(n)
				m.waiting[op] = append(m.waiting[op], number)
			},
			"work": func(*rapid.T) {
				oldest, ok := q.Oldest()
				if !ok {
					return
				}
				op := ""
				for who, numbers := range m.waiting {
					if numbers[0] == oldest {
						op = who
					}
				}
				if op == "" || op == last && len(others) > 0 {
					r.Fatalf("%d has its turn, of %q after %q: %v", oldest, op, last, m.waiting)
				}
				var n News
				n.Leave(op, oldest)
				q.Take(n)
				if m.waiting[op] = m.waiting[op][1:]; len(m.waiting[op]) == 0 {
					delete(m.waiting, op)
				}
				others = slices.Collect(maps.Keys(m.waiting))
				others = slices.DeleteFunc(others, func(who string) bool { return who == op })
				last = op
			},
			"learn": func(*rapid.T) {
				var n News
				for _, p := range m.posts {
					n.Post(p)
				}
				for _, op := range slices.Sorted(maps.Keys(m.waiting)) {
					for _, number := range m.waiting[op] {
						n.Arrive(op, number)
					}
				}
				q.Learn(n)
				others = nil
			},
			"": func(*rapid.T) { q.mustBe(r, m, start) },
		})
	})
}

// mustBe compares a queue with a model.
func (q *Queue[C]) mustBe(r *rapid.T, m model, now time.Time) {
	var names []string
	for _, p := range m.inOrder() {
		names = append(names, p.Name)
		at, found := q.OwedAt(p.Place, News{})
		if found != (p.Place != Place{}) || found && at != p.Name {
			r.Fatalf("owed for the place of %s: %q, %v", p.Name, at, found)
		}
	}
	if got := q.All(); !slices.Equal(got, names) {
		r.Fatalf("owed: %q, want %q", got, names)
	}
	if next, _, ok := q.Next(now); next != m.first() || ok != (m.first() != "") {
		r.Fatalf("next: %q, %v, want %q", next, ok, m.first())
	}
	waiting := 0
	for _, numbers := range m.waiting {
		waiting += len(numbers)
	}
	if w, owed := q.Count(); w != waiting || owed != len(names) {
		r.Fatalf("%d wait and %d are owed, want %d and %d", w, owed, waiting, len(names))
	}
	for op, l := range q.lanes {
		if free := l.taken == ""; free && len(l.posts) == 0 || (l.at >= 0) != (free && len(l.posts) > 0) {
			r.Fatalf("the lane of %s: %+v", op, l)
		}
	}
}

// A post on its way that is replaced has been handed out as it was; once it is not owed
// any more nobody asks what it was.
func TestHandedOut(t *testing.T) {
	var q Queue[string]
	q.Learn(News{})
	take := func(p Post) {
		var n News
		n.Post(p)
		q.Take(n)
	}
	take(Post{Name: "a", Operator: "7", Seq: 1})
	if !q.HandOut("7", "a", "older", true) {
		t.Fatal("not handed out")
	}
	take(Post{Name: "a", Operator: "7", Seq: 1, Rank: 1})
	if !q.HandOut("7", "a", "newer", false) { // shown in a list while it is on its way
		t.Error("not listed")
	}
	if content, _ := q.LastHanded("a"); content != "older" {
		t.Errorf("%q is on its way", content)
	}
	take(Post{Name: "a"})
	if _, handed := q.LastHanded("a"); handed || !q.OwesTo("7") {
		t.Error("a post that is out is remembered, or its operator's lane is free")
	}
	if q.Release("7"); q.OwesTo("7") || q.HandOut("7", "a", "again", true) {
		t.Error("something is owed")
	}
}
